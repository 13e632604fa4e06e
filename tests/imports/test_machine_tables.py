"""Machines, fuel records, as-built positions and supersessions as tables: added once, every problem named."""

import pytest

from catalog.models import Customer, FuelRecord, Machine, Supersession
from service.operations.models import Change, Dealer
from tests.api.world import Desk
from tests.imports.importer import imported

pytestmark = pytest.mark.db

MACHINES = """machine,customer,model,spec,serial,plate_fuels,place_of_use,dusty,certified,ecu
Truck 9,Long Copse Freight,VRD-H40,S-131,131090,gasoline,indoor,yes,no,
Truck 10,Long Copse Freight,,,,,,,,
"""
RECORDS = """machine,fuels,mode,found_on,by,evidence,conversion_paper
Truck 9,lpg_liquid,only_fuel,2026-01-12,J. Haverill,tank gone,no
"""
BUILT = """machine,position,category,branch,ports,maker,number,removed,source_kind,source
Truck 9,injector,injector,lpg_liquid,inlet: LPG-VI @ lpg_liquid,VRD,4410-12,no,record,looked at it
Truck 9,spark_plug,,,,,,yes,record,looked at it
"""
REPLACED = """kind,from,to,both_ways,model,spec,serials,any_fuel,all_fuels,places,source_kind,source
set,VRD 4410-07,VRD 4410-12 x2 | TSK 4470 x4,no,VRD-H40,S-131,120000..,,,,maker,bulletin
discontinued,TSK 4475,,no,,,,,,,maker,bulletin
"""


RING = """machine,position,category,branch,ports,media,source_kind,source
Truck 9,liquid_line_o_ring,seal,lpg_liquid,inside: LPG-CL,lpg_liquid -10..60 degC static,record,looked at it
"""


def test_how_many_stand_there_is_read_of_a_table_too(desk: Desk) -> None:
    imported(desk, MACHINES, table="machines")
    text = (
        "machine,position,category,quantity,source_kind,source\nTruck 9,spark_plug,spark_plug,6,record,looked at it\n"
    )
    assert imported(desk, text, table="as_built").problems == ()
    machine = Machine.objects.get(name="Truck 9")
    assert [row["quantity"] for row in desk.get(f"/machines/{machine.pk}/").json()["as_built"]] == [6]


def test_a_material_is_judged_by_what_touches_it_on_the_converted_machine(desk: Desk) -> None:
    """Rules 1 and 2: as-built positions replace the specification's, and a loose seal is gated by the media there."""
    imported(desk, MACHINES.replace("S-131,131090", "S-118,118402"), table="machines")
    imported(desk, RECORDS, table="fuel_records")
    machine = Machine.objects.get(name="Truck 9")
    question = {
        "candidate": {"maker": "VRD", "number": "6620"},
        "position": "liquid_line_o_ring",
        "machine": str(machine.pk),
    }
    found = {}
    for said, text in (("media", RING), ("none", RING.replace("lpg_liquid -10..60 degC static", ""))):
        Machine.objects.get(pk=machine.pk).as_built.all().delete()
        assert imported(desk, text, table="as_built").problems == ()
        found[said] = desk.answer(question)
    missing = {said: [row["fact"] for row in answer["missing"]] for said, answer in found.items()}
    assert ("position: media" in missing["none"], "position: media" in missing["media"]) == (True, False)
    weighed = {row["attribute"]: row["outcome"] for row in found["media"]["findings"]}
    assert (weighed["fuel_service"], weighed["seal_material"]) == ("met", "met")


