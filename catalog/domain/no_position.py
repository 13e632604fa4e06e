"""A part that no position of the engine takes: what there is to say against it anyway, whichever was meant.

A part made for fuels of which the engine burns none is none for this engine. Of all else nothing can be told before
it is known where it would stand. (common practice, no source)
"""

from __future__ import annotations

from collections.abc import Iterator

from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Effect, distinct
from catalog.domain.findings import Finding, Lead
from catalog.domain.fuels import Fuel, families, listed, listed_words
from catalog.domain.parts import FUELS, SERVICE, Part
from catalog.domain.questions import Engine, Question
from catalog.domain.rule_words import with_article
from catalog.domain.rules import FuelRole, Rulebook
from catalog.domain.superseding import in_its_chain
from catalog.domain.values import Demand, Offer, State, Value


def made_for_other_fuels(question: Question, engine: Engine) -> tuple[Finding, ...]:
    """A refusal of each part that is made for fuels alone that this engine does not burn.

    None of a number that others replace, since those may be made for others.
    """
    if in_its_chain(question) - {item.part.key for item in question.candidate}:
        return ()
    return tuple(finding for item in question.candidate for finding in _refused(question, engine, item.part))


def _refused(question: Question, engine: Engine, part: Part) -> Iterator[Finding]:
    kind, burned, names = question.rulebook.categories.get(part.category), question.where.burned, question.where.names
    offers = tuple(_made_for(part))
    if kind is None or kind.fuel_role is FuelRole.NONE or not offers or not burned.fuels:
        return
    made_for = distinct(_family(question.rulebook, code) for _, offer in offers for code in offer.value.codes)
    meant = {
        family: [code for code, fuel in names.items() if family in (fuel.family, *fuel.grades)] for family in made_for
    }
    if not all(meant.values()) or any(burned.burns(code) is not False for codes in meant.values() for code in codes):
        return
    attribute, first = offers[0]
    on = f" (found {burned.found_on.isoformat()})" if burned.found_on else ""
    kinds = f"is {with_article(kind.noun)} for {listed_words(made_for)}"
    text = f"{part.shown} {kinds}; this engine burns {listed(burned.fuels, names)}{on}."
    text += f" No position of {engine.name} takes such a part."
    demand = Demand(Value(tuple(fuel.text for fuel in burned.fuels)), burned.basis, COMMON_PRACTICE)
    yield Finding(
        attribute, Answer.NOT_MET, Effect.REJECT, text, first.source, demand=demand, offer=first, worst=Effect.REJECT,
        lead=Lead.GATE, critical=True,
    )  # fmt: skip


def _family(rulebook: Rulebook, code: str) -> str:
    """Of a fuel or a fuel service; compressed natural gas is a grade among fuels and a family among services."""
    known = rulebook.classes.get(code)
    return known.fuel_family if known else families((Fuel.parse(code),), rulebook.fuels)[0]


def _made_for(part: Part) -> Iterator[tuple[str, Offer]]:
    """What its record says of fuels and fuel services; nothing where any of it is no value."""
    stated = [(code, offer) for (code, _), said in part.offers.items() if code in (FUELS, SERVICE) for offer in said]
    if all(offer.value.state is State.VALUE and offer.basis is not Basis.COUNTER for _, offer in stated):
        yield from stated
