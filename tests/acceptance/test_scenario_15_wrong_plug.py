"""A gasoline plug asked for in place of the gas plug, on an engine that burns LP-gas."""

from typing import Any

import pytest

from tests.api.world import Desk

pytestmark = pytest.mark.db

TRUCK_7: dict[str, Any] = {
    "spec": {"model": "VRD-H40", "spec": "S-131"},
    "serial": "131077",
    "plate_fuels": ["lpg_liquid"],
    "fuel_records": [{"fuels": ["lpg_liquid"], "mode": "only_fuel", "found_on": "2026-01-12"}],
    "place_of_use": "indoor",
}


def test_scenario_15_a_gasoline_plug_is_refused_for_its_fuel_though_thread_and_reach_match(desk: Desk) -> None:
    answer = desk.answer(
        {
            "candidate": {"maker": "VRD", "number": "4410-07"},
            "replaces": {"maker": "VRD", "number": "4410-12"},
            "application": TRUCK_7,
        }
    )
    assert answer["verdict"] == "rejected"
    assert answer["position"] == "spark_plug"
    assert answer["headline"].startswith("Gasoline plug; this engine burns LP-gas")
    outcomes = {finding["attribute"]: finding["outcome"] for finding in answer["findings"]}
    assert outcomes["plug_thread"] == outcomes["reach"] == "met"
    assert outcomes["fuels"] == "not_met"
    # What the maker does specify here is offered instead.
    assert [(entry["part"]["number"], entry["verdict"]) for entry in answer["alternatives"]] == [
        ("4410-12", "accepted")
    ]
