"""Every demand there is of one rule in one slot, with its basis, and which of them count."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import product
from typing import NamedTuple

from catalog.domain.answers import (
    COMMON_PRACTICE,
    NOT_SETTLED_BY_TELLING,
    YES,
    Aspect,
    Basis,
    TakenOver,
    Truth,
)
from catalog.domain.case import Case
from catalog.domain.parts import Part
from catalog.domain.reaching import touched
from catalog.domain.rules import CodeFloor, ComparisonKind, Rule
from catalog.domain.values import Demand, How, Offer, Place, Slot, Value
from catalog.domain.weighing import Reading

_FIRST = frozenset({Basis.STATED, Basis.COUNTER})
_NEEDS = frozenset({Basis.STATED, Basis.COUNTER, Basis.COMPUTED})


class Asked(NamedTuple):
    """One demand on every member of a rule. `taken_over` is None where the position itself asks.

    `lends` says whether the part it is taken over from is specified for this application.
    """

    reading: Reading
    shown: Demand
    taken_over: TakenOver | None = None
    lends: Truth = YES
    slot: Slot = None


def asked_of(case: Case, rule: Rule, slot: Slot) -> tuple[Asked, ...]:
    """The demands that count: for a rating all of them, for an identity the first basis that speaks.

    A capacity is taken over only where the position's need is neither stated nor computed. The part found on the
    engine lends its geometry where nothing else speaks.
    """
    own = _of_position(case, rule, slot)
    counted = _of_rating(case, rule, slot, own) if rule.rating else _foremost(own) or _lent(case, rule, slot)
    return counted or _of_found_part(case, rule, slot)


def _of_rating(case: Case, rule: Rule, slot: Slot, own: tuple[Asked, ...]) -> tuple[Asked, ...]:
    known = case.rulebook.floors.get((case.position.category, rule.attributes[0]), ())
    if not known and not case.specified_here:
        return own
    stated = any(asked.shown.basis in _NEEDS for asked in own)
    floors = _code_floors(case, [floor for floor in known if not (stated and floor.unless_stated)], slot)
    lent = () if stated and rule.taken_over is TakenOver.CAPACITY else _lent(case, rule, slot)
    return (*own, *floors, *lent)


def _foremost(own: tuple[Asked, ...]) -> tuple[Asked, ...]:
    """Those of the first basis that speaks; what stands alone is foremost."""
    return own if len(own) < 2 else tuple(asked for asked in own if asked.shown.basis in _FIRST) or own


def _of_position(case: Case, rule: Rule, slot: Slot) -> tuple[Asked, ...]:
    if len(rule.attributes) == 1:
        (member,) = rule.attributes
        # A material that the maker names is asked for beside what touches it there, and never in its place.
        demands = (*case.position.demands.get((member, slot), ()), *_media(case, rule, slot))
        if not demands:
            return ()
        if len(demands) == 1 and demands[0].how is None:
            return (Asked({member: demands[0].value}, demands[0], slot=slot),)
        return tuple(
            Asked({member: d.value}, d, slot=slot) for d in _by_basis(demands) if not _only_told(d, rule.aspect)
        )
    by_basis: dict[Basis, dict[str, list[Demand]]] = {}
    for member in rule.attributes:
        for demand in case.position.demands.get((member, slot), ()):
            if not _only_told(demand, rule.aspect):
                by_basis.setdefault(demand.basis, {}).setdefault(member, []).append(demand)
    return tuple(
        Asked({member: demand.value for member, demand in reading.items()}, _leading(rule, reading), slot=slot)
        for _, members in sorted(by_basis.items())
        for reading in _readings(members)
    )


def _code_floors(case: Case, floors: Sequence[CodeFloor], slot: Slot) -> tuple[Asked, ...]:
    if not floors or case.category is None:
        return ()
    ports = (slot,) if slot in case.category.ports else case.category.ports
    classes = {code for port in ports if port for code in case.required_classes(port)[0]}
    return tuple(Asked({f.attribute: f.demand.value}, f.demand) for f in floors if classes & set(f.classes))


def _lent(case: Case, rule: Rule, slot: Slot) -> tuple[Asked, ...]:
    if rule.taken_over is TakenOver.NONE or not case.specified_here:
        return ()
    definition = case.rulebook.attributes.get(rule.attributes[0])
    dependent = definition is not None and definition.fuel_dependent
    lent = [
        Asked(reading, shown, rule.taken_over, truth)
        for part, truth in (case.lending_by_fuel if dependent else case.specified_here)
        for reading, shown in _recorded(part, rule, slot, Basis.SPECIFIED_PART)
    ]
    return tuple(lent)


def _of_found_part(case: Case, rule: Rule, slot: Slot) -> tuple[Asked, ...]:
    if case.found is None or rule.taken_over is TakenOver.NONE:
        return ()
    definition = case.rulebook.attributes.get(rule.attributes[0])
    if definition is None or not definition.geometry:
        return ()
    if case.found.key == case.candidate.key:
        return ()
    recorded = _recorded(case.found, rule, slot, Basis.COUNTER)
    return tuple(Asked(reading, shown, rule.taken_over) for reading, shown in recorded)


def _recorded(part: Part, rule: Rule, slot: Slot, basis: Basis) -> tuple[tuple[Reading, Demand], ...]:
    if len(rule.attributes) == 1:
        stated = heard(part, (rule.attributes[0], slot), rule.aspect)
        if len(stated) < 2:
            return tuple(({rule.attributes[0]: said.value}, Demand(said.value, basis, said.source)) for said in stated)
    lead = leading_member(part, rule, slot)
    leading = heard(part, (lead, slot), rule.aspect)
    if not leading:
        return ()
    readings = offered(part, rule, slot)
    return tuple((reading, Demand(reading[lead], basis, leading[0].source)) for reading in readings)


def leading_member(part: Part, rule: Rule, slot: Slot) -> str:
    """The member a part's side of a rule is shown by: the first, or of a ring the first it states, as its size code."""
    if rule.comparison.kind is not ComparisonKind.SIZE_SEALS:
        return rule.attributes[0]
    stated = (member for member in rule.attributes if heard(part, (member, slot), rule.aspect))
    return next(stated, rule.attributes[0])


