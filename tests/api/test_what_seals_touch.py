"""What the seals of a fuel position touch: the fuel that reaches it, whatever else is recorded, and as cold as it gets.

Ratings: open data set of chemical resistance ratings for common elastomers (Zenodo 22115966), and from memory for E85.
Windows: seal temperature tables of three public suppliers. The floor of -30 degC outdoors: common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.world import Desk

pytestmark = pytest.mark.db
SOURCE = {"kind": "maker", "citation": "engine sheet, invented"}
SIZE = {"ring_inner_diameter": ("18.59", "18.95"), "ring_cross_section": ("1.70", "1.86")}
COOLANT = {"name": "coolant", "temperature": {"min": "0", "max": "95", "unit": "degC"}, "dynamic": False}
LP_GAS_COLD_UNKNOWN = {"name": "lpg_liquid", "dynamic": False}
GASOLINE_E10 = {"name": "gasoline_E10", "temperature": {"min": "-10", "max": "60", "unit": "degC"}, "dynamic": False}


def size() -> list[dict[str, Any]]:
    return [
        {"attribute": name, "value": {"min": low, "max": high, "unit": "mm"}, "source": SOURCE}
        for name, (low, high) in SIZE.items()
    ]


def material(named: str) -> list[dict[str, Any]]:
    return [{"attribute": "seal_material", "value": [named], "source": SOURCE}] if named else []


def engine(
    desk: Desk, fuel: str, service: str, media: list[dict[str, Any]], *, grade: str = "", named: str = ""
) -> dict[str, Any]:
    """An application of a new build with one ring that this fuel reaches, burned alone in the grade."""
    ring = {
        "code": "ring", "name": "line ring", "category": "seal", "quantity": 1, "branch": fuel, "media": media,
        "ports": [{"port": "inside", "fuel": fuel, "classes": [service]}], "demands": size() + material(named),
    }  # fmt: skip
    build = {"maker": "VRD", "model": "VRD-T3", "spec": "1", "fuels": [fuel], "positions": [ring]}
    desk.made("/engine-specs/", build)
    burned = f"{fuel}:{grade}" if grade else fuel
    record = {"fuels": [burned], "mode": "only_fuel", "found_on": "2026-01-12", "conversion_paper": None}
    return {"spec": {"model": "VRD-T3", "spec": "1"}, "plate_fuels": [burned], "fuel_records": [record],
            "place_of_use": "outdoor", "certified": False}  # fmt: skip


def ring(desk: Desk, of: str, **more: Any) -> dict[str, str]:
    """A ring of the size asked, of a material, with what else is recorded of it."""
    stated = material(of)
    stated += [{"attribute": name, "source": SOURCE, **value} for name, value in more.items()]
    named = {"maker": "VRD", "number": f"T-{of}-{len(more)}"}
    desk.made("/parts/", {**named, "category": "seal", "supplied_as": "piece", "attributes": [*size(), *stated]})
    return named


def asked(desk: Desk, candidate: dict[str, str], application: dict[str, Any]) -> dict[str, Any]:
    return desk.answer({"candidate": candidate, "position": "ring", "application": application})


@pytest.mark.parametrize("recorded", [{}, {"fuel_service": {"slot": "inside", "value": ["LPG-CL"]}}])
def test_coolant_recorded_beside_a_fuel_port_does_not_stand_for_the_fuel(desk: Desk, recorded: dict[str, Any]) -> None:
    """Ethylene propylene is graded 4 of 4 in LP-gas, whatever its maker's list says of the ring."""
    lp_gas = engine(desk, "lpg_liquid", "LPG-CL", [COOLANT])
    answer = asked(desk, ring(desk, "EPDM", **recorded), lp_gas)
    assert answer["verdict"] == "rejected"
    assert "LP-gas liquid" in answer["headline"]


