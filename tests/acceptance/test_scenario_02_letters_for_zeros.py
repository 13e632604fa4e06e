"""A number read off a greasy label with the letter O for zeros: offered as what it may be, and never taken for it."""

from typing import Any

import pytest

from catalog.models import Check
from tests.api.world import Desk

pytestmark = pytest.mark.db

ON_TRUCK_7: dict[str, Any] = {
    "position": "oil_filter",
    "application": {
        "spec": {"model": "VRD-H40", "spec": "S-131"},
        "serial": "131077",
        "plate_fuels": ["lpg_liquid"],
        "fuel_records": [{"fuels": ["lpg_liquid"], "mode": "only_fuel", "found_on": "2026-01-12"}],
        "place_of_use": "indoor",
    },
}


def test_scenario_02_the_part_is_offered_as_a_look_alike_and_nothing_is_sure(desk: Desk) -> None:
    answer = desk.get("/parts/lookup/?q=OO21-46O").json()
    first = answer["results"][0]
    assert (first["part"]["number"], first["matched_by"]) == ("0021-460", "look_alike")
    assert first["note"] == "looks alike (O for 0); compare it with the label"
    assert not {hit["matched_by"] for hit in answer["results"]} & {"exact", "normalised", "barcode"}


def test_scenario_02_there_is_no_verdict_until_the_part_is_chosen(desk: Desk) -> None:
    refused = desk.check({**ON_TRUCK_7, "candidate": {"maker": "VRD", "number": "OO21-46O"}})
    assert refused.status_code == 404
    problem = refused.json()
    assert "verdict" not in problem
    assert not Check.objects.exists()
    (offered,) = problem["suggestions"]
    assert offered["part"]["number"] == "0021-460"
    assert offered["why"].startswith("looks alike (O for 0)")
    chosen = desk.answer({**ON_TRUCK_7, "candidate": {"id": offered["part"]["id"]}})
    assert chosen["verdict"] == "accepted"
