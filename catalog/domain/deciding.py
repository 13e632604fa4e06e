"""One candidate judged at one position: gate, circumstances and rules folded into a verdict."""

from __future__ import annotations

from dataclasses import replace

from catalog.domain.adapters import adapted
from catalog.domain.answers import Verdict
from catalog.domain.case import Case
from catalog.domain.circumstances import circumstances, nothing_compared
from catalog.domain.findings import Finding
from catalog.domain.folding import Folded, fold, verdict_of
from catalog.domain.fuels import listed
from catalog.domain.gate import gate
from catalog.domain.weighing_rules import weigh_rules


def findings_of(case: Case) -> tuple[Finding, ...]:
    """Everything weighed of one candidate, `nothing_compared` included where it is what stands in the way."""
    found = (*gate(case), *circumstances(case), *adapted(case, weigh_rules(case)))
    if verdict_of(found) in (Verdict.UNDETERMINED, Verdict.REJECTED):
        return found
    return (*found, *nothing_compared(case, found))


def judge(case: Case) -> Folded:
    """The verdict on one candidate by itself."""
    folded = fold(findings_of(case), accepted_words=_accepted(case))
    if folded.verdict is Verdict.CONDITIONAL and case.specified.holds:
        return replace(folded, headline=f"{folded.headline} {_specified(case)}")
    return folded


def _accepted(case: Case) -> str:
    if case.specified.holds:
        return _specified(case)
    return f"{case.candidate.shown} meets all that the {case.position.shown} asks."


def _specified(case: Case) -> str:
    fuels = listed(case.where.burned.fuels, case.where.names)
    burning = f" on an engine that burns {fuels}" if fuels and case.category else ""
    return f"The engine's maker specifies {case.candidate.shown} for this position{burning}."
