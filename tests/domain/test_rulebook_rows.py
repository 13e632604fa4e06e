"""A document is its rows and nothing else; what differs between two is said in the trade's words."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from hypothesis import given, settings

from catalog.domain.rulebook_differences import Kind, differences
from catalog.domain.rulebook_document import digest_of
from catalog.domain.rulebook_rows import ROW_SECTIONS, Row, check_row, join, row_at, split
from service.errors import Invalid
from tests.demo_world import document
from tests.domain.drafted_rulebooks import SOURCE, Document, drafts

pytestmark = pytest.mark.domain


def test_the_shipped_document_is_its_rows() -> None:
    rows = split(document())
    assert digest_of(join(rows)) == digest_of(document())
    assert len({(row.section, row.key) for row in rows}) == len(rows)
    assert {row.section for row in rows} <= set(ROW_SECTIONS)
    for row in rows:
        check_row(row.section, row.key, row.content)


@settings(max_examples=30)
@given(drafts())
def test_so_is_any_document(draft: Document) -> None:
    assert digest_of(join(split(draft))) == digest_of(draft)


def changed(*steps: str, to: object) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    after: Any = copy.deepcopy(document())
    node = after
    for step in steps[:-1]:
        node = node[step]
    node[steps[-1]] = to
    return split(document()), split(after)


SENTENCES = [
    (("categories", "fuel_hose", "rules", "working_pressure", "when_not_met"), "condition",
     "fuel hose, working pressure: when not met was reject, is condition."),
    (("attributes", "working_pressure", "name"), "pressure in use",
     "attribute pressure in use: name was working pressure, is pressure in use."),
    (("categories", "spark_plug", "emission_listed"), False,
     "category spark plug: emission listed was yes, is no."),
    (("fuels", "gasoline", "covered_by_bare_name"), ["E0"],
     "fuel gasoline: covered by bare name was E0 and E10, is E0."),
    (("categories", "fuel_hose", "rules", "working_pressure", "condition"), "it is marked so",
     "fuel hose, working pressure: condition was not stated, is it is marked so."),
]  # fmt: skip


@pytest.mark.parametrize(("steps", "value", "sentence"), SENTENCES, ids=[" ".join(row[0]) for row in SENTENCES])
def test_a_change_is_said_in_one_sentence(steps: tuple[str, ...], value: object, sentence: str) -> None:
    (found,) = differences(*changed(*steps, to=value))
    assert (found.kind, found.text) == (Kind.CHANGED, sentence)
    assert found.before != found.after


def test_a_measure_is_said_with_its_unit() -> None:
    before = split(document())
    after: Any = copy.deepcopy(document())
    row = next(row for row in after["code_floors"] if row["category"] == "fuel_hose")
    was, row["value"] = row["value"]["value"], {"value": "400", "unit": "psi", "reference": "gauge"}
    (found,) = differences(before, split(after))
    assert f"value was {was} psi gauge, is 400 psi gauge" in found.text


def test_rows_that_come_and_go_are_told_with_what_they_are_about() -> None:
    after: Any = copy.deepcopy(document())
    gone = after["covers"].pop(0)
    after["cautions"]["wet_floor"] = {"text": "Mind the floor.", "source": SOURCE}
    told = {found.kind: found.text for found in differences(split(document()), split(after))}
    assert told == {
        Kind.ADDED: "caution wet floor: added.",
        Kind.REMOVED: f"what {gone['recorded']} covers: removed.",
    }


def test_nothing_differs_from_itself() -> None:
    assert differences(split(document()), split(copy.deepcopy(document()))) == ()


@pytest.mark.parametrize(
    ("pointer", "place"),
    [
        ("/categories/fuel_hose/rules/working_pressure/rank", ("rules", "fuel_hose.working_pressure")),
        ("/categories/fuel_hose/fuel_role", ("categories", "fuel_hose")),
        ("/covers/0/source", ("covers", "GAS-PI")),
        ("/covers", ("covers", None)),
        ("/attributes/reach", ("attributes", "reach")),
        ("", ("", None)),
    ],
)
def test_a_path_in_the_document_leads_to_the_row_to_edit(pointer: str, place: tuple[str, str | None]) -> None:
    assert row_at(pointer, split(document())) == place


@pytest.mark.parametrize(
    ("section", "key", "content"),
    [
        ("rules", "working_pressure", {}),
        ("rules", "fuel_hose.a.b", {}),
        ("attributes", "two words", {}),
        ("attributes", "a.b", {}),
        ("order_pairs", "hose_standards", {}),
        ("attributes", "bore", ["a list"]),
        ("categories", "fuel_hose", {"rules": {"bore": {}}}),
        ("order_tables", "hose_standards", {"pairs": [{}]}),
    ],
)
def test_what_can_be_no_row_is_refused(section: str, key: str, content: object) -> None:
    with pytest.raises(Invalid):
        check_row(section, key, content)
