"""An old oil filter number on an engine beyond the change: common practice, no source."""

import pytest

from service.operations.models import Dealer
from tests.acceptance.chains import TRUCK_7, walked
from tests.api.world import Desk
from tests.counter.counter_cast import at_counter, four_old_filters

pytestmark = pytest.mark.db
OLD, BETWEEN, NEW = "0021-440", "0021-450", "0021-460"


def test_scenario_06_the_newest_number_is_to_be_used_and_the_serial_says_why(desk: Desk) -> None:
    answer = desk.answer({"candidate": {"maker": "VRD", "number": OLD}, "application": TRUCK_7})
    assert answer["verdict"] == "accepted"
    assert [(use["part"]["number"], use["quantity"]) for use in answer["use"]] == [(NEW, 1)]
    assert "serial 131077 is from 120000 on" in answer["headline"]
    assert walked(answer["chain"]) == [OLD, BETWEEN, NEW]


def test_scenario_06_the_number_between_is_not_offered(desk: Desk) -> None:
    body = {"lines": [{"part": {"maker": "VRD", "number": OLD}}], "application": TRUCK_7}
    (line,) = desk.post("/supersessions/resolve/", body).json()["lines"]
    assert line["old_stock"] == []
    answer = desk.answer({"candidate": {"maker": "VRD", "number": OLD}, "application": TRUCK_7})
    assert [entry["part"]["number"] for entry in answer["alternatives"]] == []
    passed_over = desk.answer({"candidate": {"maker": "VRD", "number": BETWEEN}, "application": TRUCK_7})
    assert [use["part"]["number"] for use in passed_over["use"]] == [NEW]


def test_scenario_06_the_number_between_lies_in_stock_and_is_not_offered(desk: Desk, tallis_bridge: Dealer) -> None:
    four_old_filters(tallis_bridge)
    answer = at_counter(desk, {"candidate": {"maker": "VRD", "number": OLD}, "application": TRUCK_7})
    assert [one["parts"][0]["number"] for one in answer["offered"]] == [NEW]
    assert (answer["old_stock"], answer["alternatives"]) == ([], [])
    assert BETWEEN not in answer["headline_stock"]
    (passed,) = answer["not_offered"]
    assert (passed["part"]["number"], passed["free"], passed["instead"][0]["number"]) == (BETWEEN, 4, NEW)
    assert "serial 131077 is from 120000 on" in passed["why"]
