"""The demo's machines and supersessions are those of the acceptance fixture (invented)."""

from typing import Any

import pytest

from catalog.models import CatalogueState, FuelRecord, Machine, Supersession
from catalog.usecases.demo_dealership import load_demo
from service.operations.models import Change, Dealer
from tests.api.world import NOW, Desk, demo_catalogue

pytestmark = pytest.mark.db

ENGINES = {
    "Resurfacer 1": ("VRD-H40", "S-118", "118402"),
    "Truck 7": ("VRD-H40", "S-131", "131077"),
    "Pump 3": ("OLM-K55", "D-30A", "204871"),
    "Pump 4": ("OLM-K55", "D-30A", "205113"),
    "Genset North": ("TSK-R60", "N-43", "61622"),
    "Genset South": ("TSK-R60", "N-43", "61390"),
    "Truck 2": ("VRD-H40", "S-131", None),
    # Of the jobs of one week: pump sets, resurfacers, a standby set and lift trucks.
    "Pump 5": ("OLM-K55", "D-30A", "205240"),
    "Resurfacer 2": ("VRD-H40", "S-118", "118377"),
    "Standby 1": ("TSK-R60", "N-43", "61805"),
    "Truck 11": ("VRD-H40", "S-131", "131204"),
    "Truck 12": ("VRD-H40", "S-131", "131205"),
    "Truck 13": ("VRD-H40", "S-131", "131219"),
    "Truck 14": ("VRD-H40", "S-131", "131220"),
}


def machine(desk: Desk, name: str) -> dict[str, Any]:
    found: list[dict[str, Any]] = desk.get(f"/machines/?name={name}").json()["results"]
    return found[0]


def test_the_machines_are_there_with_what_was_found(desk: Desk) -> None:
    listed = {row["name"]: row for row in desk.get("/machines/").json()["results"]}
    assert {name: (row["spec"]["model"], row["spec"]["spec"], row["serial"]) for name, row in listed.items()} == ENGINES
    south = desk.get(f"/machines/{listed['Genset South']['id']}/").json()
    assert [(record["fuels"], record["mode"], record["found_on"]) for record in south["fuel_records"]] == [
        (["lpg_vapour"], "only_fuel", "2024-05-06")
    ]
    assert desk.get(f"/machines/{listed['Truck 2']['id']}/").json()["fuel_records"] == []


def test_loading_them_again_changes_nothing(tallis_bridge: Dealer) -> None:
    rows = Machine.objects.count(), FuelRecord.objects.count(), Supersession.objects.count()
    before = CatalogueState.objects.get().version, Change.objects.count()
    written = load_demo(demo_catalogue(), NOW)
    assert (written.added, written.changed) == (0, 0)
    assert (CatalogueState.objects.get().version, Change.objects.count()) == before
    assert rows == (Machine.objects.count(), FuelRecord.objects.count(), Supersession.objects.count())


CHAINS = {
    ("VRD", "0021-450"): [
        ("one_for_one", ["0021-440"], ["0021-450"], False, None),
        ("one_for_one", ["0021-450"], ["0021-460"], True, (None, 119999)),
        ("one_for_one", ["0021-450"], ["0021-460"], False, (120000, None)),
    ],
    ("OLM", "8815"): [("one_for_one", ["8812-1", "8812-2"], ["8815"], False, None)],
    ("OLM", "7701"): [("set", ["7701"], ["7702", "7703"], False, None)],
    ("TSK", "R-2200K"): [("one_for_one", ["R-2200K"], ["R-2300K"], False, (61500, None))],
    ("VRD", "3300-1"): [
        ("one_for_one", ["3300-1"], ["3300-2"], False, None),
        ("one_for_one", ["3300-2"], ["3300-1"], False, None),
    ],
}


