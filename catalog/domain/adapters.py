"""A named adapter: it mates both ends and must pass gate, pressure and seal itself; one joint on gas at most.

An adapter is judged as the kind of part it is. Its ends are the slots in which its record states the joint; either may
face the position, and several adapters may stand in any order. It is one piece, and stands in one joint: where two do
not mate it is named twice.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import permutations, product
from typing import NamedTuple

from catalog.domain.answers import COMMON_PRACTICE, Answer, Aspect, Effect, Fact, distinct
from catalog.domain.base_answers import CANDIDATE, base_answer, lacking_of_candidate
from catalog.domain.case import Case
from catalog.domain.circumstances import used_goods
from catalog.domain.demands import asked_of, offered
from catalog.domain.findings import Finding
from catalog.domain.gate import gate
from catalog.domain.mating import mates_with
from catalog.domain.parts import Part
from catalog.domain.reaching import gas_passes
from catalog.domain.rules import Category, ComparisonKind, FuelRole, Rule, in_slot
from catalog.domain.values import Slot, State
from catalog.domain.weighing import Reading, Weighed, agreed, severity, worst
from catalog.domain.weighing_rules import weigh_rules

_OF_FLUIDS = (Aspect.PRESSURE, Aspect.MATERIAL)
_WETTED = frozenset({FuelRole.METERING, FuelRole.WETTED})
_ENDS = 2
# Facts are told of the part and of its place; what an adapter is stands in the catalogue.
_ON_ITS_RECORD = "Measure it or read the label, and have it put on the record of the part."


@dataclass(frozen=True, slots=True)
class _Joint:
    """A joint that does not mate by itself, and the adapters that can be meant for it.

    `fluid` is that something flows through it: of an electrical one nothing is asked but that it mates.
    """

    rule: Rule
    finding: Finding
    adapters: tuple[Part, ...]
    fluid: bool


def adapted(case: Case, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings with each joint that does not mate judged through the adapters, where any are named.

    An adapter that no joint needs is no part of the answer: whoever named it is told to leave it out.
    """
    category = case.category
    if not case.adapters or category is None:
        return findings
    rules = _joint_rules(category)
    open_joints = [_joint(case, rules[finding.attribute], finding) for finding in apart(case, findings)]
    through = [joint.finding for joint in open_joints]
    kept = tuple(finding for finding in findings if finding not in through)
    made = _shared_out(case, open_joints).made
    joints, joined = [joint for joint, _ in made], [finding for _, finding in made]
    named = {one.key: one for one in case.adapters}.values()
    own = (found for adapter in named for found in _own_findings(case, adapter, joints))
    spare = tuple(one for one in case.adapters if not any(one in joint.adapters for joint in joints))
    return (*kept, *joined, *own, *_left_out(case, findings, spare))


class _SharedOut(NamedTuple):
    """Each joint with the pieces that stand in it, and what becomes of it."""

    made: tuple[tuple[_Joint, Finding], ...]

    @property
    def badness(self) -> tuple[int, int]:
        each = [severity(finding.outcome) for _, finding in self.made]
        return max(each, default=0), sum(each)


def _shared_out(case: Case, joints: Sequence[_Joint]) -> _SharedOut:
    """Each piece that is named in one of the joints that it can be meant for, in the way that joins them best.

    A joint that no piece is left for stays apart.
    """
    meant = [[at for at, joint in enumerate(joints) if one in joint.adapters] for one in case.adapters]
    pieces = [one for one, places in zip(case.adapters, meant, strict=True) if places]

    @cache
    def made(at: int, standing: tuple[int, ...]) -> tuple[_Joint, Finding]:
        joint = replace(joints[at], adapters=tuple(pieces[piece] for piece in standing))
        if joints[at].adapters and not standing:
            return joint, _none_left(joints[at])
        return joint, _joined(case, joint, several=len(joints) > 1)

    ways = []
    for chosen in product(*filter(None, meant)):
        here = [tuple(n for n, place in enumerate(chosen) if place == at) for at in range(len(joints))]
        ways.append(_SharedOut(tuple(made(at, standing) for at, standing in enumerate(here))))
    return min(ways, key=lambda way: way.badness)


