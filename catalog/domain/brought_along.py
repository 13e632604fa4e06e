"""What comes along with a candidate: adapters and contents that are on hold, and contents that are withdrawn."""

from __future__ import annotations

from collections.abc import Iterator

from catalog.domain.answers import COMMON_PRACTICE, Answer, Effect, Fact
from catalog.domain.case import Case
from catalog.domain.findings import Finding
from catalog.domain.outcomes import held_finding
from catalog.domain.parts import Part


def adapters_on_hold(case: Case) -> tuple[Finding, ...]:
    """A named adapter is meant to be fitted, whether or not the part would mate without it."""
    return tuple(
        _along(f"Adapter {adapter.shown}", held_finding(adapter.shown, holds))
        for adapter in {one.key: one for one in case.adapters}.values()
        if (holds := case.reports_on(adapter))
    )


def contents_on_hold(case: Case) -> tuple[Finding, ...]:
    """All that the candidate holds, however deep, by what was reported of it at this position."""
    if not case.reported:
        return ()
    return tuple(
        _along(f"Inside {case.candidate.shown}", held_finding(part.shown, holds))
        for part in held_in(case.candidate)
        if (holds := case.reports_on(part))
    )


def contents_withdrawn(case: Case) -> tuple[Finding, ...]:
    """What the candidate holds and is withdrawn, where the candidate is judged as a whole."""
    return tuple(
        Finding("contents", Answer.UNKNOWN, Effect.NOTE, f"{_inside(case, part)} and is withdrawn.", COMMON_PRACTICE)
        for part in held_in(case.candidate)
        if part.withdrawn
    )


def _inside(case: Case, part: Part) -> str:
    return f"{part.shown} lies inside {case.candidate.shown}"


def withdrawn_inside(part: Part) -> Finding:
    """A part of a kit that the catalogue has no more: what lies in the box today is to be looked at."""
    fact = Fact("candidate: contents", f"{part.shown} is withdrawn from the catalogue: what does the kit hold today?")
    text = f"{part.shown} is withdrawn from the catalogue; cannot tell what the kit holds today."
    return Finding(
        "contents", Answer.UNKNOWN, Effect.UNDETERMINED, text, COMMON_PRACTICE, missing=(fact,), worst=Effect.REJECT
    )  # fmt: skip


def held_in(part: Part) -> Iterator[Part]:
    """Each part inside, and inside of that, once."""
    seen = set()
    inside = [contained.part for contained in part.contains]
    while inside:
        one = inside.pop(0)
        if one.key not in seen:
            seen.add(one.key)
            yield one
            inside += [contained.part for contained in one.contains]


def _along(name: str, finding: Finding) -> Finding:
    return finding._replace(text=f"{name}: {finding.text}")
