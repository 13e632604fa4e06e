"""Old stock below the change may still be used up: common practice, no source."""

import pytest

from tests.acceptance.chains import RESURFACER_1
from tests.api.world import Desk

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