def _none_left(joint: _Joint) -> Finding:
    names = _all(joint.adapters)
    return joint.finding._replace(text=f"{joint.finding.text} {names} joins another joint here, and a piece joins one.")


def apart(case: Case, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The joints that do not mate without an adapter."""
    joints = () if case.category is None else _joint_rules(case.category)
    return tuple(f for f in findings if f.attribute in joints and f.outcome is Answer.NOT_MET)


def _joint_rules(category: Category) -> dict[str, Rule]:
    return {rule.code: rule for rule in category.rules if rule.comparison.kind is ComparisonKind.MATES_WITH}


def _left_out(case: Case, findings: tuple[Finding, ...], spare: tuple[Part, ...]) -> Iterator[Finding]:
    """Nothing where it is not known whether the part mates: then an adapter may be what is needed."""
    joints = () if case.category is None else _joint_rules(case.category)
    outcomes = {finding.outcome for finding in findings if finding.attribute in joints}
    if not spare or Answer.UNKNOWN in outcomes:
        return
    if not outcomes:
        why = "nothing is known here that an adapter would join"
    elif Answer.NOT_MET in outcomes:
        why = "no joint here takes it"
    else:
        why = "the part mates here without it"
    names = _all(spare)
    text, condition = f"{names} named as adapter is not weighed: {why}.", f"{names} is left out: {why}"
    yield Finding("adapter", Answer.MET_IF, Effect.CONDITION, text, COMMON_PRACTICE, condition=condition)


def _joint(case: Case, rule: Rule, finding: Finding) -> _Joint:
    table, category = case.rulebook.tables.mates[rule.comparison.table], case.category
    fluid = table.joints is not None or (category is not None and finding.slot in category.ports)
    return _Joint(rule, finding, tuple(one for one in case.adapters if _may_join(case, one, rule)), fluid)


def _may_join(case: Case, adapter: Part, rule: Rule) -> bool:
    """Whether its record states the joint, or could: nothing recorded of a fitting's ends is unknown, never none."""
    kind = case.rulebook.categories.get(adapter.category)
    members = set(rule.attributes)
    return kind is None or not members.isdisjoint(kind.attributes) or bool(_ends(adapter, rule))


def _ends(adapter: Part, rule: Rule) -> tuple[Slot, ...]:
    """Where its record says what the joint is; a third end that it is said not to have is none."""
    return distinct(
        slot
        for (member, slot), offers in adapter.offers.items()
        if member in rule.attributes and any(offer.value.state is State.VALUE for offer in offers)
    )


def _joined(case: Case, joint: _Joint, *, several: bool) -> Finding:
    """Whether the adapters mate the position with one end, the part with the other, and one another.

    Where `several` joints do not mate, what is made of each is said with the place where it is.
    """
    finding = joint.finding
    if not joint.adapters:
        return finding
    refusal = _refused(case, joint) if joint.fluid else ""
    if refusal:
        return Finding("adapter", Answer.NOT_MET, Effect.REJECT, refusal, COMMON_PRACTICE, worst=Effect.REJECT)
    way, names = _best_way(case, joint), _all(joint.adapters)
    weighed = way.weighed
    if weighed.answer in (Answer.MET, Answer.MET_IF):
        tested = " and leak-tested" if joint.fluid and case.services else ""
        place = in_slot("the joint", finding.slot) if several else "the joint"
        made = f"{place} is made with {names}{tested}"
        condition = "; ".join((made, weighed.condition) if weighed.condition else (made,))
        return finding._replace(
            outcome=Answer.MET_IF, effect=Effect.CONDITION, text=f"Mates through {names}.", condition=condition
        )
    if weighed.answer is Answer.NOT_MET:
        return finding._replace(text=f"{names} does not join it: {weighed.reason}.")
    reason = f": {weighed.reason}" if weighed.reason else ""
    text = f"Cannot tell whether {names} joins it{reason}."
    return finding._replace(outcome=Answer.UNKNOWN, effect=joint.rule.when_unknown, text=text, missing=way.missing)


def _refused(case: Case, joint: _Joint) -> str:
    if case.position.adapter_forbidden:
        return f"No adapter may stand here: {case.position.adapter_forbidden}."
    if any(service.gas for service in case.services) and len(joint.adapters) > 1:
        return f"{len(joint.adapters)} adapters where a gas line takes one joint."
    if any(service.fuel_family == "CNG" for service in case.services):
        return "No adapter may stand on a CNG coupling."
    return ""


class _Way(NamedTuple):
    """How the adapters could stand, as it is weighed, with the facts that are missing of it."""

    weighed: Weighed
    missing: tuple[Fact, ...] = ()


class _Turned(NamedTuple):
    """An adapter with the end that faces the position and the one that faces the part."""

    adapter: Part
    towards_position: Slot
    towards_part: Slot


class _Half(NamedTuple):
    """One half of a joint: a part, and where on it."""

    part: Part
    slot: Slot


def _best_way(case: Case, joint: _Joint) -> _Way:
    """Of every order of the adapters, each turned either way, the one in which they join best."""
    odd = [_odd_ends(adapter, joint.rule) for adapter in joint.adapters]
    known = [way for way in odd if way is not None]
    if known:
        return max(known, key=_severity)
    turned = [[_Turned(one, *ends) for ends in permutations(_ends(one, joint.rule))] for one in joint.adapters]
    ways = (_way(case, joint, chain) for order in permutations(turned) for chain in product(*order))
    return min(ways, key=_severity)


def _severity(way: _Way) -> tuple[int, int]:
    return severity(way.weighed.answer), len(way.missing)


def _odd_ends(adapter: Part, rule: Rule) -> _Way | None:
    """What there is to say of an adapter whose record has not just two ends."""
    ends, shown = _ends(adapter, rule), adapter.shown
    if len(ends) == _ENDS:
        return None
    if len(ends) > _ENDS:
        reason = f"it has {len(ends)} ends, and two of them would be joined"
        return _Way(Weighed(Answer.NOT_MET, reason))
    question = f"What is the {rule.name} at each end of {shown}? {_ON_ITS_RECORD}"
    fact = Fact(f"adapter {shown}: {rule.name} at each end", question)
    return _Way(Weighed(Answer.UNKNOWN, "not both of its ends are recorded"), (fact,))


def _way(case: Case, joint: _Joint, chain: Sequence[_Turned]) -> _Way:
    links = list(_links(case, joint, chain))
    weighed = worst(tuple(link.weighed for link in links))
    facts = distinct(fact for link in links for fact in link.missing)
    return _Way(weighed, facts if weighed.answer is Answer.UNKNOWN else ())


def _links(case: Case, joint: _Joint, chain: Sequence[_Turned]) -> Iterator[_Way]:
    """The position with the first adapter, each with the next, the last with the part."""
    rule, slot = joint.rule, joint.finding.slot
    yield _with_position(case, joint, chain[0])
    table, gas = case.rulebook.tables.mates[rule.comparison.table], gas_passes(case, slot) if joint.fluid else False
    halves = [_Half(one.adapter, one.towards_position) for one in chain[1:]] + [_Half(case.candidate, slot)]
    for one, half in zip(chain, halves, strict=True):
        pairs = product(_readings(one.adapter, rule, one.towards_part), _readings(half.part, rule, half.slot))
        weighed = agreed(tuple(mates_with(table, demand, offer, gas=gas) for demand, offer in pairs))
        asks = [_lacks(case, _Half(one.adapter, one.towards_part), member) for member in weighed.asks]
        yield _Way(weighed, (*asks, *(_lacks(case, half, member) for member in weighed.lacks)))


def _with_position(case: Case, joint: _Joint, first: _Turned) -> _Way:
    """The adapter's end in the part's place, as the rule weighs it there."""
    rule, slot, adapter = joint.rule, joint.finding.slot, first.adapter
    end = {(member, slot): adapter.at((member, first.towards_position)) for member in rule.attributes}
    placed = replace(case, candidate=replace(adapter, offers={place: said for place, said in end.items() if said}))
    settled = base_answer(placed, rule, slot, asked_of(case, rule, slot))
    own = [_lacks(case, _Half(adapter, first.towards_position), member) for member in settled.weighed.lacks]
    return _Way(settled.weighed, (*own, *(fact for fact in settled.missing if not fact.name.startswith(CANDIDATE))))


def _readings(part: Part, rule: Rule, slot: Slot) -> tuple[Reading, ...]:
    return offered(part, rule, slot) or ({},)


def _lacks(case: Case, half: _Half, member: str) -> Fact:
    if half.part is case.candidate:
        return lacking_of_candidate(case, member, half.slot)
    name, shown = in_slot(case.rulebook.attribute_name(member), half.slot), half.part.shown
    return Fact(f"adapter {shown}: {name}", f"What is the {name} of {shown}? {_ON_ITS_RECORD}")


def _own_findings(case: Case, adapter: Part, joints: Sequence[_Joint]) -> tuple[Finding, ...]:
    """That it is no used goods and is listed for the place; its own gate, pressure and seal where something flows."""
    its = [joint for joint in joints if adapter in joint.adapters]
    own = replace(case, candidate=adapter, adapters=(), found=None)
    if not its or case.category is None:
        return ()
    slots = {joint.finding.slot for joint in its if joint.fluid}
    ports = tuple(port for port in case.category.ports if port in slots) or case.category.ports
    kind = case.rulebook.categories.get(adapter.category)
    there = own if kind is None else _at_a_place_for(kind, own, slots, ports)
    found = list(used_goods(own, case.category))
    if slots:
        found += gate(there if kind and kind.fuel_role in _WETTED else _gated_at(case.category, own, ports))
    for aspect in (*(_OF_FLUIDS if slots else ()), Aspect.LISTING):
        # What is not asked of its kind, such as the pressure of something that is no fitting, the position asks.
        asked = any(rule.aspect is aspect for rule in kind.rules) if kind else False
        found += _rules_of(there, aspect) if asked else _rules_of(own, aspect)
    return tuple(_of_adapter(adapter, finding) for finding in found if finding.effect is not Effect.NOT_ASKED)


def _at_a_place_for(kind: Category, own: Case, slots: Collection[Slot], ports: Collection[str]) -> Case:
    """At a place for the adapter's own kind that asks what the position asks, and takes what flows at these ports.

    What a part touches elsewhere in it, such as the coolant around a regulator, does not reach the adapter, of which
    nothing moves.
    """
    there = own.position
    flows = tuple(replace(entry, port=port) for entry in there.ports if entry.port in ports for port in kind.ports)
    fuels = own.rulebook.fuels if flows else {}
    touched = [one for one in there.media if one.slot is None or one.slot in slots or one.name in fuels]
    media = distinct(replace(one, slot=None, dynamic=False) for one in touched)
    return replace(own, position=replace(there, category=kind.code, ports=flows, media=media))


def _gated_at(asked: Category, own: Case, ports: tuple[str, ...]) -> Case:
    """As what belongs in the position, gated at these ports alone: of its own kind no fuel service is known."""
    categories = {**own.rulebook.categories, asked.code: replace(asked, ports=ports)}
    return replace(own, rulebook=replace(own.rulebook, categories=categories))


def _rules_of(case: Case, aspect: Aspect) -> list[Finding]:
    codes = {rule.code for rule in case.category.rules if rule.aspect is aspect} if case.category else set()
    return [finding for finding in weigh_rules(case) if finding.attribute in codes]


def _of_adapter(adapter: Part, finding: Finding) -> Finding:
    """The finding and its facts under the adapter's name, so that neither is taken for one about the part."""
    name = f"adapter {adapter.shown}: "
    facts = tuple(_named_after(name, fact) if fact.name.startswith(CANDIDATE) else fact for fact in finding.missing)
    return finding._replace(
        text=f"Adapter {adapter.shown}: {finding.text}", critical=False, counted=False, missing=facts
    )


def _named_after(name: str, fact: Fact) -> Fact:
    question = fact.question.replace("Measure it or read the label.", _ON_ITS_RECORD)
    return Fact(f"{name}{fact.name.removeprefix(CANDIDATE)}", question)


def _all(parts: Iterable[Part]) -> str:
    return " and ".join(part.shown for part in parts)