def test_a_machine_is_added_with_its_customer_and_found_again_the_second_time(
    desk: Desk, tallis_bridge: Dealer
) -> None:
    done = imported(desk, MACHINES, table="machines")
    assert (done.problems, done.counts) == ((), (2, 0, 0))
    truck = Machine.objects.get(dealer=tallis_bridge, name="Truck 9")
    assert (truck.serial, truck.plate_fuels, truck.dusty, truck.ecu) == ("131090", ["gasoline"], True, None)
    assert Customer.objects.filter(dealer=tallis_bridge, name="Long Copse Freight").count() == 1
    told = Change.objects.get(object_type="machine", object_id=str(truck.pk))
    assert (told.kind, told.dealer) == ("machine.created", tallis_bridge)
    again = imported(desk, MACHINES, table="machines")
    assert again.counts == (0, 0, 2)
    truck.refresh_from_db()
    assert truck.version == 1


def test_records_and_positions_are_laid_over_the_machine(desk: Desk) -> None:
    imported(desk, MACHINES, table="machines")
    for table, text in (("fuel_records", RECORDS), ("as_built", BUILT)):
        assert imported(desk, text, table=table).counts == (0, 1, 0)
        assert imported(desk, text, table=table).counts == (0, 0, 1)
    machine = Machine.objects.get(name="Truck 9")
    shown = desk.get(f"/machines/{machine.pk}/").json()
    assert [(record["fuels"], record["mode"], record["by"]) for record in shown["fuel_records"]] == [
        (["lpg_liquid"], "only_fuel", "J. Haverill")
    ]
    assert [(row["position"], row["removed"], row["part"] and row["part"]["number"]) for row in shown["as_built"]] == [
        ("injector", False, "4410-12"), ("spark_plug", True, None),
    ]  # fmt: skip
    # What a row does not mention stays.
    assert (shown["serial"], shown["plate_fuels"]) == ("131090", ["gasoline"])


BAD = {
    "an unknown fuel": ("fuel_records", RECORDS.replace("lpg_liquid", "coal"), "unknown_fuel"),
    "a day that is none": ("fuel_records", RECORDS.replace("2026-01-12", "12.1.2026"), "not_a_day"),
    "an unknown mode": ("fuel_records", RECORDS.replace("only_fuel", "maybe"), "unknown_code"),
    "an unknown place": ("machines", MACHINES.replace("indoor", "moon"), "unknown_code"),
    "an unknown build": ("machines", MACHINES.replace("S-131", "S-999"), "unknown_specification"),
    "a serial that cannot be read": ("machines", MACHINES.replace("131090", "none"), "serial_unreadable"),
    "a part that is not there": ("as_built", BUILT.replace("4410-12", "4410-99"), "unknown_part"),
    "a class that is none": ("as_built", BUILT.replace("LPG-VI", "LPG-??"), "unknown_code"),
    "a number that is not there": ("supersessions", REPLACED.replace("TSK 4475", "TSK 9"), "unknown_part"),
    "sides that do not suit": ("supersessions", REPLACED.replace("discontinued", "one_for_one"), "wrong_sides"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_row_is_named_and_nothing_of_it_is_kept(desk: Desk, name: str) -> None:
    table, text, code = BAD[name]
    if table in ("fuel_records", "as_built"):
        imported(desk, MACHINES, table="machines")
    before = Machine.objects.count(), FuelRecord.objects.count(), Supersession.objects.count()
    done = imported(desk, text, table=table)
    assert code in {problem for _, _, problem in done.problems}, done.problems
    kept = Machine.objects.count(), FuelRecord.objects.count(), Supersession.objects.count()
    sound = {"machines": (1, 0, 0), "supersessions": (0, 0, 1)}.get(table, (0, 0, 0))
    assert tuple(now - then for now, then in zip(kept, before, strict=True)) == sound


def test_supersessions_are_added_once(desk: Desk) -> None:
    assert imported(desk, REPLACED, table="supersessions").counts == (2, 0, 0)
    assert imported(desk, REPLACED, table="supersessions").counts == (0, 0, 2)


def test_what_is_recorded_of_a_machine_that_is_not_there_is_named(desk: Desk) -> None:
    done = imported(desk, RECORDS, table="fuel_records")
    assert [code for _, _, code in done.problems] == ["unknown_machine"]
    assert not Machine.objects.filter(name="Truck 9").exists()
