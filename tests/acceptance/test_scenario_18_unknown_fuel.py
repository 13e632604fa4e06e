"""Truck 2: gasoline on the plate, and nobody has looked at what it burns."""

from typing import Any

import pytest

from tests.api.world import Desk

pytestmark = pytest.mark.db

TODAY = "2026-03-09"


def truck_2(number: str, *, found: str | None = None) -> dict[str, Any]:
    records = [{"fuels": [found], "mode": "only_fuel", "found_on": TODAY, "conversion_paper": False}] if found else []
    return {
        "candidate": {"maker": "VRD", "number": number},
        "position": "spark_plug",
        "application": {
            "spec": {"model": "VRD-H40", "spec": "S-131"},
            "plate_fuels": ["gasoline"],
            "fuel_records": records,
            "place_of_use": "indoor",
        },
    }


@pytest.mark.parametrize("number", ["4410-07", "4410-12"])
def test_scenario_18_until_somebody_looks_only_the_fuel_is_asked_for(desk: Desk, number: str) -> None:
    answer = desk.answer(truck_2(number))
    assert answer["verdict"] == "undetermined"
    assert [entry["fact"] for entry in answer["missing"]] == ["fuel as-found"]
    assert all(entry["decisive"] for entry in answer["missing"])


def test_scenario_18_found_on_lp_gas_the_gas_plug_is_conditional_and_the_gasoline_plug_refused(desk: Desk) -> None:
    gas, gasoline = (desk.answer(truck_2(number, found="lpg_liquid")) for number in ("4410-12", "4410-07"))
    assert gas["verdict"] == "conditional"
    assert any("LP-gas equipment" in condition for condition in gas["conditions"])
    assert gasoline["verdict"] == "rejected"


@pytest.mark.parametrize(("holds", "verdict"), [(True, "accepted"), (False, "undetermined")])
def test_scenario_18_told_that_the_plate_holds_settles_it_and_told_that_it_does_not_settles_nothing(
    desk: Desk, holds: bool, verdict: str
) -> None:
    told = {"about": "application", "attribute": "plate_holds", "value": holds, "how": "told"}
    answer = desk.answer({**truck_2("4410-07"), "facts": [told]})
    assert answer["verdict"] == verdict
