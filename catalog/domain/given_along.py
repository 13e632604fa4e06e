"""What is given with a question that other numbers than the one asked about answer: weighed, or said not to be.

A fact told of one number says nothing of another, and one of a position nothing of another place. An adapter joins the
one piece of a set that does not mate by itself. (common practice, no source)
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace

from catalog.domain.adapters import apart
from catalog.domain.answers import COMMON_PRACTICE, Answer, Effect, Fact, distinct
from catalog.domain.case import Case
from catalog.domain.findings import Finding
from catalog.domain.kept_findings import weighed
from catalog.domain.parts import Part, PartKey, Position
from catalog.domain.rules import Rulebook
from catalog.domain.values import Demand, Offer, Place


def told_of_another(rulebook: Rulebook, asked: Part, judged: Sequence[Part]) -> Iterator[Finding]:
    """Facts told of the number asked about, where others are judged in its place."""
    told = _names(rulebook, asked.offers.items())
    if told:
        others = " and ".join(part.shown for part in judged)
        text = f"What was told of {asked.shown} ({told}) says nothing of {others}, and is not weighed."
        yield _unheard("told", text)


def told_of_elsewhere(position: Position, cases: Sequence[Case]) -> Iterator[Finding]:
    """Facts told of the position asked about, where every piece goes to a place of its own."""
    told = _names(cases[0].rulebook, position.demands.items())
    if not told or any(case.position.code == position.code for case in cases):
        return
    pieces = " and ".join(f"{case.candidate.shown} (to the {case.position.shown})" for case in cases)
    text = f"Cannot tell what was told of the {position.shown} ({told}) comes to for {pieces}."
    places = distinct(case.position.shown for case in cases)
    facts = tuple(Fact(f"position: {told}, {place}", f"What is found at the {place}: {told}?") for place in places)
    yield Finding(
        "told", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=facts, worst=Effect.REJECT
    )  # fmt: skip


def with_adapters_placed(
    cases: Sequence[Case], sets: Iterable[Collection[PartKey]], position: Position
) -> tuple[tuple[Case, ...], tuple[Finding, ...]]:
    """The cases with an adapter that was named with a number on the one piece of its set that it can join."""
    placed, notes = tuple(cases), list[Finding]()
    for pieces in sets:
        own = [case for case in placed if case.candidate.key in pieces]
        here = [case for case in own if case.position.code == position.code]
        loose = [case for case in here if apart(case, weighed(case))]
        joined = loose or here[:1]
        if len(joined) != 1:
            notes.append(_not_placed(own, loose))
        free = {case.candidate.key for case in own if len(joined) != 1 or case is not joined[0]}
        placed = tuple(replace(case, adapters=()) if case.candidate.key in free else case for case in placed)
    return placed, tuple(notes)


def adapters_unheard(adapters: Sequence[Part], why: str) -> tuple[Finding, ...]:
    """That these are not weighed, where any are named."""
    return (_unheard("adapter", f"{_all(adapters)} named as adapter is not weighed: {why}."),) if adapters else ()


def _not_placed(pieces: Sequence[Case], loose: Sequence[Case]) -> Finding:
    names = _all(case.candidate for case in loose or pieces)
    apart_ = "do not mate by themselves, name it with the one that it joins" if loose else "go to places of their own"
    return adapters_unheard(pieces[0].adapters, f"{names} {apart_}")[0]


def _all(parts: Iterable[Part]) -> str:
    return " and ".join(part.shown for part in parts)


def _names(rulebook: Rulebook, stated: Iterable[tuple[Place, Sequence[Offer] | Sequence[Demand]]]) -> str:
    """What was told at the counter, by name."""
    told = [place for place, values in stated if any(value.how is not None for value in values)]
    named = (
        rulebook.attribute_name(member) + (f" ({slot.replace('_', ' ')})" if slot else "") for member, slot in told
    )
    return ", ".join(sorted(named))


def _unheard(attribute: str, text: str) -> Finding:
    return Finding(attribute, Answer.UNKNOWN, Effect.NOTE, text, COMMON_PRACTICE)
