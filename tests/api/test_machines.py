"""A dealer's customers and machines: kept, changed only by who has read them, and seen by nobody else."""

from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.models import Customer, FuelRecord, Machine
from service.operations.models import Change, Dealer, Scope
from tests.api.world import Desk

pytestmark = pytest.mark.db

GENSET = {
    "name": "Genset South",
    "spec": {"model": "TSK-R60", "spec": "N-43"},
    "serial": "61390",
    "plate_fuels": ["natural_gas"],
    "place_of_use": "outdoor",
    "certified": False,
}
FOUND = {"fuels": ["lpg_vapour"], "mode": "only_fuel", "found_on": "2024-05-06", "by": "J. Haverill"}
CONFIRMED = {"name": "A. Tarle", "licence": "G-114", "area": "north", "expires": "2026-12-31", "on": "2026-03-01"}
REBUILT = {
    "position": "gas_regulator",
    "category": "injector",
    "branch": "lpg_vapour",
    "ports": [{"port": "inlet", "fuel": "lpg_vapour", "classes": ["LPG-VI"]}],
    "media": [
        {
            "name": "lpg_vapour",
            "slot": None,
            "temperature": {"min": "-10", "max": "60", "unit": "degC"},
            "dynamic": None,
        }
    ],
    "described": {"maker_text": "no name", "number_text": "R 2"},
    "source": {"kind": "record", "citation": "looked at on 2024-05-06"},
}


@pytest.fixture(autouse=True)
def _none_yet(tallis_bridge: Dealer) -> None:
    """The demo's own machines out of sight."""
    for rows in (Machine, Customer):
        rows.objects.visible_to(tallis_bridge).delete()


def genset(desk: Desk) -> str:
    return f"/machines/{desk.made('/machines/', GENSET)['id']}/"


def test_a_machine_is_kept_as_it_was_stated_and_what_was_not_stated_is_unknown(desk: Desk) -> None:
    customer = desk.made("/customers/", {"name": "Cold Ash Ice Hall"})
    created = desk.post("/machines/", {**GENSET, "customer": customer["id"]})
    assert created.status_code == 201
    read = desk.client.get(created.headers["Location"], headers={"Authorization": f"Bearer {desk.key}"})
    assert read.json() == created.json()
    assert read.headers["ETag"] == created.headers["ETag"]
    machine = read.json()
    assert {name: machine[name] for name in GENSET} == GENSET
    assert machine["customer"] == customer
    assert (machine["dusty"], machine["ecu"], machine["fuel_records"], machine["as_built"]) == (None, None, [], [])


def test_a_change_is_made_only_to_what_was_read(desk: Desk) -> None:
    """RFC 9110, 13.1.1 and RFC 6585, 3."""
    address = genset(desk)
    tag = desk.get(address).headers["ETag"]
    assert desk.patch(address, {"serial": "61391"}).status_code == 428
    changed = desk.patch(address, {"serial": "61391", "place_of_use": None}, If_Match=tag)
    assert changed.status_code == 200
    assert (changed.json()["serial"], changed.json()["place_of_use"]) == ("61391", None)
    assert changed.json()["plate_fuels"] == ["natural_gas"]
    assert desk.patch(address, {"serial": "61392"}, If_Match=tag).status_code == 412
    assert desk.get(address).json()["serial"] == "61391"
    assert desk.get(address).headers["ETag"] == changed.headers["ETag"] != tag


def test_a_fuel_record_moves_the_machine_on(desk: Desk) -> None:
    address = genset(desk)
    tag = desk.get(address).headers["ETag"]
    kept = desk.made(f"{address}fuel-records/", {**FOUND, "confirmed_by": CONFIRMED})
    assert (kept["fuels"], kept["conversion_paper"], kept["confirmed_by"]) == (["lpg_vapour"], False, CONFIRMED)
    assert desk.get(f"{address}fuel-records/").json()["results"] == [kept]
    assert desk.get(address).json()["fuel_records"] == [kept]
    assert desk.patch(address, {"name": "Genset"}, If_Match=tag).status_code == 412


