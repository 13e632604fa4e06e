"""A plain muffler asked for in place of the catalyst: same flange, and the emission control would be gone."""

from typing import Any

import pytest

from tests.api.world import Desk

pytestmark = pytest.mark.db

# Genset North: certified, natural gas and LP-gas vapour.
MUFFLER: dict[str, Any] = {
    "candidate": {"maker": "TSK", "number": "C-70"},
    "replaces": {"maker": "TSK", "number": "C-77"},
    "position": "exhaust",
    "application": {
        "spec": {"model": "TSK-R60", "spec": "N-43"},
        "serial": "61622",
        "plate_fuels": ["natural_gas", "lpg_vapour"],
        "fuel_records": [
            {"fuels": ["natural_gas", "lpg_vapour"], "mode": "only_fuel", "found_on": "2026-01-12"},
        ],
        "place_of_use": "outdoor",
        "certified": True,
    },
}


def test_scenario_21_a_muffler_for_a_catalyst_is_refused_as_emission_control_removed(desk: Desk) -> None:
    answer = desk.answer(MUFFLER)
    assert answer["verdict"] == "rejected"
    assert "emission control removed" in answer["headline"].lower()
    outcomes = {(finding["attribute"], finding["slot"]): finding["outcome"] for finding in answer["findings"]}
    assert outcomes["emission_control", None] == "not_met"
    assert outcomes["exhaust_joints", "inlet"] == "met", "the flange is the same, and that does not help"
    assert answer["approvable"] is False


@pytest.mark.parametrize("certified", [False, None])
def test_scenario_21_without_a_certificate_a_muffler_does_not_serve_for_a_catalyst_either(
    desk: Desk, certified: bool | None
) -> None:
    application = {**MUFFLER["application"], "certified": certified}
    if certified is None:
        del application["certified"]
    assert desk.answer({**MUFFLER, "application": application})["verdict"] == "rejected"


def test_scenario_21_the_catalyst_itself_is_used(desk: Desk) -> None:
    answer = desk.answer({**MUFFLER, "candidate": {"maker": "TSK", "number": "C-77"}, "replaces": None})
    assert answer["verdict"] == "accepted"
