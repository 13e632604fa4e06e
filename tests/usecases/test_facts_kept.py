"""A check keeps all that its decision read: decided again from that, it comes to the same."""

import json

import pytest

from catalog.domain.answers import Verdict
from catalog.domain.checking import decide
from catalog.loading import load_rulebook_numbered
from catalog.models import (
    Check,
    EngineSpecification,
    Machine,
    Part,
    PartContent,
    PartNeed,
    Statement,
    Supersession,
)
from catalog.usecases.facts_used import FactsUsed, digest_of, question_of
from kits.models import PlanPart
from tests.api.world import Desk, demo_question

pytestmark = pytest.mark.db


@pytest.mark.parametrize("verdict", [verdict.value for verdict in Verdict])
def test_the_facts_kept_give_the_same_digest_and_the_same_decision(desk: Desk, verdict: str) -> None:
    answer = desk.answer(demo_question(verdict))
    check = Check.objects.get(pk=answer["id"])
    rulebook = load_rulebook_numbered(check.rulebook_id)
    facts = FactsUsed.read(check.facts)
    assert facts.text == check.facts
    assert digest_of(facts.text, rulebook) == check.digest == answer["digest"]
    again = decide(question_of(facts, rulebook))
    assert (again.verdict.value, again.headline) == (answer["verdict"], answer["headline"])
    assert [finding.text for finding in again.findings] == [finding["text"] for finding in answer["findings"]]


def test_the_question_is_kept_as_it_was_asked(desk: Desk) -> None:
    body = demo_question("conditional")
    check = Check.objects.get(pk=desk.answer(body)["id"])
    assert json.loads(check.question) == body


def test_an_old_answer_is_shown_in_other_units_when_the_catalogue_holds_nothing_of_it_any_more(desk: Desk) -> None:
    answer = desk.answer(demo_question("rejected"))
    for rows in (PlanPart, Machine, Supersession, Statement, EngineSpecification, PartContent, PartNeed):
        rows.objects.all().delete()
    Part.objects.all().delete()
    shown = desk.get(f"/checks/{answer['id']}/?units=si").json()
    assert (shown["verdict"], shown["headline"]) == (answer["verdict"], answer["headline"])


def test_neither_dealer_nor_asker_nor_clock_is_among_the_facts(desk: Desk) -> None:
    check = Check.objects.get(pk=desk.answer(demo_question("accepted"))["id"])
    for private in (check.asked_by, str(check.dealer_id), check.checked_at.date().isoformat()):
        assert private not in check.facts