def offered(part: Part, rule: Rule, slot: Slot) -> tuple[Reading, ...]:
    """What a part says of the rule's members: one reading for each way its sources can be read."""
    if len(rule.attributes) == 1:
        (only,) = rule.attributes
        stated = heard(part, (only, slot), rule.aspect)
        if len(stated) == 1:
            return ({only: stated[0].value},)
    members: dict[str, tuple[Offer, ...]] = {}
    for member in rule.attributes:
        offers = heard(part, (member, slot), rule.aspect)
        if offers:
            members[member] = offers
    if all(len(found) == 1 for found in members.values()):
        return ({member: found[0].value for member, found in members.items()},)
    values = {member: tuple(dict.fromkeys(offer.value for offer in offers)) for member, offers in members.items()}
    return tuple(dict(zip(values, chosen, strict=True)) for chosen in product(*values.values()))


def heard(part: Part, place: Place, aspect: Aspect) -> tuple[Offer, ...]:
    """What a part says in a place, without what was only told of a thing that telling does not settle."""
    offers = part.offers.get(place, ())
    if not offers or aspect not in NOT_SETTLED_BY_TELLING:
        return offers
    return tuple(offer for offer in offers if not _only_told(offer, aspect))


def _media(case: Case, rule: Rule, slot: Slot) -> tuple[Demand, ...]:
    """What a material has to stand: the media that the seals in this slot touch."""
    if rule.comparison.kind is not ComparisonKind.RATED_FOR:
        return ()
    media = touched(case, slot, case.rulebook.tables.ratings.get(rule.comparison.table))
    if not media:
        return ()
    names = tuple(medium.name for medium in media)
    return (Demand(Value(names), Basis.STATED, COMMON_PRACTICE),)


def _by_basis(demands: tuple[Demand, ...]) -> Iterable[Demand]:
    return sorted(demands, key=lambda demand: demand.basis) if len(demands) > 1 else demands


def _only_told(stated: Offer | Demand, aspect: Aspect) -> bool:
    return stated.how is How.TOLD and aspect in NOT_SETTLED_BY_TELLING


def _readings(members: Mapping[str, list[Demand]]) -> Iterable[dict[str, Demand]]:
    for chosen in product(*members.values()):
        yield dict(zip(members, chosen, strict=True))


def _leading(rule: Rule, reading: Mapping[str, Demand]) -> Demand:
    return next(reading[member] for member in rule.attributes if member in reading)