@pytest.mark.parametrize("named", CHAINS, ids=lambda named: named[1])
def test_the_supersessions_are_there(desk: Desk, named: tuple[str, str]) -> None:
    part = desk.get(f"/parts/?maker={named[0]}&number={named[1]}").json()["results"][0]["id"]
    rows = desk.get(f"/parts/{part}/supersessions/").json()["results"]
    assert [
        (
            row["kind"],
            [one["part"]["number"] for one in row["from"]],
            [one["part"]["number"] for one in row["to"]],
            row["both_ways"],
            next(((one["first"], one["last"]) for one in row["applicability"]["serials"]), None),
        )
        for row in rows
    ] == CHAINS[named]


def test_scenario_15_the_gasoline_plug_on_truck_7(desk: Desk) -> None:
    answer = desk.answer({
        "candidate": {"maker": "VRD", "number": "4410-07"}, "replaces": {"maker": "VRD", "number": "4410-12"},
        "machine": machine(desk, "Truck 7")["id"],
    })  # fmt: skip
    assert answer["verdict"] == "rejected"
    assert "gasoline" in answer["headline"].lower()
    assert "lp-gas" in answer["headline"].lower()


def test_scenario_16_the_converted_genset(desk: Desk) -> None:
    south = machine(desk, "Genset South")["id"]
    answer = desk.answer({"candidate": {"maker": "TSK", "number": "4470"}, "machine": south})
    assert answer["verdict"] == "rejected"
    assert "2024-05-06" in answer["headline"]
    assert any("Plate says natural gas" in text for text in answer["conflicts"])
    other = desk.answer({"candidate": {"maker": "TSK", "number": "4475"}, "machine": south})
    assert other["verdict"] == "conditional"
    assert any("does not approve the conversion" in text for text in other["conditions"])
    assert other["machine"] == south


def test_scenario_18_truck_2_before_and_after_somebody_looked(desk: Desk) -> None:
    truck = machine(desk, "Truck 2")["id"]
    for number in ("4410-07", "4410-12"):
        answer = desk.answer({"candidate": {"maker": "VRD", "number": number}, "machine": truck})
        assert answer["verdict"] == "undetermined"
        assert [fact["fact"] for fact in answer["missing"]] == ["fuel as-found"]
    record = {"fuels": ["lpg_liquid"], "mode": "only_fuel", "found_on": "2026-03-09", "by": "counter"}
    desk.made(f"/machines/{truck}/fuel-records/", record)
    verdicts = {
        number: desk.answer({"candidate": {"maker": "VRD", "number": number}, "machine": truck})["verdict"]
        for number in ("4410-07", "4410-12")
    }
    assert verdicts == {"4410-07": "rejected", "4410-12": "conditional"}


def test_a_machine_is_answered_as_its_application_is(desk: Desk) -> None:
    """Equal facts are one digest, whether the engine is named or described."""
    south = desk.get(f"/machines/{machine(desk, 'Genset South')['id']}/").json()
    application = {name: south[name] for name in ("spec", "serial", "plate_fuels", "place_of_use", "certified")}
    application["fuel_records"] = [
        {name: record[name] for name in ("fuels", "mode", "found_on", "conversion_paper")}
        for record in south["fuel_records"]
    ]
    question = {"candidate": {"maker": "TSK", "number": "4475"}, "position": "spark_plug"}
    named = desk.answer({**question, "machine": south["id"]})
    described = desk.answer({**question, "application": application})
    assert (named["digest"], named["verdict"]) == (described["digest"], described["verdict"])
    assert [row["id"] for row in desk.get(f"/checks/?machine={south['id']}").json()["results"]] == [named["id"]]


def test_a_batch_takes_machines_and_finds_none_of_another_dealer(desk: Desk, other_desk: Desk) -> None:
    item = {"candidate": {"maker": "VRD", "number": "4410-12"}, "machine": machine(desk, "Truck 7")["id"]}
    own, theirs = (one.post("/checks/batch/", {"items": [item, item]}).json()["results"] for one in (desk, other_desk))
    assert [one["verdict"] for one in own] == ["accepted", "accepted"]
    assert [one["problem"]["code"] for one in theirs] == ["unknown_machine", "unknown_machine"]
