"""A named adapter: it mates both ends and must pass gate, pressure and seal itself; one joint on gas at most."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from catalog.domain.answers import COMMON_PRACTICE, Answer, Aspect, Effect
from catalog.domain.base_answers import against
from catalog.domain.case import Case
from catalog.domain.circumstances import used_goods
from catalog.domain.demands import asked_of, offered
from catalog.domain.findings import Finding
from catalog.domain.folding import level
from catalog.domain.gate import gate
from catalog.domain.mating import mates_with
from catalog.domain.parts import Part
from catalog.domain.reaching import gas_passes
from catalog.domain.rules import Category, ComparisonKind, FuelRole, Rule
from catalog.domain.values import Slot
from catalog.domain.weighing import Reading, Weighed, worst
from catalog.domain.weighing_rules import weigh_rules

_ASKED_OF_ADAPTERS = frozenset({Aspect.PRESSURE, Aspect.MATERIAL})
TOWARDS_POSITION = "towards_position"
TOWARDS_PART = "towards_part"


def adapted(case: Case, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings with the joint judged through the adapters, where any are named and the part does not mate."""
    category = case.category
    if not case.adapters or category is None:
        return findings
    joints = _joint_rules(category)
    unjoined = apart(case, findings)
    if not unjoined:
        return findings
    refusal = _refused(case)
    joined = [refusal or _joined(case, joints[finding.attribute], finding) for finding in unjoined]
    kept = tuple(finding for finding in findings if finding not in unjoined)
    slots = {finding.slot for finding in unjoined}
    return (*kept, *joined, *(own for adapter in case.adapters for own in _own_findings(case, adapter, slots)))


def apart(case: Case, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The joints that do not mate without an adapter."""
    joints = () if case.category is None else _joint_rules(case.category)
    return tuple(f for f in findings if f.attribute in joints and f.outcome is Answer.NOT_MET)


def _joint_rules(category: Category) -> dict[str, Rule]:
    return {rule.code: rule for rule in category.rules if rule.comparison.kind is ComparisonKind.MATES_WITH}


def _refused(case: Case) -> Finding | None:
    if case.position.adapter_forbidden:
        return _refusal(f"No adapter may stand here: {case.position.adapter_forbidden}.")
    known = case.services
    if any(service.gas for service in known) and len(case.adapters) > 1:
        return _refusal(f"{len(case.adapters)} adapters where a gas line takes one joint.")
    if any(service.fuel_family == "CNG" for service in known):
        return _refusal("No adapter may stand on a CNG coupling.")
    return None


def _joined(case: Case, rule: Rule, finding: Finding) -> Finding:
    """Whether the adapters mate the position with one end, the part with the other, and one another."""
    weighed = worst(tuple(_joints(case, rule, finding.slot)))
    names = " and ".join(adapter.shown for adapter in case.adapters)
    if weighed.answer in (Answer.MET, Answer.MET_IF):
        carries = bool(case.services)
        made = f"the joint is made with {names}{' and leak-tested' if carries else ''}"
        condition = "; ".join((made, weighed.condition) if weighed.condition else (made,))
        return finding._replace(
            outcome=Answer.MET_IF, effect=Effect.CONDITION, text=f"Mates through {names}.", condition=condition
        )
    if weighed.answer is Answer.NOT_MET:
        return finding._replace(text=f"{names} does not join it: {weighed.reason}.")
    reason = f": {weighed.reason}" if weighed.reason else ""
    text = f"Cannot tell whether {names} joins it{reason}."
    return finding._replace(outcome=Answer.UNKNOWN, effect=rule.when_unknown, text=text)


def _joints(case: Case, rule: Rule, slot: Slot) -> Iterator[Weighed]:
    table, part = case.rulebook.tables.mates[rule.comparison.table], offered(case.candidate, rule, slot) or ({},)
    first, last = case.adapters[0], case.adapters[-1]
    for asked in asked_of(case, rule, slot)[:1]:
        yield against(case, rule, asked, (_end(first, rule, TOWARDS_POSITION),))
    gas = gas_passes(case, slot)
    for one, other in pairwise(case.adapters):
        yield mates_with(table, _end(one, rule, TOWARDS_PART), _end(other, rule, TOWARDS_POSITION), gas=gas)
    for reading in part:
        yield mates_with(table, _end(last, rule, TOWARDS_PART), reading, gas=gas)


def _end(adapter: Part, rule: Rule, side: str) -> Reading:
    return {member: offers[0].value for member in rule.attributes if (offers := adapter.at((member, side)))}


def _own_findings(case: Case, adapter: Part, slots: set[Slot]) -> tuple[Finding, ...]:
    """The adapter's own gate, pressure and seal, and that it is not used goods, where it joins the position."""
    own = replace(case, candidate=adapter, adapters=(), found=None)
    category = case.category
    if category is None:
        return ()
    asked = {rule.code for rule in category.rules if rule.aspect in _ASKED_OF_ADAPTERS}
    rules = (finding for finding in weigh_rules(own) if finding.attribute in asked)
    found = (*gate(_at_the_joint(own, category, slots)), *used_goods(own, category), *rules)
    return tuple(
        finding._replace(text=f"Adapter {adapter.shown}: {finding.text}", critical=False)
        for finding in found
        if level(finding.effect)
    )


def _at_the_joint(own: Case, category: Category, slots: set[Slot]) -> Case:
    """An adapter is gated at the ports it joins, and as the passive thing it is where its own category is wetted."""
    kind = own.rulebook.categories.get(own.candidate.category)
    ports = tuple(port for port in category.ports if port in slots) or category.ports
    passive = kind is not None and kind.fuel_role is FuelRole.WETTED and category.fuel_role is FuelRole.METERING
    gated = replace(category, ports=ports, fuel_role=FuelRole.WETTED if passive else category.fuel_role)
    categories = {**own.rulebook.categories, category.code: gated}
    return replace(own, rulebook=replace(own.rulebook, categories=categories))


def _refusal(text: str) -> Finding:
    return Finding("adapter", Answer.NOT_MET, Effect.REJECT, text, COMMON_PRACTICE, worst=Effect.REJECT)
