"""Two old seals that are each the new one, and a gasket that is now a set: common practice, no source."""

from typing import Any

import pytest

from tests.acceptance.chains import GENSET_NORTH, GENSET_SOUTH, PUMP_3
from tests.api.world import Desk

pytestmark = pytest.mark.db


def resolved(desk: Desk, application: dict[str, Any] | None, *lines: tuple[str, str, int]) -> list[dict[str, Any]]:
    body = {
        "lines": [{"part": {"maker": maker, "number": number}, "quantity": count} for maker, number, count in lines]
    }
    response = desk.post("/supersessions/resolve/", {**body, "application": application})
    assert response.status_code == 200, response.content
    found: list[dict[str, Any]] = response.json()["lines"]
    return found


def uses(line: dict[str, Any]) -> list[tuple[str, int]]:
    return [(use["part"]["number"], use["quantity"]) for use in line["use"]]


def test_scenario_11_each_old_seal_is_one_new_seal(desk: Desk) -> None:
    lines = resolved(desk, PUMP_3, ("OLM", "8812-1", 1), ("OLM", "8812-2", 1))
    assert [uses(line) for line in lines] == [[("8815", 1)], [("8815", 1)]]
    assert sum(count for line in lines for _, count in uses(line)) == 2


def test_scenario_11_one_gasket_is_all_of_a_set(desk: Desk) -> None:
    (line,) = resolved(desk, PUMP_3, ("OLM", "7701", 2))
    assert uses(line) == [("7702", 4), ("7703", 8)]


def test_scenario_11_a_replacement_from_a_serial_on_is_none_below_it(desk: Desk) -> None:
    """TSK R-2200K is R-2300K from serial 61500 on only."""
    asked = ("TSK", "R-2200K", 1)
    assert uses(resolved(desk, GENSET_NORTH, asked)[0]) == [("R-2300K", 1)]
    assert uses(resolved(desk, GENSET_SOUTH, asked)[0]) == [("R-2200K", 1)]
    (blank,) = resolved(desk, {**GENSET_SOUTH, "serial": None}, asked)
    assert (uses(blank), [entry["fact"] for entry in blank["missing"]]) == ([], ["serial (change at 61500)"])


def test_scenario_11_an_unknown_number_is_named_by_its_line(desk: Desk) -> None:
    response = desk.post("/supersessions/resolve/", {"lines": [{"part": {"maker": "VRD", "number": "9-9-9"}}]})
    assert response.status_code == 404
    assert [fault["pointer"] for fault in response.json()["errors"]] == ["#/lines/0/part"]


def test_scenario_11_a_set_stands_nowhere_but_where_the_number_it_replaces_does(desk: Desk) -> None:
    """Each piece has a place of its own; that makes the gasket no fuel filter."""
    asked = {"candidate": {"maker": "OLM", "number": "7701"}, "application": PUMP_3}
    assert desk.answer(asked)["verdict"] == "accepted"
    assert desk.answer({**asked, "position": "manifold_gasket"})["verdict"] == "accepted"
    for elsewhere in ("fuel_filter", "injection_pump", "head_gasket", "exhaust", "manifold_gasket_half"):
        assert desk.answer({**asked, "position": elsewhere})["verdict"] != "accepted", elsewhere
