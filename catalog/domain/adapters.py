"""A named adapter: it mates both ends and must pass gate, pressure and seal itself; one joint on gas at most."""

from __future__ import annotations

from dataclasses import replace

from catalog.domain.answers import COMMON_PRACTICE, Answer, Aspect, Effect
from catalog.domain.case import Case
from catalog.domain.comparing_codes import mates_with
from catalog.domain.demands import offered
from catalog.domain.findings import Finding
from catalog.domain.folding import level
from catalog.domain.gate import gate, services
from catalog.domain.parts import Part
from catalog.domain.rules import ComparisonKind, Rule
from catalog.domain.weighing import Reading
from catalog.domain.weighing_rules import weigh_rules

_ASKED_OF_ADAPTERS = frozenset({Aspect.PRESSURE, Aspect.MATERIAL})
TOWARDS_POSITION = "towards_position"
TOWARDS_PART = "towards_part"


def adapted(case: Case, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings with the joint judged through the adapters, where any are named and the part does not mate."""
    if not case.adapters or case.category is None:
        return findings
    joints = {r.code: r for r in case.category.rules if r.comparison.kind is ComparisonKind.MATES_WITH}
    apart = [f for f in findings if f.attribute in joints and f.outcome is Answer.NOT_MET]
    if not apart:
        return findings
    refusal = _refused(case)
    joined = [refusal or _joined(case, joints[finding.attribute], finding) for finding in apart]
    kept = tuple(finding for finding in findings if finding not in apart)
    return (*kept, *joined, *(own for adapter in case.adapters for own in _own_findings(case, adapter)))


def _refused(case: Case) -> Finding | None:
    if case.position.adapter_forbidden:
        return _finding(Answer.NOT_MET, f"No adapter may stand here: {case.position.adapter_forbidden}.")
    known = services(case)
    if any(service.gas for service in known) and len(case.adapters) > 1:
        return _finding(Answer.NOT_MET, f"{len(case.adapters)} adapters where a gas line takes one joint.")
    if any(service.fuel_family == "CNG" for service in known):
        return _finding(Answer.NOT_MET, "No adapter may stand on a CNG coupling.")
    return None


def _joined(case: Case, rule: Rule, finding: Finding) -> Finding:
    """Whether the adapter mates the position with one end and the part with the other."""
    table = case.rulebook.tables.mates[rule.comparison.table]
    first, last = case.adapters[0], case.adapters[-1]
    needed: Reading = {
        m: d[0].value for m in rule.attributes if (d := case.position.demands.get((m, finding.slot), ()))
    }
    part = next(iter(offered(case.candidate, rule, finding.slot)), {})
    at_position = mates_with(table, needed, _end(first, rule, TOWARDS_POSITION))
    at_part = mates_with(table, _end(last, rule, TOWARDS_PART), part)
    answers = (at_position.answer, at_part.answer)
    names = " and ".join(adapter.shown for adapter in case.adapters)
    if answers == (Answer.MET, Answer.MET):
        return replace(
            finding, outcome=Answer.MET_IF, effect=Effect.CONDITION, text=f"Mates through {names}.",
            condition=f"the joint is made with {names} and leak-tested",
        )  # fmt: skip
    if Answer.NOT_MET in answers:
        return replace(finding, text=f"{names} does not join it: {at_position.reason or at_part.reason}.")
    return replace(
        finding, outcome=Answer.UNKNOWN, effect=Effect.UNDETERMINED, text=f"Cannot tell whether {names} joins it."
    )


def _end(adapter: Part, rule: Rule, side: str) -> Reading:
    return {member: offers[0].value for member in rule.attributes if (offers := adapter.at((member, side)))}


def _own_findings(case: Case, adapter: Part) -> tuple[Finding, ...]:
    """The adapter's own gate, pressure and seal, judged at the position as if it were the part."""
    own = replace(case, candidate=adapter, adapters=(), statements=(), found=None)
    rules = case.category.rules if case.category else ()
    asked = {rule.code for rule in rules if rule.aspect in _ASKED_OF_ADAPTERS}
    found = (*gate(own), *(finding for finding in weigh_rules(own) if finding.attribute in asked))
    return tuple(
        replace(finding, text=f"Adapter {adapter.shown}: {finding.text}", critical=False)
        for finding in found
        if level(finding.effect)
    )


def _finding(answer: Answer, text: str) -> Finding:
    effect = Effect.REJECT if answer is Answer.NOT_MET else Effect.NONE
    return Finding("adapter", answer, effect, text, COMMON_PRACTICE, worst=Effect.REJECT)
