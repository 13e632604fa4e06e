"""One candidate judged at one position: gate, circumstances and rules folded into a verdict."""

from __future__ import annotations

from dataclasses import replace

from catalog.domain.adapters import adapted
from catalog.domain.answers import Verdict
from catalog.domain.brought_along import (
    adapters_on_hold,
    contents_on_hold,
    contents_withdrawn,
    withdrawn_inside,
)
from catalog.domain.case import Case
from catalog.domain.circumstances import nothing_compared
from catalog.domain.findings import Finding
from catalog.domain.folding import Folded, fold, verdict_of
from catalog.domain.fuels import listed
from catalog.domain.kept_findings import for_a_technician, weighed
from catalog.domain.parts import SPECIFIES


def findings_of(case: Case) -> tuple[Finding, ...]:
    """Everything weighed of one candidate, `nothing_compared` included where it is what stands in the way."""
    found = weighed(case)
    if case.adapters:
        found = (*for_a_technician(case, adapted(case, found)), *adapters_on_hold(case))
    if case.candidate.contains:
        found = (*found, *contents_on_hold(case), *contents_withdrawn(case))
    if case.candidate.withdrawn:
        found = (*found, withdrawn_inside(case.candidate))
    if verdict_of(found) not in (Verdict.UNDETERMINED, Verdict.REJECTED):
        found = (*found, *nothing_compared(case, found))
    return found


def judge(case: Case, counts: tuple[Finding, ...] = ()) -> Folded:
    """The verdict on one candidate by itself; `counts` are the findings about how many are asked for."""
    folded = fold((*findings_of(case), *for_a_technician(case, counts)), accepted_words="")
    if folded.verdict is Verdict.ACCEPTED:
        return replace(folded, headline=_accepted(case))
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
    own = [said for said in case.about_candidate(*SPECIFIES) if said.applicability.holds(case.where).holds]
    if own and all(said.in_place_of for said in own):
        stands = f"{case.candidate.shown} stands for {own[0].in_place_of}"
        return f"{stands}, which the engine's maker specifies for this position{burning}."
    return f"The engine's maker specifies {case.candidate.shown} for this position{burning}."