def test_fuel_records_are_listed_by_the_day_they_were_found(desk: Desk) -> None:
    address = genset(desk)
    for day in ("2026-01-12", "2024-05-06"):
        desk.made(f"{address}fuel-records/", {**FOUND, "found_on": day})
    days = [record["found_on"] for record in desk.get(f"{address}fuel-records/").json()["results"]]
    assert days == ["2024-05-06", "2026-01-12"]


def test_an_as_built_position_is_stated_once_and_changed_then(desk: Desk) -> None:
    address = genset(desk)
    kept = desk.made(f"{address}as-built/", REBUILT)
    assert kept == {**REBUILT, "quantity": None, "part": None, "removed": False}
    assert desk.post(f"{address}as-built/", REBUILT).json()["code"] == "taken"
    own = f"{address}as-built/gas_regulator/"
    changed = desk.changed(own, {"part": {"maker": "TSK", "number": "4475"}, "described": None})
    assert (changed["part"]["number"], changed["described"]) == ("4475", None)
    changed = desk.changed(own, {"removed": True, "part": None})
    assert (changed["removed"], changed["part"]) == (True, None)
    assert desk.get(f"{address}as-built/").json()["results"] == [changed]
    assert desk.get(f"{address}as-built/nowhere/").status_code == 404


BAD: dict[str, tuple[str, dict[str, Any], str, str]] = {
    "no name": ("/machines/", {"serial": "1"}, "#/name", "required"),
    "an unknown field": ("/machines/", {**GENSET, "colour": "red"}, "#/colour", "unknown_field"),
    "an unknown fuel": ("/machines/", {**GENSET, "plate_fuels": ["coal"]}, "#/plate_fuels/0", "unknown_fuel"),
    "a serial without a digit": ("/machines/", {**GENSET, "serial": "unknown"}, "#/serial", "serial_unreadable"),
    "a serial too long": ("/machines/", {**GENSET, "serial": "1" * 41}, "#/serial", "serial_unreadable"),
    "an unknown place": ("/machines/", {**GENSET, "place_of_use": "moon"}, "#/place_of_use", "unknown_code"),
    "a flag in quotes": ("/machines/", {**GENSET, "dusty": "yes"}, "#/dusty", "invalid"),
    "an unknown build": (
        "/machines/", {**GENSET, "spec": {"model": "TSK-R60", "spec": "X"}}, "#/spec", "unknown_specification",
    ),
    "nobody's customer": ("/machines/", {**GENSET, "customer": str(uuid4())}, "#/customer", "unknown_customer"),
    "a customer without a name": ("/customers/", {"name": " "}, "#/name", "blank"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_a_bad_machine_names_its_field_and_is_not_kept(desk: Desk, name: str) -> None:
    address, body, pointer, code = BAD[name]
    response = desk.post(address, body)
    assert response.status_code in (400, 404)
    assert (pointer, code) in [(entry["pointer"], entry["code"]) for entry in response.json()["errors"]]
    assert not Machine.objects.exists()
    assert not Customer.objects.exists()


def test_every_problem_of_a_machine_is_told_at_once(desk: Desk) -> None:
    body = {**GENSET, "serial": "none", "plate_fuels": ["coal"], "place_of_use": "moon", "customer": str(uuid4())}
    pointers = {entry["pointer"] for entry in desk.post("/machines/", body).json()["errors"]}
    assert pointers == {"#/serial", "#/plate_fuels/0", "#/place_of_use", "#/customer"}


BAD_RECORDS: dict[str, tuple[dict[str, Any], str, str]] = {
    "no fuel": ({**FOUND, "fuels": []}, "#/fuels", "min_length"),
    "an unknown mode": ({**FOUND, "mode": "perhaps"}, "#/mode", "invalid_choice"),
    "found tomorrow": ({**FOUND, "found_on": "2100-01-01"}, "#/found_on", "found_in_the_future"),
    "a licence that had expired": (
        {**FOUND, "confirmed_by": {**CONFIRMED, "expires": "2026-02-28"}}, "#/confirmed_by/expires", "licence_expired",
    ),
    "half a confirmation": (
        {**FOUND, "confirmed_by": {"name": "A. Tarle"}}, "#/confirmed_by/licence", "required",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD_RECORDS)
def test_a_bad_fuel_record_names_its_field_and_is_not_kept(desk: Desk, name: str) -> None:
    body, pointer, code = BAD_RECORDS[name]
    address = genset(desk)
    response = desk.post(f"{address}fuel-records/", body)
    assert response.status_code == 400
    assert (pointer, code) in [(entry["pointer"], entry["code"]) for entry in response.json()["errors"]]
    assert not FuelRecord.objects.exists()


BAD_POSITIONS: dict[str, tuple[dict[str, Any], str, str]] = {
    "nothing that stands there": ({"category": None}, "#/category", "required"),
    "an unknown category": ({"category": "nonsense"}, "#/category", "unknown_category"),
    "an unknown class": (
        {"ports": [{"port": "inlet", "classes": ["LPG-??"]}]}, "#/ports/0/classes/0", "unknown_code",
    ),
    "temperatures in millimetres": (
        {"media": [{"name": "lpg_vapour", "temperature": {"min": "1", "max": "2", "unit": "mm"}}]},
        "#/media/0/temperature/unit", "wrong_dimension",
    ),
    "a part where it was removed": ({"removed": True}, "#/part", "removed_and_filled"),
    "an unknown part": ({"part": {"maker": "TSK", "number": "0"}, "described": None}, "#/part", "unknown_part"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD_POSITIONS)
def test_a_bad_position_names_its_field_and_is_not_kept(desk: Desk, name: str) -> None:
    changed, pointer, code = BAD_POSITIONS[name]
    address = genset(desk)
    response = desk.post(f"{address}as-built/", {**REBUILT, **changed})
    assert (pointer, code) in [(entry["pointer"], entry["code"]) for entry in response.json()["errors"]]
    assert desk.get(f"{address}as-built/").json()["results"] == []


def test_two_machines_of_one_dealer_do_not_share_a_name(desk: Desk, other_desk: Desk) -> None:
    genset(desk)
    assert desk.post("/machines/", GENSET).json()["code"] == "taken"
    # Another dealer's names are its own affair.
    assert other_desk.post("/machines/", GENSET).status_code == 201


def test_another_dealer_neither_finds_nor_changes_a_machine(desk: Desk, other_desk: Desk) -> None:
    address = genset(desk)
    desk.made(f"{address}as-built/", REBUILT)
    customer = desk.made("/customers/", {"name": "Cold Ash Ice Hall"})
    asked = [
        other_desk.get(address),
        other_desk.patch(address, {"name": "mine"}, If_Match="*"),
        other_desk.get(f"{address}fuel-records/"),
        other_desk.post(f"{address}fuel-records/", FOUND),
        other_desk.get(f"{address}as-built/"),
        other_desk.post(f"{address}as-built/", REBUILT),
        other_desk.patch(f"{address}as-built/gas_regulator/", {"removed": True}, If_Match="*"),
        other_desk.get(f"/customers/{customer['id']}/"),
        other_desk.patch(f"/customers/{customer['id']}/", {"name": "mine"}, If_Match="*"),
        other_desk.post("/machines/", {**GENSET, "customer": customer["id"]}),
    ]
    assert [response.status_code for response in asked] == [404] * len(asked)
    nobodys = other_desk.get(f"/machines/{uuid4()}/").json()
    assert asked[0].json()["detail"] == nobodys["detail"]
    assert other_desk.get("/machines/").json()["results"] == []
    assert other_desk.get("/customers/").json()["results"] == []


def test_a_withdrawn_machine_is_read_and_not_asked_for(desk: Desk) -> None:
    address = genset(desk)
    assert desk.changed(address, {"status": "withdrawn"})["status"] == "withdrawn"
    number = desk.get(address).json()["id"]
    refused = desk.check({"candidate": {"maker": "TSK", "number": "4470"}, "machine": number})
    assert (refused.status_code, refused.json()["code"]) == (410, "machine_withdrawn")


def test_every_change_is_told_in_the_dealers_own_feed_in_order(
    desk: Desk, tallis_bridge: Dealer, weir_lane: Dealer
) -> None:
    before = Change.objects.count()
    address = genset(desk)
    desk.made(f"{address}fuel-records/", FOUND)
    desk.made(f"{address}as-built/", REBUILT)
    desk.changed(address, {"dusty": True})
    number = desk.get(address).json()["id"]
    told = list(Change.objects.order_by("seq"))[before:]
    assert [(change.kind, change.object_id, change.payload) for change in told] == [
        ("machine.created", number, {"version": 1}),
        ("machine.changed", number, {"version": 2}),
        ("machine.changed", number, {"version": 3}),
        ("machine.changed", number, {"version": 4}),
    ]
    assert not Change.objects.visible_to(weir_lane).filter(object_type="machine").exists()
    own = Change.objects.visible_to(tallis_bridge).filter(object_type="machine", seq__gte=told[0].seq)
    assert own.count() == len(told)


def test_a_key_that_may_only_read_changes_nothing(desk: Desk, tallis_bridge: Dealer) -> None:
    address = genset(desk)
    reader = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ])
    assert reader.get(address).status_code == 200
    assert reader.post("/machines/", {**GENSET, "name": "another"}).json()["code"] == "missing_scope"
    assert reader.patch(address, {"dusty": True}, If_Match="*").status_code == 403
    assert reader.post(f"{address}fuel-records/", FOUND).status_code == 403


def test_reading_machines_takes_as_many_statements_whatever_their_number(desk: Desk) -> None:
    genset(desk)
    few = _statements(desk, "/machines/")
    for number in range(5):
        desk.made("/machines/", {**GENSET, "name": f"Genset {number}"})
    assert _statements(desk, "/machines/") == few <= 3


def _statements(desk: Desk, address: str) -> int:
    with CaptureQueriesContext(connection) as captured:
        desk.get(address)
    return len(captured)


def test_machines_are_found_by_name_customer_and_status(desk: Desk) -> None:
    customer = desk.made("/customers/", {"name": "Cold Ash Ice Hall"})
    desk.made("/machines/", GENSET)
    desk.made("/machines/", {"name": "Resurfacer 1", "customer": customer["id"]})
    names = {
        query: [row["name"] for row in desk.get(f"/machines/?{query}").json()["results"]]
        for query in ("name=Genset South", f"customer={customer['id']}", "status=withdrawn", "page_size=1")
    }
    assert list(names.values()) == [["Genset South"], ["Resurfacer 1"], [], ["Genset South"]]
    assert desk.get("/machines/?customer=ice").json()["errors"][0]["parameter"] == "customer"


def test_a_machine_whose_build_is_withdrawn_can_still_be_changed_otherwise(desk: Desk) -> None:
    address = genset(desk)
    build = desk.get("/engine-specs/?model=TSK-R60&spec=N-43").json()["results"][0]["id"]
    desk.changed(f"/engine-specs/{build}/", {"status": "withdrawn"})
    assert desk.changed(address, {"dusty": True})["dusty"] is True
    tag = desk.get(address).headers["ETag"]
    refused = desk.patch(address, {"serial": "61391"}, If_Match=tag)
    assert (refused.status_code, refused.json()["code"]) == (404, "unknown_specification")
    assert desk.changed(address, {"spec": None, "serial": "61391"})["spec"] is None
