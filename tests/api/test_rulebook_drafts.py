"""An editor changes rules without a programmer, a row at a time, and cannot loosen the gate."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client

from catalog.models import RulebookVersion
from catalog.usecases.rulebooks import current_rulebook_number
from service.operations.changes import newest
from service.operations.models import Dealer, Scope
from service.operations.people import create_person
from tests.api.world import JSON, Desk

pytestmark = pytest.mark.db
PRESSURE = "rows/rules/fuel_hose.working_pressure/"
HOT = "rows/cautions/hot_exhaust/"


class Editor:
    """Oda Wren works on the shared catalogue; she belongs to no dealer and signs in."""

    def __init__(self) -> None:
        person = create_person(username="oda", name="Oda Wren", roles=["catalogue_editor"], dealer=None,
                               password="a long pass phrase")  # fmt: skip
        self.client = Client(raise_request_exception=False)
        self.client.force_login(person)

    def get(self, address: str, **headers: str) -> Any:
        return self.client.get(f"/api/v1/rulebooks/{address}", headers=headers)

    def send(self, method: str, address: str, body: Any = None, **headers: str) -> Any:
        raw = b"" if body is None else json.dumps(body)
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return self.client.generic(method, f"/api/v1/rulebooks/{address}", raw, content_type=JSON, headers=named)

    def draft(self, **more: Any) -> str:
        made = self.send("POST", "", {"name": "trial", **more})
        assert made.status_code == 201, made.content
        name: str = made.json()["rulebook"]
        assert made.headers["Location"] == f"/api/v1/rulebooks/{name}/"
        return f"{name}/"

    def change(self, draft: str, row: str, patch: Any) -> Any:
        """Read a row, then change it as read."""
        tag = self.get(draft + row).headers["ETag"]
        return self.send("PATCH", draft + row, patch, If_Match=tag)


@pytest.fixture
def editor(tallis_bridge: Dealer) -> Editor:
    return Editor()


def test_a_rule_is_changed_tried_compared_and_published(editor: Editor, desk: Desk) -> None:
    draft = editor.draft(note="Pressure is asked first.")
    changed = editor.change(draft, PRESSURE, {"rank": 1})
    assert (changed.status_code, changed.json()["content"]["rank"]) == (200, 1)
    assert editor.get(f"{draft}problems/").json()["results"] == []
    (difference,) = editor.get(f"1/differences/?to={draft.strip('/')}").json()["results"]
    assert difference["text"].startswith("fuel hose, working pressure: rank was ")
    published = editor.send("POST", f"{draft}publish/")
    assert (published.status_code, published.headers["Location"]) == (201, "/api/v1/rulebooks/2/")
    body = published.json()
    assert (body["number"], body["by"], body["note"], body["based_on"], body["in_force"], body["shipped"]) == (
        2, "Oda Wren", "Pressure is asked first.", 1, True, False,
    )  # fmt: skip
    listed = editor.get("").json()
    assert [row["number"] for row in listed["results"]] == [2, 1]
    assert (listed["drafts"], listed["attention"]) == ([], None)
    assert desk.get("/rulebooks/2/").json()["digest"] == RulebookVersion.objects.get(number=2).digest
    assert desk.get("/categories/").json()["rulebook"] == 2


def test_a_draft_begins_as_the_rulebook_in_force(editor: Editor) -> None:
    draft = editor.draft()
    assert editor.get(f"1/differences/?to={draft.strip('/')}").json()["results"] == []
    ours, theirs = editor.get(draft).json(), editor.get("1/").json()
    assert ours["sections"] == theirs["sections"]
    assert ours["sections"]["rules"] > ours["sections"]["categories"] > 0


def test_rows_are_read_in_pages_by_section_and_category(editor: Editor) -> None:
    draft = editor.draft()
    address, keys = f"{draft}rows/?section=rules&within=fuel_hose&page_size=5", []
    while address:
        page = editor.get(address).json()
        keys += [row["key"] for row in page["results"]]
        address = (page["next"] or "").partition("/rulebooks/")[2]
    shown = editor.get("1/?section=rules").json()["rows"]
    assert sorted(keys) == sorted(row["key"] for row in shown if row["key"].startswith("fuel_hose."))


def test_a_change_to_what_another_has_changed_since_is_refused(editor: Editor) -> None:
    draft = editor.draft()
    tag = editor.get(draft + HOT).headers["ETag"]
    assert editor.send("PATCH", draft + HOT, {"text": "Hot."}).status_code == 428
    assert editor.send("PATCH", draft + HOT, {"text": "Hot."}, If_Match=tag).status_code == 200
    assert editor.send("PATCH", draft + HOT, {"text": "Cold."}, If_Match=tag).status_code == 412
    assert editor.send("DELETE", draft + HOT, If_Match=tag).status_code == 412
    assert editor.get(draft + HOT).json()["content"]["text"] == "Hot."


def test_rows_are_added_and_deleted(editor: Editor) -> None:
    draft = editor.draft()
    content = {"text": "Mind the floor.", "source": {"kind": "common_practice", "citation": "common practice"}}
    row = f"{draft}rows/cautions/wet_floor/"
    assert editor.get(row).status_code == 404
    added = editor.send("PUT", row, content)
    assert (added.status_code, added.json()["content"]) == (201, content)
    assert editor.send("PUT", row, content).status_code == 428
    assert editor.send("PUT", row, content, If_Match=added.headers["ETag"]).status_code == 200
    tag = editor.get(row).headers["ETag"]
    assert editor.send("DELETE", row, If_Match=tag).status_code == 204
    assert editor.get(row).status_code == 404


def test_what_opens_the_gate_is_shown_and_nothing_is_published(editor: Editor) -> None:
    draft = editor.draft()
    source = {"kind": "common_practice", "citation": "common practice, no source"}
    row = {"recorded": "LPG-V2", "covers": ["LPG-CL"], "source": source}
    assert editor.send("PUT", f"{draft}rows/covers/LPG-V2/", row).status_code == 201
    (problem,) = editor.get(f"{draft}problems/").json()["results"]
    assert (problem["pointer"], problem["code"]) == ("/covers", "looser_than_shipped")
    refused = editor.send("POST", f"{draft}publish/")
    assert (refused.status_code, refused.json()["code"]) == (409, "not_publishable")
    assert refused.json()["type"] == "/problems/not-publishable/"
    assert "LPG-V2 covers LPG-CL is not in the shipped table" in refused.json()["detail"]
    assert refused.json()["problems"] == [problem]
    assert (current_rulebook_number(), RulebookVersion.objects.count()) == (1, 1)


def test_a_rule_without_a_source_is_refused_at_its_row(editor: Editor) -> None:
    draft = editor.draft()
    editor.change(draft, PRESSURE, {"source": None})
    (problem,) = editor.get(f"{draft}problems/").json()["results"]
    assert (problem["section"], problem["key"]) == ("rules", "fuel_hose.working_pressure")
    assert problem["pointer"] == "/categories/fuel_hose/rules/working_pressure/source"
    assert editor.send("POST", f"{draft}publish/").status_code == 409


def test_what_is_the_same_as_a_published_one_is_not_published_twice(editor: Editor) -> None:
    draft = editor.draft()
    refused = editor.send("POST", f"{draft}publish/")
    assert (refused.status_code, refused.json()["code"], refused.json()["number"]) == (409, "identical_rulebook", 1)


def test_an_editor_goes_back_to_a_published_rulebook(editor: Editor, desk: Desk, tallis_bridge: Dealer) -> None:
    draft, before = editor.draft(), newest(tallis_bridge)
    editor.change(draft, HOT, {"text": "Hot."})
    editor.send("POST", f"{draft}publish/")
    back = editor.send("POST", "1/publish/")
    assert (back.status_code, back.json()["number"], back.json()["in_force"]) == (200, 1, True)
    feed = desk.get(f"/changes/?since={before}").json()["results"]
    assert [(row["kind"], row["object_id"]) for row in feed] == [
        ("rulebook.published", "2"),
        ("rulebook.in_force", "1"),
    ]
    assert desk.get("/categories/").json()["rulebook"] == 1
    assert [row["in_force"] for row in editor.get("").json()["results"]] == [False, True]


def test_a_draft_that_fell_behind_is_rebased_before_it_is_published(editor: Editor) -> None:
    first, second = editor.draft(), editor.draft()
    editor.change(first, HOT, {"text": "Hot."})
    editor.change(second, PRESSURE, {"rank": 1})
    assert editor.send("POST", f"{first}publish/").status_code == 201
    refused = editor.send("POST", f"{second}publish/")
    assert (refused.status_code, refused.json()["code"]) == (409, "draft_behind")
    assert editor.send("POST", f"{second}rebase/", {}).json()["based_on"] == 2
    assert editor.send("POST", f"{second}publish/").json()["number"] == 3
    texts = [row["text"] for row in editor.get("1/differences/?to=3").json()["results"]]
    assert len(texts) == 2


def test_what_both_changed_is_named_and_settled_by_the_editor(editor: Editor) -> None:
    first, second = editor.draft(), editor.draft()
    editor.change(first, HOT, {"text": "Hot."})
    editor.change(second, HOT, {"text": "Scalding."})
    editor.send("POST", f"{first}publish/")
    refused = editor.send("POST", f"{second}rebase/", {})
    assert (refused.status_code, refused.json()["code"]) == (409, "both_changed")
    assert [row["key"] for row in refused.json()["rows"]] == ["hot_exhaust"]
    assert editor.send("POST", f"{second}rebase/", {"prefer": "draft"}).status_code == 200
    assert editor.get(second + HOT).json()["content"]["text"] == "Scalding."


def test_a_published_rulebook_and_a_closed_draft_are_not_edited(editor: Editor) -> None:
    draft = editor.draft()
    assert editor.send("PATCH", f"1/{HOT}", {"text": "Hot."}, If_Match="*").status_code == 404
    tag = editor.get(draft).headers["ETag"]
    assert editor.send("DELETE", draft).status_code == 428
    assert editor.send("DELETE", draft, If_Match=tag).status_code == 204
    refused = editor.change(draft, HOT, {"text": "Hot."})
    assert (refused.status_code, refused.json()["code"]) == (409, "draft_closed")
    assert editor.send("POST", f"{draft}publish/").json()["code"] == "draft_closed"


@pytest.mark.parametrize(
    ("row", "content", "pointer"),
    [
        ("rows/rules/working_pressure/", {}, "#"),
        ("rows/categories/fuel_hose/", {"rules": {"bore": {}}}, "#/rules"),
        ("rows/cautions/two%20words/", {}, "#"),
        ("rows/cautions/half/", {"rank": 0.5}, "#/rank"),
    ],
)
def test_what_can_be_no_row_is_refused_at_once(editor: Editor, row: str, content: Any, pointer: str) -> None:
    draft = editor.draft()
    refused = editor.send("PUT", draft + row, content, If_Match="*")
    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (400, pointer)


@pytest.mark.parametrize("address", ["draft-99999/", "99999/", "draft-0/", "last/", "1/rows/", "1/problems/"])
def test_what_is_not_there_is_not_found(editor: Editor, address: str) -> None:
    assert editor.get(address).status_code == 404


def test_only_an_editor_writes(tallis_bridge: Dealer, editor: Editor) -> None:
    reader = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ])
    assert reader.get("/rulebooks/").status_code == 200
    assert reader.post("/rulebooks/", {"name": "mine"}).status_code == 403
    counter = create_person(username="ida", name="Ida Marsh", roles=["counter"], dealer=tallis_bridge,
                            password="a long pass phrase")  # fmt: skip
    editor.client.force_login(counter)
    assert editor.send("POST", "1/publish/").status_code == 403


def test_a_repeated_publication_gets_the_first_answer(editor: Editor) -> None:
    draft = editor.draft()
    editor.change(draft, HOT, {"text": "Hot."})
    first = editor.send("POST", f"{draft}publish/", Idempotency_Key="k-1")
    again = editor.send("POST", f"{draft}publish/", Idempotency_Key="k-1")
    assert (first.status_code, again.status_code, again.json()) == (201, 201, first.json())
    assert RulebookVersion.objects.count() == 2
