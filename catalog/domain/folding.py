"""Findings folded into one verdict, with the headline, the conditions and the missing facts that can change it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.domain.answers import Answer, Effect, Fact, Verdict, distinct
from catalog.domain.findings import Finding
from catalog.domain.rules import Approver

_LEVEL = {
    Effect.NOT_ASKED: 0,
    Effect.NONE: 0,
    Effect.NOTE: 0,
    Effect.CONDITION: 1,
    Effect.UNDETERMINED: 2,
    Effect.REJECT: 3,
}
# By level, the best first.
VERDICTS = (Verdict.ACCEPTED, Verdict.CONDITIONAL, Verdict.UNDETERMINED, Verdict.REJECTED)


@dataclass(frozen=True, slots=True)
class Folded:
    verdict: Verdict
    headline: str
    findings: tuple[Finding, ...]
    conditions: tuple[str, ...]
    missing: tuple[Fact, ...]
    approvable_by: Approver | None


def level(effect: Effect) -> int:
    """0 accepted, 1 conditional, 2 undetermined, 3 rejected."""
    return _LEVEL[effect]


def verdict_of(findings: Iterable[Finding]) -> Verdict:
    """Any reject is rejected, else any undetermined, else any condition, else accepted."""
    return VERDICTS[max([_LEVEL[finding.effect] for finding in findings], default=0)]


def fold(findings: Iterable[Finding], *, accepted_words: str) -> Folded:
    """Order the findings, those that decide first, and say what they come to."""
    ordered = tuple(sorted(findings, key=_deciding_first))
    highest = _LEVEL[ordered[0].effect] if ordered else 0
    verdict = VERDICTS[highest]
    deciding = [f for f in ordered if _LEVEL[f.effect] == highest] if highest else []
    conditions = distinct([finding.condition for finding in ordered if finding.condition])
    return Folded(
        verdict=verdict,
        headline=_headline(verdict, deciding, accepted_words),
        findings=ordered,
        conditions=conditions if verdict in (Verdict.CONDITIONAL, Verdict.UNDETERMINED) else (),
        missing=decisive(ordered),
        approvable_by=_approver(deciding) if verdict is Verdict.CONDITIONAL else None,
    )


def _deciding_first(finding: Finding) -> tuple[int, int, int, str, str]:
    return -_LEVEL[finding.effect], *finding.order


def _headline(verdict: Verdict, deciding: list[Finding], accepted_words: str) -> str:
    if verdict is Verdict.ACCEPTED:
        return accepted_words
    if verdict is Verdict.CONDITIONAL and deciding[0].condition:
        return f"Use it only if {deciding[0].condition}."
    return deciding[0].text


def decisive(findings: Iterable[Finding]) -> tuple[Fact, ...]:
    """The missing facts that can change the verdict for some answer to the others, most decisive first.

    Taking every other open finding at its best leaves the lowest verdict that is still possible; a fact matters
    where one of its findings can rise above that.
    """
    everything = tuple(findings)
    still_open = [finding for finding in everything if finding.missing and finding.outcome is Answer.UNKNOWN]
    if not still_open:
        return ()
    settled = (finding for finding in everything if not finding.missing or finding.outcome is not Answer.UNKNOWN)
    floor = max([_LEVEL[finding.effect] for finding in settled], default=0)
    weight: dict[Fact, tuple[int, int]] = {}
    for finding in still_open:
        if level(finding.worst) > floor:
            for fact in finding.missing:
                most, count = weight.get(fact, (0, 0))
                weight[fact] = (max(most, level(finding.worst)), count + 1)
    # Python's sort keeps the order of equals, which is the order of the findings.
    return tuple(sorted(weight, key=lambda fact: (-weight[fact][0], -weight[fact][1])))


def _approver(deciding: list[Finding]) -> Approver | None:
    """The lowest role that may approve every condition; None where one of them is nobody's to approve."""
    roles = [finding.approvable_by for finding in deciding if finding.effect is Effect.CONDITION]
    if not roles or None in roles:
        return None
    return Approver.GAS_TECHNICIAN if Approver.GAS_TECHNICIAN in roles else Approver.SERVICE_MANAGER
