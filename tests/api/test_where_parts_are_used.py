"""Where a part is used, what holds it, and what is offered where it is made no more (trade practice, no source)."""

from datetime import UTC, datetime
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.models import EngineSpecification, Part, Statement
from catalog.usecases.reading import published
from catalog.usecases.supersessions import read_supersessions, save_supersessions
from tests.api.world import Desk

pytestmark = pytest.mark.db

NOW = datetime(2026, 3, 9, 9, 15, tzinfo=UTC)
SOURCE = {"kind": "maker", "citation": "service bulletin 21, invented"}
RING = ("VRD", "8801")


def part(maker: str, number: str) -> Part:
    return Part.objects.get(maker__code=maker, number=number)


def address(named: Part, what: str) -> str:
    return f"/parts/{named.pk}/{what}/"


def said(**more: Any) -> dict[str, Any]:
    return {
        "kind": "specified",
        "part": {"maker": "VRD", "number": "4410-12"},
        "spec": {"model": "VRD-H40", "spec": "S-131"},
        "position": "spark_plug",
        "by": "VRD",
        "source": SOURCE,
        **more,
    }


def everything(desk: Desk, start: str) -> list[dict[str, Any]]:
    rows, following = [], f"/api/v1{start}"
    while following:
        page = desk.client.get(following, headers={"Authorization": f"Bearer {desk.key}"}).json()
        rows += page["results"]
        following = page["next"]
    return rows


def test_every_place_is_told_with_who_says_so_and_when_it_holds(desk: Desk) -> None:
    serials = [{"first": 131000, "last": 131500, "prefix": ""}]
    desk.made("/statements/", said(kind="excluded", applicability={"serials": serials, "places": ["indoor"]}))
    rows = everything(desk, address(part("VRD", "4410-12"), "engines"))
    (excluded,) = [row for row in rows if row["kind"] == "excluded"]
    assert excluded["said"] == "excluded here"
    assert excluded["applies"] == "serial 131000 to 131500; place of use indoor"
    assert excluded["applicability"]["serials"] == serials
    specified = next(row for row in rows if row["kind"] == "specified" and row["spec"]["spec"] == "S-131")
    assert (specified["spec"]["maker"], specified["spec"]["model"]) == ("VRD", "VRD-H40")
    assert (specified["position"]["code"], specified["quantity"]) == ("spark_plug", 4)
    assert specified["applies"] == "where LP-gas liquid or LP-gas vapour is burned"
    assert specified["source"]["kind"] == "maker"


def test_places_come_in_pages_that_neither_skip_nor_repeat(desk: Desk) -> None:
    plug = part("VRD", "4410-12")
    rows = everything(desk, f"{address(plug, 'engines')}?page_size=1")
    assert sorted(row["statement"] for row in rows) == sorted(
        Statement.objects.filter(part=plug).values_list("pk", flat=True)
    )
    assert len(rows) > 1


def test_what_is_withdrawn_is_no_place_of_use(desk: Desk) -> None:
    plug = part("VRD", "4410-12")
    before = everything(desk, address(plug, "engines"))
    spec = EngineSpecification.objects.get(model="VRD-H40", spec="S-131")
    desk.changed(f"/engine-specs/{spec.pk}/", {"status": "withdrawn"})
    kept = next(row for row in before if row["spec"]["id"] != spec.pk)
    desk.changed(f"/statements/{kept['statement']}/", {"status": "withdrawn"})
    after = everything(desk, address(plug, "engines"))
    assert [row["statement"] for row in after] == [
        row["statement"] for row in before if row["spec"]["id"] != spec.pk and row != kept
    ]


def test_a_bare_statement_holds_for_every_engine_of_the_specification(desk: Desk) -> None:
    desk.made("/statements/", said(kind="replacement"))
    rows = everything(desk, address(part("VRD", "4410-12"), "engines"))
    assert "every engine of this specification" in {row["applies"] for row in rows if row["kind"] == "replacement"}


def test_a_piece_tells_the_kits_it_is_found_in(desk: Desk) -> None:
    told = desk.get(address(part(*RING), "engines")).json()
    held = {(row["part"]["number"], row["kind"], row["quantity"]) for row in told["contained_in"]}
    assert {("6510-K", "kit", 4), ("6510-H", "kit", 3)} <= held
    assert told["more_contained_in"] is False