def test_a_grade_that_is_burned_is_touched_though_another_is_recorded(desk: Desk) -> None:
    """Nitrile: 2 in E10, 3 in E85."""
    e85, e10 = (engine(desk, "gasoline", "GAS-E85", [GASOLINE_E10], grade="E85"), "E10")
    nitrile = ring(desk, "NBR")
    answer = asked(desk, nitrile, e85)
    assert answer["verdict"] == "rejected"
    assert "NBR is graded 3 of 4 in gasoline E85" in answer["headline"]
    record = {**e85["fuel_records"][0], "fuels": [f"gasoline:{e10}"]}
    milder = asked(desk, nitrile, {**e85, "plate_fuels": [f"gasoline:{e10}"], "fuel_records": [record]})
    assert milder["verdict"] == "conditional"


@pytest.mark.parametrize(("material", "verdict"), [("NBR", "accepted"), ("FKM", "undetermined"), ("EPDM", "rejected")])
def test_a_fuel_of_which_nobody_recorded_how_cold_it_gets_is_taken_as_cold_as_outdoors(
    desk: Desk, material: str, verdict: str
) -> None:
    """Fluorocarbon stands -15 degC, a special grade -35: nothing says which it is, nor that it stays milder here."""
    answer = asked(desk, ring(desk, material), engine(desk, "lpg_liquid", "LPG-CL", [LP_GAS_COLD_UNKNOWN]))
    assert answer["verdict"] == verdict
    facts = {row["fact"] for row in answer["missing"]}
    wanted = {"position: media", "candidate: temperature range of the seal"} if verdict == "undetermined" else set()
    assert facts == wanted


def test_a_ring_whose_maker_states_the_cold_needs_no_temperature_of_the_place(desk: Desk) -> None:
    window = {"value": {"min": "-35", "max": "200", "unit": "degC"}}
    cold = engine(desk, "lpg_liquid", "LPG-CL", [LP_GAS_COLD_UNKNOWN])
    assert asked(desk, ring(desk, "FKM", seal_temperature=window), cold)["verdict"] == "accepted"


LP_GAS = {"name": "lpg_liquid", "temperature": {"min": "-20", "max": "60", "unit": "degC"}, "dynamic": False}


@pytest.mark.parametrize(
    ("named", "offered", "verdict"),
    [
        ("NBR", "NBR", "accepted"), ("NBR", "HNBR", "undetermined"), ("EPDM", "EPDM", "rejected"),
        ("FKM", "EPDM", "rejected"),
    ],
)  # fmt: skip
def test_a_material_that_the_maker_names_is_asked_for_beside_what_it_touches(
    desk: Desk, named: str, offered: str, verdict: str
) -> None:
    """Common practice, no source: a name is no medium, and it stands for no medium either."""
    answer = asked(desk, ring(desk, offered), engine(desk, "lpg_liquid", "LPG-CL", [LP_GAS], named=named))
    assert answer["verdict"] == verdict
    if verdict == "undetermined":
        (open_,) = answer["missing"]
        assert open_["fact"] == "position: seal material"
        assert "asks for NBR by name: does the engine's maker allow another material" in open_["question"]


DIESEL = {"name": "diesel", "temperature": {"min": "-10", "max": "60", "unit": "degC"}, "dynamic": False}


@pytest.mark.parametrize(
    ("fuel", "service", "medium", "conditions"),
    [
        ("diesel", "BIO-100", DIESEL, ["the diesel is B0, B5, B7 or B20", "confirmed for diesel B20"]),
        ("gasoline", "GAS-E85", GASOLINE_E10, ["the gasoline is E0 or E10", "for gasoline E10"]),
        ("diesel", "DSL-L", DIESEL, []),
    ],
)
def test_a_grade_that_nobody_stated_is_weighed_in_every_grade_that_may_reach_it(
    desk: Desk, fuel: str, service: str, medium: dict[str, Any], conditions: list[str]
) -> None:
    """Nitrile: 1 in diesel, 2 in B20, 3 in B100 (test reports); 2 in E10, 3 in E85."""
    answer = asked(desk, ring(desk, "NBR"), engine(desk, fuel, service, [medium]))
    assert answer["verdict"] == ("conditional" if conditions else "accepted")
    assert all(any(words in said for said in answer["conditions"]) for words in conditions)
