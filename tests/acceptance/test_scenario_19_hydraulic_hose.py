"""A hydraulic hose asked for in place of the LP-gas hose: the ends are the same, and nobody can allow it."""

from typing import Any

import pytest

from service.operations.models import Dealer, Person
from service.operations.people import create_person
from tests.api.approving import approve, machine_named, refused
from tests.api.world import Desk

pytestmark = pytest.mark.db

HOSE: dict[str, Any] = {
    "candidate": {"maker": "TSK", "number": "HX-410"},
    "replaces": {"maker": "TSK", "number": "H-410"},
    "position": "hose_container_lockoff",
    "application": {
        "spec": {"model": "VRD-H40", "spec": "S-131"},
        "serial": "131077",
        "plate_fuels": ["lpg_liquid"],
        "fuel_records": [{"fuels": ["lpg_liquid"], "mode": "only_fuel", "found_on": "2026-01-12"}],
        "place_of_use": "indoor",
    },
}


def test_scenario_19_a_hose_not_made_for_lp_gas_is_refused_and_says_what_it_is_made_for(desk: Desk) -> None:
    answer = desk.answer(HOSE)
    assert answer["verdict"] == "rejected"
    assert answer["headline"].startswith("Not made for LP-gas")
    gate = answer["findings"][0]
    assert (gate["outcome"], gate["effect"]) == ("not_met", "reject")
    assert gate["offer"]["value"], "its recorded media are shown"


def test_scenario_19_a_service_manager_has_no_way_round_the_gate(tallis_bridge: Dealer) -> None:
    manager = create_person(
        username="rt", name="R. Tarnick", roles=["service_manager"], dealer=tallis_bridge, password="a long pass phrase"
    )
    asked_by_manager = Desk.of(tallis_bridge, person=manager).answer(HOSE)
    assert asked_by_manager["checked_by"] == "R. Tarnick"
    assert asked_by_manager["verdict"] == "rejected"
    assert asked_by_manager["approvable"] is False
    assert asked_by_manager["approvable_by"] is None


def test_scenario_19_a_service_manager_can_not_approve_it_either(tallis_bridge: Dealer) -> None:
    manager = Desk.of(tallis_bridge, person=Person.objects.get(username="r.tarnick"))
    on_truck_7 = {name: HOSE[name] for name in ("candidate", "replaces", "position")}
    answer = manager.answer({**on_truck_7, "machine": machine_named(manager, "Truck 7")})
    assert (answer["verdict"], answer["approvable"]) == ("rejected", False)
    refusal = approve(manager, answer, person=None, until="2099-12-31")
    assert refused(refusal) == (409, "not_approvable")
    assert "hard no" in refusal.json()["detail"]
    assert manager.answer({**on_truck_7, "machine": answer["machine"]})["verdict"] == "rejected"


def test_scenario_19_told_facts_do_not_open_the_gate(desk: Desk) -> None:
    claims = [
        {"about": "candidate", "attribute": "fuel_service", "slot": "inside", "value": ["LPG-CL"], "how": how}
        for how in ("told", "label", "measured")
    ]
    for claim in claims:
        assert desk.answer({**HOSE, "facts": [claim]})["verdict"] == "rejected"