def test_a_matched_set_is_told_from_a_kit_and_a_withdrawn_holder_is_left_out(desk: Desk) -> None:
    held = [{"part": {"maker": "VRD", "number": "4410-07"}, "quantity": 4}]
    body = {"maker": "VRD", "number": "44-SET", "category": "spark_plug", "contains": held, "matched_set": True}
    matched = desk.made("/parts/", body)
    plug = part("VRD", "4410-07")
    assert [
        (row["part"]["number"], row["kind"]) for row in desk.get(address(plug, "engines")).json()["contained_in"]
    ] == [("44-SET", "matched_set")]
    desk.changed(f"/parts/{matched['id']}/", {"status": "withdrawn"})
    assert desk.get(address(plug, "engines")).json()["contained_in"] == []


def test_the_number_of_queries_does_not_grow_with_the_places(desk: Desk) -> None:
    plug = part("VRD", "4410-12")

    def queries() -> int:
        with CaptureQueriesContext(connection) as made:
            assert desk.get(address(plug, "engines")).status_code == 200
        return len(made)

    queries()  # what is kept of the rulebook is read at the first
    before = queries()
    for kind in ("replacement", "excluded", "listed"):
        desk.made("/statements/", said(kind=kind))
    assert queries() == before


def discontinue(maker: str, number: str, **applicability: Any) -> None:
    old = [{"part": {"maker": maker, "number": number}}]
    row = {"kind": "discontinued", "from": old, "to": [], "applicability": applicability, "source": SOURCE}
    save_supersessions(read_supersessions([row], published().rulebook), NOW)


def offered(desk: Desk, named: Part) -> dict[str, Any]:
    response = desk.get(address(named, "assemblies"))
    assert response.status_code == 200, response.content
    told: dict[str, Any] = response.json()
    return told


def test_a_piece_that_can_be_had_is_offered_nothing_else(desk: Desk) -> None:
    told = offered(desk, part(*RING))
    assert (told["reason"], told["assemblies"], told["notices"]) == (None, [], [])
    assert told["text"] == "VRD 8801 is not discontinued; nothing is offered in its place."


def test_for_a_discontinued_piece_what_holds_it_is_offered_as_a_different_job(desk: Desk) -> None:
    discontinue(*RING, serials=[{"first": 131000, "last": None, "prefix": ""}])
    told = offered(desk, part(*RING))
    assert told["reason"] == "discontinued"
    assert [notice["applies"] for notice in told["notices"]] == ["from serial 131000"]
    kit = next(row for row in told["assemblies"] if row["part"]["number"] == "6510-K")
    assert kit["different_job"] is True
    assert "Fitting it is a different job" in kit["text"]
    assert (kit["holds"]["number"], kit["quantity"]) == ("8801", 4)


def test_a_withdrawn_piece_is_treated_alike(desk: Desk) -> None:
    ring = part(*RING)
    desk.changed(f"/parts/{ring.pk}/", {"status": "withdrawn"})
    told = offered(desk, ring)
    assert told["reason"] == "withdrawn"
    assert told["assemblies"]


def test_an_assembly_that_cannot_be_had_is_passed_over_for_what_holds_it(desk: Desk) -> None:
    held = [{"part": {"maker": "VRD", "number": "6510-K"}, "quantity": 1}]
    desk.made("/parts/", {"maker": "VRD", "number": "65-R", "name": "rail with injectors", "category": "injector",
                          "contains": held})  # fmt: skip
    discontinue(*RING)
    discontinue("VRD", "6510-K")
    told = offered(desk, part(*RING))
    numbers = {row["part"]["number"]: row for row in told["assemblies"]}
    assert "6510-K" not in numbers
    assert (numbers["65-R"]["kind"], numbers["65-R"]["holds"]["number"]) == ("assembly", "6510-K")
    assert numbers["6510-H"]["kind"] == "kit"


def test_a_discontinued_piece_that_nothing_holds_says_so(desk: Desk) -> None:
    discontinue("VRD", "4410-07")
    told = offered(desk, part("VRD", "4410-07"))
    assert told["assemblies"] == []
    assert told["text"] == (
        "VRD 4410-07 is discontinued with no replacement. No assembly is recorded that holds it."
    )  # fmt: skip


@pytest.mark.parametrize("what", ["engines", "assemblies"])
def test_a_part_that_is_not_there_is_not_found(desk: Desk, what: str) -> None:
    assert desk.get(f"/parts/999999/{what}/").status_code == 404
    assert desk.get(f"/parts/{part(*RING).pk}/{what}/?colour=red").status_code == 400
