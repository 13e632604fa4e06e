"""Old stock below the change may still be used up: common practice, no source."""

import pytest

from service.operations.models import Dealer
from tests.acceptance.chains import RESURFACER_1
from tests.api.world import Desk
from tests.counter.counter_cast import at_counter, four_old_filters
from tests.desks import Clock

pytestmark = pytest.mark.db
OLD, NEW = "0021-450", "0021-460"
REASON = "serial 118402 is below 120000, swap allowed both ways"


def test_scenario_07_the_old_number_is_good_by_itself_and_the_reason_is_the_serial(desk: Desk) -> None:
    answer = desk.answer({"candidate": {"maker": "VRD", "number": OLD}, "application": RESURFACER_1})
    assert answer["verdict"] == "accepted"
    assert [use["part"]["number"] for use in answer["use"]] == [OLD]
    assert REASON in answer["headline"]


def test_scenario_07_asking_for_the_new_number_names_the_old_stock(desk: Desk) -> None:
    body = {"lines": [{"part": {"maker": "VRD", "number": NEW}}], "application": RESURFACER_1}
    (line,) = desk.post("/supersessions/resolve/", body).json()["lines"]
    assert [use["part"]["number"] for use in line["use"]] == [NEW]
    assert [(old["part"]["number"], old["why"]) for old in line["old_stock"]] == [(OLD, REASON)]


def test_scenario_07_four_of_the_old_number_lie_free_and_are_used_first(
    desk: Desk, tallis_bridge: Dealer, clock: Clock
) -> None:
    clock.at("2026-03-31T10:15:00+02:00")
    four_old_filters(tallis_bridge)
    answer = at_counter(desk, {"candidate": {"maker": "VRD", "number": NEW}, "application": RESURFACER_1})
    (old,) = answer["old_stock"]
    assert (old["part"]["number"], old["verdict"], old["why"]) == (OLD, "accepted", REASON)
    assert REASON in old["headline"]
    assert (old["stock"][0]["free"], old["stock"][0]["bins"][0]["bin"]) == (4, "C-3")
    assert [(one["as"], one["free"]) for one in answer["offered"]] == [("old_stock", 4), ("current", 0)]
    assert answer["headline_stock"].startswith(
        "VRD 0021-450: 4 free here in bin C-3; the current number VRD 0021-460 is out of stock, 6 arrive by Thu 2 Apr."
    )
