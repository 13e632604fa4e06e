"""Two gaskets that replace each other in the data: nothing is picked (common practice, no source)."""

import pytest

from tests.acceptance.chains import TRUCK_7
from tests.api.world import Desk

pytestmark = pytest.mark.db
ASKED = {"candidate": {"maker": "VRD", "number": "3300-1"}, "application": TRUCK_7}


def test_scenario_14_a_loop_is_a_catalogue_error_and_no_answer(desk: Desk) -> None:
    answer = desk.answer(ASKED)
    assert answer["verdict"] == "undetermined"
    assert "numbers replace each other" in answer["headline"]
    assert len(answer["catalogue_errors"]) == 1
    assert answer["use"] == []
    assert answer["missing"]


def test_scenario_14_each_number_is_walked_once(desk: Desk) -> None:
    steps = [
        (step["from"][0]["part"]["number"], step["to"][0]["part"]["number"]) for step in desk.answer(ASKED)["chain"]
    ]
    assert steps == [("3300-1", "3300-2"), ("3300-2", "3300-1")]


def test_scenario_14_a_second_ask_adds_no_second_ticket(desk: Desk) -> None:
    for _ in range(2):
        desk.answer(ASKED)
    lines = {"lines": [{"part": {"maker": "VRD", "number": "3300-2"}}], "application": TRUCK_7}
    assert desk.post("/supersessions/resolve/", lines).status_code == 200
    (ticket,) = desk.get("/data-errors/?kind=supersession").json()["results"]
    assert [part["number"] for part in ticket["parts"]] == ["3300-1", "3300-2"]
    assert "numbers replace each other" in ticket["words"]
