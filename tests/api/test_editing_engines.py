"""Editors add and change builds and makers' statements; who may say what is checked where it is written."""

from copy import deepcopy
from typing import Any

import pytest

from catalog.models import CatalogueState, EngineSpecification, Statement
from catalog.usecases.reading import published
from catalog.usecases.supersessions import read_supersessions, save_supersessions
from service.errors import DomainError
from service.operations.models import Change, Dealer
from tests.api.world import NOW, Desk

pytestmark = pytest.mark.db

SOURCE = {"kind": "maker", "citation": "parts book 2025, invented"}
BUILD: dict[str, Any] = {
    "maker": "TSK",
    "model": "TSK-R60",
    "spec": "N-99",
    "name": "genset, trial",
    "cylinders": 6,
    "fuels": ["natural_gas"],
    "positions": [
        {
            "code": "spark_plug",
            "name": "spark plug",
            "category": "spark_plug",
            "quantity": 6,
            "demands": [{"attribute": "reach", "value": {"value": "19", "unit": "mm"}, "source": SOURCE}],
        }
    ],
    "supply_stages": [{"fuel": "natural_gas", "kind": "regulator"}, {"fuel": "natural_gas", "kind": "mixer"}],
}
SAID: dict[str, Any] = {
    "kind": "specified",
    "part": {"maker": "TSK", "number": "4470"},
    "spec": {"model": "TSK-R60", "spec": "N-99"},
    "position": "spark_plug",
    "by": "TSK",
    "applicability": {"all_fuels": ["natural_gas"], "serials": [{"last": 61499}]},
    "source": SOURCE,
}


def build(desk: Desk) -> str:
    return f"/engine-specs/{desk.made('/engine-specs/', BUILD)['id']}/"


def problems(response: Any) -> set[tuple[str, str]]:
    return {(entry["pointer"], entry["code"]) for entry in response.json()["errors"]}


def test_a_build_is_kept_with_positions_demands_and_stages(desk: Desk) -> None:
    address = build(desk)
    kept = desk.get(address).json()
    assert {name: kept[name] for name in ("maker", "model", "spec", "cylinders", "fuels")} == {
        name: BUILD[name] for name in ("maker", "model", "spec", "cylinders", "fuels")
    }
    (position,) = kept["positions"]
    assert (position["code"], position["quantity"], position["branch"]) == ("spark_plug", 6, None)
    assert position["demands"] == [
        {"attribute": "reach", "slot": None, "value": {"value": "19", "unit": "mm"}, "basis": "stated",
         "source": SOURCE}
    ]  # fmt: skip
    assert [stage["kind"] for stage in kept["supply_stages"]] == ["regulator", "mixer"]
    listed = desk.get("/engine-specs/?model=TSK-R60&spec=N-99").json()["results"]
    assert [row["id"] for row in listed] == [kept["id"]]


def test_a_build_is_changed_in_what_is_stated_and_no_more(desk: Desk) -> None:
    address = build(desk)
    tag = desk.get(address).headers["ETag"]
    assert desk.patch(address, {"name": "genset"}).status_code == 428
    changed = desk.patch(address, {"name": "genset", "cylinders": None}, If_Match=tag).json()
    assert (changed["name"], changed["cylinders"], len(changed["positions"])) == ("genset", None, 1)
    assert len(changed["supply_stages"]) == 2
    assert desk.patch(address, {"name": "x"}, If_Match=tag).status_code == 412
    plug = BUILD["positions"][0]
    changed = desk.changed(address, {"positions": [plug, {"code": "belt", "category": "spark_plug"}]})
    assert [position["code"] for position in changed["positions"]] == ["spark_plug", "belt"]
    changed = desk.changed(address, {"supply_stages": []})
    assert changed["supply_stages"] == []


def test_a_position_that_statements_are_about_cannot_go(desk: Desk) -> None:
    address = build(desk)
    desk.made("/statements/", SAID)
    tag = desk.get(address).headers["ETag"]
    refused = desk.patch(address, {"positions": []}, If_Match=tag)
    assert (refused.status_code, refused.json()["code"]) == (409, "position_in_use")
    assert len(desk.get(address).json()["positions"]) == 1


def test_a_bad_build_names_every_field_and_is_not_kept(desk: Desk) -> None:
    before = CatalogueState.objects.get().version
    body = deepcopy(BUILD)
    body["fuels"] = ["coal"]
    body["positions"][0]["category"] = "nonsense"
    found = problems(desk.post("/engine-specs/", body))
    assert found & {("#/fuels/0", "unknown_fuel"), ("#/positions/0/category", "unknown_category")}
    body = {**BUILD, "supply_stages": [{"fuel": "natural_gas", "kind": "rail", "position": "nowhere"}]}
    assert problems(desk.post("/engine-specs/", body)) == {("#/supply_stages/0/position", "unknown_position")}
    assert problems(desk.post("/engine-specs/", {**BUILD, "bore": 1})) == {("#/bore", "unknown_field")}
    assert not EngineSpecification.objects.filter(spec="N-99").exists()
    assert CatalogueState.objects.get().version == before


