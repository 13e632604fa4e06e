"""What is stated and nothing weighs: said with the answer, so that nobody believes it was heard.

A need of an attribute that no rule of the position's category reads there is most often one that goes by another name.
(common practice, no source)
"""

from __future__ import annotations

from collections.abc import Iterable

from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Effect
from catalog.domain.case import Case
from catalog.domain.findings import Finding
from catalog.domain.rule_words import with_article
from catalog.domain.rules import Category, in_slot
from catalog.domain.values import Offer, Place
from catalog.domain.weighings import Weighing


def needs_not_weighed(case: Case) -> tuple[Finding, ...]:
    """What the position states or is told to need, and no rule reads of a position."""
    category = case.category
    if category is None or not case.position.demands:
        return ()
    read = {(member, slot) for rule in category.rules for slot in rule.slots for member in rule.attributes}
    found = []
    for place, demands in case.position.demands.items():
        stated = [demand for demand in demands if demand.basis is not Basis.COMPUTED]
        if stated and place not in read:
            lead = f"The {case.position.shown} asks for {_named(case, place)} {stated[0].value.shown()}"
            by_editor = any(demand.basis is Basis.STATED for demand in stated)
            found.append(_finding(place, f"{lead}, {_never(category)}", error=by_editor))
    return tuple(found)


def told_not_weighed(case: Case, weighings: Iterable[Weighing]) -> tuple[Finding, ...]:
    """What was told of the candidate at the counter, and nothing reads of a part here."""
    told = [place for place, offers in case.candidate.offers.items() if _told(offers)]
    if not told or case.category is None:
        return ()
    read = {place for weighing in weighings for place in weighing.places}
    lead, never = f"What was told of {case.candidate.shown}", _never(case.category)
    return tuple(_finding(place, f"{lead}, {_named(case, place)}, {never}") for place in told if place not in read)


def _told(offers: tuple[Offer, ...]) -> bool:
    return any(offer.how is not None for offer in offers)


def _named(case: Case, place: Place) -> str:
    return in_slot(case.rulebook.attribute_name(place[0]), place[1])


def _never(category: Category) -> str:
    return f"which nothing about {with_article(category.noun)} is weighed by: it is not weighed."


def _finding(place: Place, text: str, *, error: bool = False) -> Finding:
    return Finding(place[0], Answer.UNKNOWN, Effect.NOTE, text, COMMON_PRACTICE, place[1],
                   data_error=text if error else "")  # fmt: skip
