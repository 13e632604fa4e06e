"""A coarse fuel filter asked for in place of the fine one: the thread is the same, and it protects less."""

from typing import Any

import pytest

from tests.api.world import Desk

pytestmark = pytest.mark.db

FILTER: dict[str, Any] = {
    "candidate": {"maker": "OLM", "number": "1211-X"},
    "replaces": {"maker": "OLM", "number": "1211"},
    "position": "fuel_filter",
    "application": {
        "spec": {"model": "OLM-K55", "spec": "D-30A"},
        "serial": "204871",
        "plate_fuels": ["diesel"],
        "fuel_records": [{"fuels": ["diesel"], "mode": "only_fuel", "found_on": "2026-01-12"}],
        "place_of_use": "outdoor",
        "dusty": True,
    },
}


def test_scenario_21_a_coarser_filter_is_refused_and_says_how_coarse_it_is(desk: Desk) -> None:
    answer = desk.answer(FILTER)
    assert answer["verdict"] == "rejected"
    assert "30 micron instead of at most 5" in answer["headline"]
    outcomes = {(finding["attribute"], finding["slot"]): finding["outcome"] for finding in answer["findings"]}
    assert outcomes["fineness", None] == "not_met"
    assert outcomes["connections", "mount"] == "met", "the thread is the same, and that does not help"


def test_scenario_21_the_filter_that_was_asked_for_is_used(desk: Desk) -> None:
    answer = desk.answer({**FILTER, "candidate": {"maker": "OLM", "number": "1211"}, "replaces": None})
    assert answer["verdict"] == "accepted"


def test_scenario_21_nobody_can_allow_the_coarse_one_by_saying_that_it_is_fine(desk: Desk) -> None:
    told = {"about": "candidate", "attribute": "fineness", "value": {"value": "5", "unit": "um"}, "how": "told"}
    assert desk.answer({**FILTER, "facts": [told]})["verdict"] != "accepted"
