"""Genset South: natural gas on the plate, LP-gas vapour in the line, and no conversion paper."""

from typing import Any

import pytest

from tests.api.approving import approve, confirm_conversion, plug_on, refused
from tests.api.world import Desk
from tests.desks import Clock

pytestmark = pytest.mark.db

CONFLICT = "Plate says natural gas, found on LP-gas vapour 2024-05-06"
CONDITION = (
    "a licensed person has confirmed the LP-gas equipment and the service manager records it; "
    "this answer does not approve the conversion"
)


def genset_south(number: str) -> dict[str, Any]:
    return {
        "candidate": {"maker": "TSK", "number": number},
        "position": "spark_plug",
        "application": {
            "spec": {"model": "TSK-R60", "spec": "N-43"},
            "serial": "61390",
            "plate_fuels": ["natural_gas"],
            "fuel_records": [
                {"fuels": ["lpg_vapour"], "mode": "only_fuel", "found_on": "2024-05-06", "conversion_paper": False}
            ],
            "place_of_use": "outdoor",
        },
    }


def test_scenario_16_the_plug_for_the_plate_is_refused_for_what_was_found(desk: Desk) -> None:
    answer = desk.answer(genset_south("4470"))
    assert answer["verdict"] == "rejected"
    assert "2024-05-06" in answer["headline"]
    assert "LP-gas" in answer["headline"]
    assert any(said.startswith(CONFLICT) for said in answer["conflicts"])


def test_scenario_16_the_plug_for_the_found_fuel_is_good_on_the_conversion_condition_alone(desk: Desk) -> None:
    answer = desk.answer(genset_south("4475"))
    assert answer["verdict"] == "conditional"
    assert answer["conditions"] == [CONDITION]
    assert CONDITION in answer["headline"]
    assert any(said.startswith(CONFLICT) for said in answer["conflicts"])
    # Nobody can approve a check that names no machine.
    assert answer["approvable"] is False
    assert answer["approval"] is None
    assert answer["approvable_by"] is not None


def test_scenario_16_it_can_be_approved_for_the_machine_once_a_licensed_person_has_confirmed_it(
    desk: Desk, clock: Clock
) -> None:
    answer = plug_on(desk, "Genset South")
    assert (answer["verdict"], answer["conditions"]) == ("conditional", [CONDITION])
    assert (answer["approvable"], answer["approvable_by"]) == (True, "service_manager")
    assert refused(approve(desk, answer)) == (409, "conversion_not_confirmed")
    confirm_conversion(desk)
    assert approve(desk, answer).status_code == 201


def test_scenario_16_the_plug_for_the_plate_is_approved_by_nobody(desk: Desk, clock: Clock) -> None:
    answer = plug_on(desk, "Genset South", "4470")
    assert (answer["verdict"], answer["approvable"], answer["approvable_by"]) == ("rejected", False, None)
    assert refused(approve(desk, answer)) == (409, "not_approvable")


def test_scenario_16_the_refused_answer_offers_the_other_plug_on_its_condition(desk: Desk) -> None:
    offered = desk.answer(genset_south("4470"))["alternatives"]
    assert [(entry["part"]["number"], entry["verdict"]) for entry in offered] == [("4475", "conditional")]
