"""A kit offered for a position: one accepted member for each place inside it, in number; spares are notes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from catalog.domain.answers import COMMON_PRACTICE, Answer, Aspect, Effect, Fact, Truth, Verdict
from catalog.domain.brought_along import contents_on_hold, contents_withdrawn
from catalog.domain.case import Case
from catalog.domain.deciding import findings_of
from catalog.domain.findings import Finding
from catalog.domain.folding import level, verdict_of
from catalog.domain.kit_filling import fill
from catalog.domain.parts import Part, Position
from catalog.domain.rules import Approver, FuelRole

_BEST_FIRST = (Verdict.ACCEPTED, Verdict.CONDITIONAL, Verdict.UNDETERMINED, Verdict.REJECTED)


def judge_contents(case: Case) -> tuple[Finding, ...]:
    """Findings of a kit: for each place the best members it holds, short numbers, and what is left over."""
    if not case.position.inside:
        return (_places_unknown(case), *contents_on_hold(case), *contents_withdrawn(case))
    if not case.candidate.contains:
        return (_contents_unknown(case),)
    places, members = case.position.inside, _members(case.candidate)
    judged = {
        (at, number): findings_of(_inside(case, place, part))
        for at, place in enumerate(places)
        for number, (part, _) in enumerate(members)
        if _may_stand(case, part, place)
    }
    ranks = {pair: _BEST_FIRST.index(verdict_of(found)) for pair, found in judged.items()}
    used = fill([place.quantity or 1 for place in places], [count for _, count in members], ranks)
    findings: list[Finding] = []
    for at, place in enumerate(places):
        for number, (part, _) in enumerate(members):
            if (at, number) in used:
                where = f"{place.shown[:1].upper()}{place.shown[1:]}, {part.shown}"
                findings += [f._replace(text=f"{where}: {f.text}") for f in judged[at, number]]
        findings += _in_number(place, sum(count for (seat, _), count in used.items() if seat == at))
    for number, (part, count) in enumerate(members):
        left = count - sum(taken for (_, member), taken in used.items() if member == number)
        if left > 0:
            findings.append(_spare(case, part, left))
    return tuple(findings)


def _members(kit: Part) -> tuple[tuple[Part, int], ...]:
    """Each part in the kit once, with how many of it there are in all."""
    parts = {contained.part.key: contained.part for contained in kit.contains}
    return tuple((part, sum(c.quantity for c in kit.contains if c.part.key == key)) for key, part in parts.items())


def _may_stand(case: Case, part: Part, place: Position) -> bool:
    pairs = {(row.offered, row.position) for row in case.rulebook.may_serve}
    return part.category == place.category or (part.category, place.category) in pairs


def _contents_unknown(case: Case) -> Finding:
    """Contents that are not recorded are met where the engine's maker specifies the kit, as any other attribute."""
    places = ", ".join(place.shown for place in case.position.inside)
    fact = Fact("candidate: contents", f"What does {case.candidate.shown} hold for: {places}?")
    text = f"Cannot tell what {case.candidate.shown} holds; it has to fill: {places}."
    return _unless_specified(case, text, fact, "its contents are not recorded")


def _places_unknown(case: Case) -> Finding:
    """Where nobody recorded what a kit has to fill here, what it holds proves nothing."""
    fact = Fact(
        "position: what the kit fills", f"Which places does the {case.position.shown} have to fill, and how many?"
    )
    needs = f"what the {case.position.shown} has to fill is not recorded"
    text = f"Cannot tell whether {case.candidate.shown} holds enough: {needs}."
    return _unless_specified(case, text, fact, "what it has to fill is not recorded")


def _unless_specified(case: Case, text: str, fact: Fact, lacking: str) -> Finding:
    by_fuel = case.category is not None and case.category.fuel_role is not FuelRole.NONE
    stated = _specified_for_fuel(case) if by_fuel else case.specified
    if stated.holds:
        text = f"The engine's maker specifies {case.candidate.shown} here; {lacking}."
        return Finding("contents", Answer.MET, Effect.NONE, text, COMMON_PRACTICE, worst=Effect.REJECT, critical=True)
    return Finding("contents", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE,
                   missing=(fact, *stated.missing), worst=Effect.REJECT, critical=True)  # fmt: skip


def _specified_for_fuel(case: Case) -> Truth:
    if not case.fuels_known:
        return Truth(None, missing=(case.where.burned.asks,))
    return case.specified_for(case.fuels)


def _inside(case: Case, place: Position, part: Part) -> Case:
    inner = replace(case, position=place, candidate=part, found=None, adapters=(), holds=())
    if not case.reported:
        return inner
    inner = replace(inner, within=(*case.within, case.position.code))
    return replace(inner, holds=inner.reports_on(part))


def _in_number(place: Position, held: int) -> Iterator[Finding]:
    if place.quantity is None:
        fact = Fact(f"position: number of {place.shown}", f"How many does the engine take as {place.shown}?")
        text = f"Cannot tell whether the kit holds enough for the {place.shown}: how many it takes is not recorded."
        yield Finding("contents", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, slot=place.code,
                      missing=(fact,), worst=Effect.REJECT, critical=True)  # fmt: skip
    if held < (place.quantity or 1):
        number = f"{held} of {place.quantity}" if held else "nothing"
        text = f"The kit holds {number} for the {place.shown}."
        yield Finding("contents", Answer.NOT_MET, Effect.REJECT, text, COMMON_PRACTICE, slot=place.code,
                      worst=Effect.REJECT, critical=True)  # fmt: skip


def _spare(case: Case, part: Part, count: int) -> Finding:
    """A spare is a note; one on hold here, or that fits a place and is not right for it, must be thrown away."""
    if any(_inside(case, place, part).holds for place in case.position.inside):
        return _discarded(part, f"{count} spare {part.shown} in the kit, which is on hold.")
    for place in case.position.inside:
        found = findings_of(_inside(case, place, part)) if part.category == place.category else ()
        if _fits(case, place, found) and any(level(finding.effect) > 1 for finding in found):
            why = "withdrawn" if part.withdrawn else "not rated for it"
            return _discarded(part, f"{count} spare {part.shown} would fit the {place.shown} and is {why}.")
    gone = ", which is withdrawn" if part.withdrawn else ""
    return Finding("spare", Answer.MET, Effect.NOTE, f"{count} spare {part.shown} in the kit{gone}.", COMMON_PRACTICE)


def _discarded(part: Part, text: str) -> Finding:
    return Finding("spare", Answer.MET_IF, Effect.CONDITION, text, COMMON_PRACTICE,
                   condition=f"the spare {part.shown} is discarded", worst=Effect.CONDITION,
                   approvable_by=Approver.SERVICE_MANAGER)  # fmt: skip


def _fits(case: Case, place: Position, found: tuple[Finding, ...]) -> bool:
    """Whether nothing about its fit keeps it out of a place."""
    category = case.rulebook.categories.get(place.category)
    of_fit = {rule.code for rule in category.rules if rule.aspect is Aspect.FIT} if category else set()
    return not any(f.attribute in of_fit and f.effect is Effect.REJECT for f in found)
