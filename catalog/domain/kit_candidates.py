"""A kit offered for a position: one accepted member for each place inside it, in number; spares are notes."""

from __future__ import annotations

from dataclasses import replace

from catalog.domain.answers import COMMON_PRACTICE, Answer, Effect, Fact, Verdict
from catalog.domain.case import Case
from catalog.domain.deciding import findings_of
from catalog.domain.findings import Finding
from catalog.domain.folding import level, verdict_of
from catalog.domain.parts import Contained, Position

_BEST_FIRST = (Verdict.ACCEPTED, Verdict.CONDITIONAL, Verdict.UNDETERMINED, Verdict.REJECTED)


def judge_contents(case: Case) -> tuple[Finding, ...]:
    """Findings of a kit: for each place the best member it holds, short numbers, and what is left over."""
    if not case.candidate.contains:
        return (_contents_unknown(case),)
    left = {contained.part.key: contained.quantity for contained in case.candidate.contains}
    findings: list[Finding] = []
    for place in case.position.inside:
        findings += _fill(case, place, left)
    for contained in case.candidate.contains:
        if left[contained.part.key] > 0:
            findings.append(_spare(case, contained, left[contained.part.key]))
    return tuple(findings)


def _contents_unknown(case: Case) -> Finding:
    places = ", ".join(place.shown for place in case.position.inside)
    fact = Fact("candidate: contents", f"What does {case.candidate.shown} hold for: {places}?")
    text = f"Cannot tell what {case.candidate.shown} holds; it has to fill: {places}."
    return Finding("contents", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=(fact,),
                   worst=Effect.REJECT, critical=True)  # fmt: skip


def _fill(case: Case, place: Position, left: dict[tuple[str, str], int]) -> list[Finding]:
    needed = place.quantity or 1
    ranked = sorted(
        (
            (_BEST_FIRST.index(verdict_of(found := findings_of(_inside(case, place, contained)))), number, found)
            for number, contained in enumerate(case.candidate.contains)
            if contained.part.category == place.category and left[contained.part.key] > 0
        ),
        key=lambda entry: entry[:2],
    )
    if not ranked:
        return [_short(place, f"the kit holds nothing for the {place.shown}")]
    _, number, found = ranked[0]
    key = case.candidate.contains[number].part.key
    taken = min(needed, left[key])
    left[key] -= taken
    member = case.candidate.contains[number].part.shown
    named = [replace(finding, text=f"{place.shown}, {member}: {finding.text}") for finding in found]
    if taken < needed:
        named.append(_short(place, f"the kit holds {taken} of {needed} for the {place.shown}"))
    return named


def _inside(case: Case, place: Position, contained: Contained) -> Case:
    return replace(case, position=place, candidate=contained.part, found=None, adapters=())


def _short(place: Position, text: str) -> Finding:
    return Finding("contents", Answer.NOT_MET, Effect.REJECT, f"{text[:1].upper()}{text[1:]}.", COMMON_PRACTICE,
                   slot=place.code, worst=Effect.REJECT, critical=True)  # fmt: skip


def _spare(case: Case, contained: Contained, count: int) -> Finding:
    """A spare is a note; one that fits a place here and is not right for it must be thrown away."""
    part = contained.part
    for place in case.position.inside:
        found = findings_of(_inside(case, place, contained)) if place.category == part.category else ()
        if any(level(finding.effect) > 1 for finding in found):
            condition = f"the spare {part.shown} is discarded"
            text = f"{count} spare {part.shown} would fit the {place.shown} and is not rated for it."
            return Finding("spare", Answer.MET_IF, Effect.CONDITION, text, COMMON_PRACTICE, condition=condition,
                           worst=Effect.CONDITION)  # fmt: skip
    return Finding("spare", Answer.MET, Effect.NOTE, f"{count} spare {part.shown} in the kit.", COMMON_PRACTICE)