def test_a_statement_is_heard_at_once_and_no_more_once_it_is_withdrawn(desk: Desk) -> None:
    build(desk)
    kept = desk.made("/statements/", {**SAID, "kind": "excluded"})
    assert kept["applicability"] == {
        "serials": [{"first": None, "last": 61499, "prefix": ""}], "any_fuel": [], "all_fuels": ["natural_gas"],
        "places": [],
    }  # fmt: skip
    question = {
        "candidate": SAID["part"],
        "position": "spark_plug",
        "application": {
            "spec": SAID["spec"], "serial": "61390", "plate_fuels": ["natural_gas"], "certified": False,
            "fuel_records": [{"fuels": ["natural_gas"], "mode": "only_fuel", "found_on": "2026-01-12"}],
        },
    }  # fmt: skip
    assert _excluded(desk, question)
    assert desk.changed(f"/statements/{kept['id']}/", {"status": "withdrawn"})["status"] == "withdrawn"
    assert not _excluded(desk, question)
    assert desk.get(f"/statements/?spec={_id(desk)}&status=active").json()["results"] == []
    desk.changed(f"/statements/{kept['id']}/", {"status": "active"})
    assert _excluded(desk, question)
    assert [row["id"] for row in desk.get(f"/statements/?spec={_id(desk)}").json()["results"]] == [kept["id"]]


def _excluded(desk: Desk, question: dict[str, Any]) -> bool:
    answer = desk.answer(question)
    return any("exclude" in finding["text"] and finding["effect"] == "reject" for finding in answer["findings"])


def _id(desk: Desk) -> int:
    number: int = desk.get("/engine-specs/?spec=N-99").json()["results"][0]["id"]
    return number


# Architecture, rule 3: the engine's maker specifies, a part's own maker lists, either may exclude.
AUTHORS = [
    ("specified", "TSK", True), ("specified", "VRD", False), ("replacement", "TSK", True),
    ("replacement", "VRD", False), ("excluded", "TSK", True), ("excluded", "VRD", True), ("excluded", "OLM", False),
    ("listed", "VRD", True), ("listed", "TSK", False), ("third_party", "OLM", True),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "by", "may"), AUTHORS)
def test_who_may_say_it_is_checked_where_it_is_written(desk: Desk, kind: str, by: str, may: bool) -> None:
    build(desk)
    response = desk.post(
        "/statements/", {**SAID, "kind": kind, "by": by, "part": {"maker": "VRD", "number": "4410-12"}}
    )  # fmt: skip
    if may:
        assert response.status_code == 201, response.content
    else:
        assert problems(response) == {("#/by", "not_theirs_to_say")}
        assert not Statement.objects.filter(specification__spec="N-99").exists()


BAD_STATEMENTS: dict[str, tuple[dict[str, Any], str, str]] = {
    "an unknown part": ({"part": {"maker": "TSK", "number": "0"}}, "#/part", "unknown_part"),
    "an unknown position": ({"position": "nowhere"}, "#/position", "unknown_position"),
    "an unknown fuel": ({"applicability": {"any_fuel": ["coal"]}}, "#/applicability/any_fuel/0", "unknown_fuel"),
    "serials the wrong way round": (
        {"applicability": {"serials": [{"first": 2, "last": 1}]}}, "#/applicability/serials/0", "order",
    ),
    "no kind": ({"kind": None}, "#/kind", "null"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD_STATEMENTS)
def test_a_bad_statement_names_its_field_and_is_not_kept(desk: Desk, name: str) -> None:
    changed, pointer, code = BAD_STATEMENTS[name]
    build(desk)
    response = desk.post("/statements/", {**SAID, **changed})
    assert (pointer, code) in problems(response)
    assert not Statement.objects.filter(specification__spec="N-99").exists()


def test_what_is_said_already_is_not_said_twice(desk: Desk) -> None:
    build(desk)
    desk.made("/statements/", SAID)
    assert desk.post("/statements/", SAID).json()["code"] == "taken"


REPLACED = {
    "kind": "set",
    "from": [{"part": {"maker": "VRD", "number": "4410-07"}}],
    "to": [{"part": {"maker": "VRD", "number": "4410-12"}, "quantity": 2},
           {"part": {"maker": "TSK", "number": "4470"}, "quantity": 4}],
    "spec": {"model": "VRD-H40", "spec": "S-131"},
    "applicability": {"serials": [{"first": 120000}]},
    "source": SOURCE,
}  # fmt: skip


def test_what_replaces_a_part_is_read_from_both_ends(desk: Desk) -> None:
    drafts = read_supersessions([REPLACED], published().rulebook)
    assert save_supersessions(drafts, NOW).added == 1
    assert save_supersessions(drafts, NOW).unchanged == 1
    old = desk.get("/parts/?maker=VRD&number=4410-07").json()["results"][0]["id"]
    new = desk.get("/parts/?maker=TSK&number=4470").json()["results"][0]["id"]
    (row,) = (row for row in desk.get(f"/parts/{old}/supersessions/").json()["results"] if row["kind"] == "set")
    assert row in desk.get(f"/parts/{new}/supersessions/").json()["results"]
    assert [(one["part"]["number"], one["quantity"]) for one in row["to"]] == [("4410-12", 2), ("4470", 4)]
    assert (row["both_ways"], row["spec"]) == (False, REPLACED["spec"])
    assert row["applicability"]["serials"] == [{"first": 120000, "last": None, "prefix": ""}]
    assert Change.objects.filter(object_type="part", object_id=str(old)).exists()


@pytest.mark.parametrize(
    "changed",
    [
        {"to": []},
        {"kind": "one_for_one"},
        {"kind": "together"},
        {"kind": "discontinued", "both_ways": True},
        {"to": REPLACED["from"]},
    ],
)
def test_sides_that_do_not_suit_their_kind_are_refused(tallis_bridge: Dealer, changed: dict[str, Any]) -> None:
    with pytest.raises(DomainError):
        read_supersessions([{**REPLACED, **changed}], published().rulebook)
