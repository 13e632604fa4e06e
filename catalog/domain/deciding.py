"""One candidate judged at one position: gate, circumstances and rules folded into a verdict."""

from __future__ import annotations

from dataclasses import replace

from catalog.domain.adapters import adapted
from catalog.domain.answers import Verdict
from catalog.domain.case import Case
from catalog.domain.circumstances import CARRIES_FUEL, CONVERTED, circumstances, nothing_compared
from catalog.domain.findings import Finding
from catalog.domain.folding import Folded, fold, verdict_of
from catalog.domain.fuels import listed
from catalog.domain.gate import gate
from catalog.domain.parts import SPECIFIES
from catalog.domain.rules import Approver, FuelRole
from catalog.domain.weighing_rules import weigh_rules


def findings_of(case: Case) -> tuple[Finding, ...]:
    """Everything weighed of one candidate, `nothing_compared` included where it is what stands in the way."""
    found = (*gate(case), *circumstances(case), *adapted(case, weigh_rules(case)))
    if verdict_of(found) not in (Verdict.UNDETERMINED, Verdict.REJECTED):
        found = (*found, *nothing_compared(case, found))
    return for_a_technician(case, found)


def for_a_technician(case: Case, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Conditions on a part that carries gas are for a licensed gas technician to approve, not for the manager alone.

    A conversion is confirmed by a licensed person and recorded by the service manager, so its row stays as it is.
    """
    role = case.category.fuel_role if case.category else FuelRole.NONE
    if role not in CARRIES_FUEL or not any(service.gas for service in case.services):
        return findings
    return tuple(
        finding._replace(approvable_by=Approver.GAS_TECHNICIAN)
        if finding.approvable_by is Approver.SERVICE_MANAGER and finding.attribute != CONVERTED
        else finding
        for finding in findings
    )


def judge(case: Case, counts: tuple[Finding, ...] = ()) -> Folded:
    """The verdict on one candidate by itself; `counts` are the findings about how many are asked for."""
    folded = fold((*findings_of(case), *for_a_technician(case, counts)), accepted_words=_accepted(case))
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
