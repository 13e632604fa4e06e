"""Earlier numbers that may be used up in place of what a check answers with, read from the facts kept with it."""

from __future__ import annotations

import json
from dataclasses import dataclass

from catalog import loading
from catalog.domain.answers import Fact
from catalog.domain.applicability import located
from catalog.domain.parts import PartKey
from catalog.domain.questions import Question
from catalog.domain.swapping import old_stock
from catalog.models import Check
from catalog.usecases.facts_used import FactsUsed, question_of


@dataclass(frozen=True, slots=True)
class EarlierNumber:
    """`why` is the sentence that permits it on this engine."""

    part: PartKey
    instead_of: PartKey
    why: str


@dataclass(frozen=True, slots=True)
class BesideCheck:
    """What a check's facts say besides its answer. `category` is that of the position decided at, where one was.

    `missing` is what might permit further earlier numbers.
    """

    category: str | None
    earlier: tuple[EarlierNumber, ...] = ()
    missing: tuple[Fact, ...] = ()


def beside_check(check: Check) -> BesideCheck:
    """One statement, for the rulebook that the check was decided by.

    Permitted by the makers' notices alone: whether an earlier number is good at the position is for its own check.
    """
    rulebook = loading.load_rulebook_numbered(check.rulebook_id)
    question, answer = question_of(FactsUsed.read(check.facts), rulebook), json.loads(check.answer)
    category = _category(question, answer["position"])
    known = question.replacements
    used = [(use["part"]["maker"], use["part"]["number"]) for use in answer["use"]]
    numbers = [known.numbered[key] for key in used if key in known.numbered]
    if not numbers or category is None:
        return BesideCheck(category)
    found = old_stock(known.chains, numbers, located(question.application, rulebook.fuels), blocks=known.blocks)
    earlier = (
        EarlierNumber(known.parts[one.part.id].key, known.parts[one.instead_of.id].key, one.why)
        for one in found.allowed
    )
    return BesideCheck(category, tuple(earlier), found.missing)


def _category(question: Question, position: str | None) -> str | None:
    places = question.engine.positions if question.engine else ()
    return next((place.category for place in places if place.code == position), None)
