"""Editors add and change parts: every problem at once, nothing half-saved, nobody's change lost."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.models import CatalogueState, Part, PartAttribute
from service.operations.models import Change, Dealer, RoleName, Scope
from service.operations.people import create_person
from tests.api.world import Desk, demo_question
from tests.statements import own_statements

pytestmark = pytest.mark.db

SOURCE = {"kind": "maker", "citation": "data sheet 2025, invented"}
REACH = {"attribute": "reach", "value": {"value": "19", "unit": "mm"}, "source": SOURCE}
PLUG = {
    "maker": "TSK",
    "number": "4475-N",
    "name": "spark plug",
    "category": "spark_plug",
    "supplied_as": "piece",
    "barcodes": [{"code": "9520000044121"}, {"code": "19520000044128", "pack_quantity": 12}],
    "attributes": [REACH, {"attribute": "fuels", "value": ["natural_gas"], "source": SOURCE}],
    "needs": [{"part": {"maker": "TSK", "number": "4475"}, "quantity": 2, "reason": "comes in pairs"}],
}


def plug(desk: Desk) -> str:
    return f"/parts/{desk.made('/parts/', PLUG)['id']}/"


def problems(response: Any) -> set[tuple[str, str]]:
    return {(entry["pointer"], entry["code"]) for entry in response.json()["errors"]}


def test_a_part_is_kept_as_it_was_stated(desk: Desk) -> None:
    created = desk.post("/parts/", PLUG)
    assert created.status_code == 201, created.content
    part = created.json()
    assert {name: part[name] for name in ("maker", "number", "name", "category", "supplied_as")} == {
        name: PLUG[name] for name in ("maker", "number", "name", "category", "supplied_as")
    }
    assert {(row["code"], row["pack_quantity"]) for row in part["barcodes"]} == {
        ("9520000044121", 1), ("19520000044128", 12),
    }  # fmt: skip
    assert [(row["attribute"], row["value"]) for row in part["attributes"]] == [
        ("fuels", ["natural_gas"]), ("reach", {"value": "19", "unit": "mm"}),
    ]  # fmt: skip
    assert [(row["part"]["number"], row["quantity"], row["reason"]) for row in part["needs"]] == [
        ("4475", 2, "comes in pairs")
    ]
    read = desk.client.get(created.headers["Location"], headers={"Authorization": f"Bearer {desk.key}"})
    assert read.json() == part
    assert read.headers["ETag"] == created.headers["ETag"]


def test_a_part_is_changed_only_by_who_has_read_it(desk: Desk) -> None:
    """RFC 9110, 13.1.1, RFC 6585, 3, and RFC 7396 for lists."""
    address = plug(desk)
    tag = desk.get(address).headers["ETag"]
    assert desk.patch(address, {"name": "plug"}).status_code == 428
    changed = desk.patch(address, {"attributes": [REACH], "supplied_as": None}, If_Match=tag)
    assert changed.status_code == 200, changed.content
    assert [row["attribute"] for row in changed.json()["attributes"]] == ["reach"]
    assert changed.json()["supplied_as"] is None
    assert len(changed.json()["barcodes"]) == 2
    assert desk.patch(address, {"name": "plug"}, If_Match=tag).status_code == 412
    assert desk.get(address).json()["name"] == "spark plug"


def test_a_withdrawn_part_is_read_and_answers_no_question(desk: Desk) -> None:
    address = plug(desk)
    assert desk.changed(address, {"status": "withdrawn"})["status"] == "withdrawn"
    asked = desk.check({**demo_question("accepted"), "candidate": {"maker": "TSK", "number": "4475-N"}})
    assert (asked.status_code, asked.json()["code"]) == (410, "part_withdrawn")
    assert desk.client.delete(f"/api/v1{address}", headers={"Authorization": f"Bearer {desk.key}"}).status_code == 405


BAD: dict[str, tuple[dict[str, Any], str, str]] = {
    "an unknown field": ({"colour": "red"}, "#/colour", "unknown_field"),
    "an unknown category": ({"category": "nonsense"}, "#/category", "unknown_category"),
    "an unknown maker": ({"maker": "QQQ"}, "#/maker", "unknown_maker"),
    "a maker in small letters": ({"maker": "tsk"}, "#/maker", "unknown_maker"),
    "a wrong check digit": ({"barcodes": [{"code": "9520000044122"}]}, "#/barcodes/0/code", "wrong_check_digit"),
    "another part's barcode": ({"barcodes": [{"code": "9520000021467"}]}, "#/barcodes/0/code", "barcode_taken"),
    "an unknown attribute": (
        {"attributes": [{**REACH, "attribute": "charm"}]}, "#/attributes/0/attribute", "unknown_attribute",
    ),
    "a unit of another dimension": (
        {"attributes": [{**REACH, "value": {"value": "19", "unit": "g"}}]},
        "#/attributes/0/value/unit",
        "wrong_dimension",
    ),
    "a value without a source": (
        {"attributes": [{"attribute": "reach", "value": "19"}]}, "#/attributes/0/source", "required",
    ),
    "unknown contents": (
        {"contains": [{"part": {"maker": "TSK", "number": "0"}}]}, "#/contains/0/part", "unknown_part",
    ),
    "contents named twice": (
        {"contains": [{"part": {"maker": "TSK", "number": "4475"}}] * 2}, "#/contains/1/part", "named_twice",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_a_bad_part_names_its_field_and_nothing_of_it_is_kept(desk: Desk, name: str) -> None:
    changed, pointer, code = BAD[name]
    before = CatalogueState.objects.get().version, PartAttribute.objects.count()
    response = desk.post("/parts/", {**PLUG, **changed})
    assert response.status_code in (400, 404, 409)
    found = problems(response)
    assert pointer in {place for place, _ in found}, found
    assert code in {word for _, word in found}
    assert not Part.objects.filter(number="4475-N").exists()
    assert (CatalogueState.objects.get().version, PartAttribute.objects.count()) == before


def test_every_problem_of_a_part_is_told_at_once(desk: Desk) -> None:
    body = {
        **PLUG,
        "maker": "QQQ",
        "barcodes": [{"code": "9520000044122"}],
        "attributes": [{**REACH, "attribute": "charm"}],
        "needs": [{"part": {"maker": "TSK", "number": "0"}}],
    }
    assert {place for place, _ in problems(desk.post("/parts/", body))} == {
        "#/maker", "#/barcodes/0/code", "#/attributes/0/attribute", "#/needs/0/part",
    }  # fmt: skip


def test_a_number_is_added_once(desk: Desk) -> None:
    address = plug(desk)
    again = desk.post("/parts/", PLUG)
    assert (again.status_code, again.json()["code"]) == (409, "taken")
    assert f"/parts/{again.json()['id']}/" == address


def test_a_change_is_told_in_the_feed_and_stamped_with_its_version(desk: Desk) -> None:
    address = plug(desk)
    desk.changed(address, {"name": "plug"})
    # The same again is no change.
    desk.changed(address, {"name": "plug"})
    part, version = Part.objects.get(number="4475-N"), CatalogueState.objects.get().version
    assert part.changed_in == version
    told = list(Change.objects.filter(object_type="part", object_id=str(part.pk)).order_by("seq"))
    assert [(change.kind, change.payload["catalogue_version"]) for change in told] == [
        ("part.created", version - 1), ("part.changed", version),
    ]  # fmt: skip


def test_only_editors_write(desk: Desk, tallis_bridge: Dealer) -> None:
    address = plug(desk)
    reader = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ, Scope.CHECKS_WRITE, Scope.MACHINES_WRITE])
    assert reader.post("/parts/", {**PLUG, "number": "1"}).json()["code"] == "missing_scope"
    assert reader.patch(address, {"name": "x"}, If_Match="*").status_code == 403
    for role, status in ((RoleName.COUNTER, 403), (RoleName.CATALOGUE_EDITOR, 200)):
        person = create_person(
            username=role.value, name=role.value, password="a-long-pass-1", dealer=tallis_bridge, roles=[role]
        )
        desk.client.force_login(person)
        found = desk.client.patch(
            f"/api/v1{address}", {"name": role.value}, content_type="application/json", headers={"If-Match": "*"}
        )
        assert found.status_code == status, found.content
        desk.client.logout()


FILTERS = {
    "attr__reach=19 mm": True,
    "attr__reach=0.019 m": True,
    "attr__reach__gte=19 mm": True,
    "attr__reach__gt=19 mm": False,
    "attr__reach__lte=0.75 in": True,
    "attr__reach__lt=18.9 mm": False,
    "attr__fuels=natural_gas": True,
    "attr__fuels=natural_gas | lpg_vapour": False,
    "attr__fuels=lpg_vapour": False,
    "attr__gap__gte=0 mm": False,
}


@pytest.mark.parametrize("query", FILTERS)
def test_parts_are_found_by_what_is_recorded_of_them(desk: Desk, query: str) -> None:
    """What is not recorded is never found. 0.75 in are 19.05 mm, the inch being 25.4 mm exactly (NIST SP 811)."""
    plug(desk)
    name, text = query.split("=", maxsplit=1)
    found = desk.client.get(
        "/api/v1/parts/",
        {name: text, "maker": "TSK", "number": "4475N"},
        headers={"Authorization": f"Bearer {desk.key}"},
    )
    assert found.status_code == 200, found.content
    assert bool(found.json()["results"]) is FILTERS[query]


@pytest.mark.parametrize(
    ("query", "code"),
    [
        ("attr__charm=1", "unknown_attribute"),
        ("attr__reach__near=19 mm", "unknown_operator"),
        ("attr__fuels__gte=natural_gas", "unknown_operator"),
        ("attr__reach=19", "unit_missing"),
        ("attr__max_pressure__gte=350 mm", None),
        ("attr__max_pressure__gte=350 psi absolute", None),
        ("colour=red", "unknown_parameter"),
    ],
)
def test_a_filter_that_cannot_be_taken_names_its_parameter(desk: Desk, query: str, code: str | None) -> None:
    name, text = query.split("=", maxsplit=1)
    found = desk.client.get("/api/v1/parts/", {name: text}, headers={"Authorization": f"Bearer {desk.key}"})
    assert found.status_code == 400, found.content
    (error,) = found.json()["errors"]
    assert error["parameter"] == name
    assert code in (None, error["code"])


def test_a_list_takes_as_many_statements_whatever_is_asked_for(desk: Desk) -> None:
    counts = []
    for query in (
        "",
        "?attr__max_pressure__gte=1 kPa gauge",
        "?category=spark_plug&attr__fuels=natural_gas&page_size=2",
    ):
        with CaptureQueriesContext(connection) as captured:
            assert desk.get(f"/parts/{query}").status_code == 200
        counts.append(len(own_statements(captured)))
    # The key, what is published, the page.
    assert max(counts[1:]) <= 3
