"""What an answer misses, asked so that whoever answers it is heard."""

from __future__ import annotations

from typing import Any

import pytest

from catalog.models import Check
from catalog.usecases.answerable import Ask, Question, questions_of, told_in
from catalog.usecases.showing import rulebook_of
from tests.api.world import Desk
from tests.imports.importer import imported

pytestmark = pytest.mark.db
ON_GASOLINE = {"fuels": ["gasoline"], "mode": "only_fuel", "found_on": "2026-01-12"}
DRAIN_BACK = {"attribute": "anti_drain_back", "value": True}
BARE = {
    "maker": "OLM", "model": "OLM-T1", "spec": "1", "fuels": ["gasoline"],
    "positions": [
        {"code": "oil_filter", "category": "oil_filter", "quantity": 1},
        {"code": "ring", "category": "seal", "quantity": 1, "ports": [{"port": "inside", "classes": ["GAS-LP"]}]},
        {"code": "hose", "category": "fuel_hose", "quantity": 1},
        {"code": "plug", "category": "spark_plug", "quantity": 1},
    ],
}  # fmt: skip


@pytest.fixture
def bare(desk: Desk) -> Desk:
    """With an engine of which nothing is recorded but which kinds of parts it takes."""
    desk.made("/engine-specs/", BARE)
    return desk


def question(position: str, category: str, **described: Any) -> dict[str, Any]:
    application = {"spec": {"model": "OLM-T1", "spec": "1"}, "fuel_records": [ON_GASOLINE]}
    candidate = {"described": {"category": category, **described}}
    return {"candidate": candidate, "position": position, "application": application}


def missing(desk: Desk, body: dict[str, Any]) -> tuple[Question, ...]:
    answer = desk.answer(body)
    check = Check.objects.get(pk=answer["id"])
    return questions_of(check, answer, rulebook_of(check))


def test_a_figure_is_asked_with_what_it_is_stated_at_and_both_told_settle_it(bare: Desk) -> None:
    """Rule 5: composites are read together, so one of them alone says nothing."""
    body = question("oil_filter", "oil_filter")
    asked = [one for one in missing(bare, body) if one.fact == "position: fineness"]
    assert [one.attribute for one in asked] == ["fineness", "fineness_basis", "fineness_calibration"]
    values = ({"value": "10", "unit": "um"}, asked[1].choices[0][0], asked[2].choices[0][0])
    told = told_in(body, [(one, value, "label") for one, value in zip(asked, values, strict=True)])
    assert "position: fineness" not in [one.fact for one in missing(bare, told)]


def test_a_thread_is_asked_piece_by_piece(bare: Desk) -> None:
    found = missing(bare, question("oil_filter", "oil_filter"))
    asked = [one for one in found if one.fact == "position: thread (mount)"]
    assert [(one.attribute, one.slot) for one in asked][:2] == [("joint_form", "mount"), ("joint_size", "mount")]
    assert all(one.ask is not Ask.ELSEWHERE for one in asked)


def test_what_a_seal_touches_is_asked_and_not_what_it_should_be_made_of(bare: Desk) -> None:
    """Rule 2: a loose seal is judged by its material in each medium there; a place asks for no material by name."""
    facts = [one.fact for one in missing(bare, question("ring", "seal"))]
    assert "position: media" in facts
    assert "position: seal material" not in facts


def test_what_reaches_a_place_is_put_on_the_record_of_the_engine_and_in_no_field(bare: Desk) -> None:
    """Rule 2: a fuel burned that nothing on record answers for; telling it opens no gate."""
    service = [{"attribute": "fuel_service", "slot": "inside", "value": ["GAS-LP"]}]
    asked = missing(bare, question("hose", "fuel_hose", attributes=service))
    assert [one.ask for one in asked if one.fact == "position: fuel service class at the inside"] == [Ask.ELSEWHERE]


def test_what_is_missing_of_the_number_that_replaces_the_one_asked_about_has_no_field(bare: Desk) -> None:
    """Common practice, no source: a fact told of one number says nothing of another, so it would not be weighed."""
    head = "kind,from,to,source_kind,source"
    imported(bare, "maker,number,category\nOLM,OF-7,oil_filter\nOLM,OF-8,oil_filter\n", table="parts")
    imported(bare, f"{head}\none_for_one,OLM OF-7,OLM OF-8,maker,bulletin 12\n", table="supersessions")
    body = {**question("oil_filter", "oil_filter"), "facts": [{"about": "position", "how": "label", **DRAIN_BACK}]}
    ways = {
        number: {one.ask for one in missing(bare, {**body, "candidate": {"maker": "OLM", "number": number}})
                 if one.fact == "candidate: anti-drain-back valve"}
        for number in ("OF-7", "OF-8")
    }  # fmt: skip
    assert ways == {"OF-7": {Ask.ELSEWHERE}, "OF-8": {Ask.YES_NO}}


def test_what_only_a_part_has_is_not_asked_of_the_position(bare: Desk) -> None:
    """That a gap can be set is the plug's; the position asks for the gap alone."""
    asked = [one for one in missing(bare, question("plug", "spark_plug")) if one.fact == "position: electrode gap"]
    assert [one.attribute for one in asked] == ["gap"]
