"""What the data alone answers to one rule in one slot: the worst over all that the position asks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from catalog.domain.answers import Answer, Basis, Fact, TakenOver, distinct
from catalog.domain.case import Case
from catalog.domain.comparing import compare, compare_one
from catalog.domain.comparing_codes import Wetting, rated_for, stated_ranges
from catalog.domain.demands import Asked, heard, offered
from catalog.domain.mating import mates_with, same_members
from catalog.domain.parts import MATERIAL, SEAL_TEMPERATURE
from catalog.domain.reaching import gas_passes, media_asked, touched, wetting
from catalog.domain.rules import Comparison, ComparisonKind, RatingTable, Rule, in_slot
from catalog.domain.seal_size import Surroundings, size_seals
from catalog.domain.values import Demand, Slot, Value
from catalog.domain.weighing import MET, Reading, Weighed, agreed, weaker, worst

_IDENTITIES = frozenset({ComparisonKind.EQUALS, ComparisonKind.WITHIN, ComparisonKind.MATES_WITH})
_THE_SAME = Comparison(ComparisonKind.EQUALS)
CANDIDATE = "candidate: "  # how the name of a fact about the part begins


class Settled(NamedTuple):
    """An answer with the demand it is given to, the facts it asks for, its basis, and what in the data contradicts it.

    A demand of None says that the position asks for nothing that is recorded.
    """

    weighed: Weighed
    demand: Demand | None = None
    missing: tuple[Fact, ...] = ()
    basis: Basis = Basis.PART_DATA
    data_error: str = ""


def base_answer(case: Case, rule: Rule, slot: Slot, asked: tuple[Asked, ...]) -> Settled:
    """The answer from the data alone: lenders agree among themselves, the rest is the worst.

    One demand alone, the position's or that of the one part specified here, has nothing to agree with.
    """
    if not asked:
        weighed = Weighed(Answer.UNKNOWN, "what the position needs is not recorded")
        return Settled(weighed, missing=(_need(case, rule, slot, None),))
    readings = offered(case.candidate, rule, slot)
    if len(asked) == 1 and asked[0].lends.holds:
        weighed = against(case, rule, asked[0], readings)
        return _with_facts(case, rule, slot, (asked[0].shown, weighed))
    own = [(demand.shown, against(case, rule, demand, readings)) for demand in asked if demand.taken_over is None]
    if rule.comparison.kind in _IDENTITIES and len(own) > 1:
        return _with_facts(case, rule, slot, (own[0][0], agreed(tuple(weighed for _, weighed in own))))
    lent = _taken_over(case, rule, slot, tuple(demand for demand in asked if demand.taken_over), readings)
    return _worst(rule, [*(_with_facts(case, rule, slot, answer) for answer in own), *lent])


def against(case: Case, rule: Rule, demand: Asked, readings: tuple[Reading, ...]) -> Weighed:
    """One demand against all that the sources say of the part."""
    if len(readings) == 1:
        weighed = _once(case, rule, demand, readings[0])
    else:
        weighed = _sources_agreed(rule, readings, tuple(_once(case, rule, demand, reading) for reading in readings))
    if weighed.answer is not Answer.NOT_MET:
        return weighed
    if demand.taken_over is TakenOver.CAPACITY:
        asks = rule.attributes[:1]
        reason = f"{weighed.reason}, as the specified part has"
        return Weighed(Answer.UNKNOWN, reason, weighed.margin, asks=asks, recorded_against=True)
    if demand.taken_over is TakenOver.CLEARANCE:
        return Weighed(Answer.MET_IF, weighed.reason, weighed.margin, rule.condition or "there is room for it")
    return weighed


def _once(case: Case, rule: Rule, demand: Asked, reading: Reading) -> Weighed:
    kind, member = rule.comparison.kind, rule.attributes[0]
    same = demand.taken_over is TakenOver.SAME and rule.rating
    if same or rule.by_itself:
        asked, given = demand.reading.get(member), reading.get(member)
        return compare_one(_THE_SAME if same else rule.comparison, member, asked, given, case.rulebook.tables)
    if kind is ComparisonKind.MATES_WITH:
        return _mated(case, rule, demand, reading)
    if kind is ComparisonKind.RATED_FOR:
        return _rated(case, rule, demand, reading)
    if kind is ComparisonKind.SIZE_SEALS:
        around = Surroundings.of(case.position.media_at(demand.slot))
        return size_seals(demand.reading, reading, case.rulebook.tables.reference, around)
    return compare(rule, demand.reading, reading, case.rulebook.tables)


def _mated(case: Case, rule: Rule, demand: Asked, reading: Reading) -> Weighed:
    table = case.rulebook.tables.mates[rule.comparison.table]
    if demand.taken_over:
        return same_members(rule.attributes, demand.reading, reading, table)
    gas = gas_passes(case, demand.slot) if table.joints and demand.slot not in table.joints.gas_free_slots else False
    return mates_with(table, demand.reading, reading, gas=gas)


def _sources_agreed(rule: Rule, readings: tuple[Reading, ...], results: tuple[Weighed, ...]) -> Weighed:
    """Sources that come to different answers: unknown, with what each of them says."""
    together = agreed(results)
    if not together.disputed:
        return together
    said = [
        distinct(reading[member].shown() for reading in readings if member in reading) for member in rule.attributes
    ]
    shown = "; ".join(" / ".join(values) for values in said if len(values) > 1)
    against_it = distinct(weighed.reason for weighed in results if weighed.reason)
    reason = f"the sources disagree: {shown}" + (f" ({', '.join(against_it)})" if against_it else "")
    return together._replace(reason=reason, lacks=distinct((*together.lacks, rule.attributes[0])))


def _rated(case: Case, rule: Rule, demand: Asked, offer: Reading) -> Weighed:
    """A material against each medium asked for, at the temperatures and motion the position has it at."""
    member = rule.attributes[0]
    table = case.rulebook.tables.ratings[rule.comparison.table]
    media = {medium.name: medium for medium in touched(case, demand.slot, table)}
    asked, given = demand.reading.get(member), offer.get(member)
    if asked is None or given is None or not asked.codes or not given.codes:
        return compare(rule, demand.reading, offer, case.rulebook.tables)
    if media.keys().isdisjoint(asked.codes) and _by_name(asked, table):
        return _of_that_name(member, asked, given)
    wettings = [wetting(case, media[name]) if name in media else Wetting(name) for name in asked.codes]
    stated = (
        stated_ranges(heard(case.candidate, (SEAL_TEMPERATURE, None), rule.aspect)) if member == MATERIAL else (None,)
    )
    return agreed(
        tuple(worst(tuple(rated_for(table, member, met, given, window) for met in wettings)) for window in stated)
    )


def _by_name(demand: Value, table: RatingTable) -> bool:
    """Whether a position asks for materials by name, where others are asked to stand the media named."""
    return bool(demand.codes) and all(code in table.materials for code in demand.codes)


def _of_that_name(member: str, demand: Value, offer: Value) -> Weighed:
    """A maker may ask for a material for more than what it touches, so another one is for the maker to allow."""
    if set(offer.codes) <= set(demand.codes):
        return MET
    return Weighed(Answer.UNKNOWN, f"{offer.shown()} where {demand.shown()} is asked by name", asks=(member,))


def _taken_over(
    case: Case, rule: Rule, slot: Slot, asked: tuple[Asked, ...], readings: tuple[Reading, ...]
) -> tuple[Settled, ...]:
    """Parts specified here must agree; one that only may be specified here settles nothing by itself."""
    if not asked:
        return ()
    sure = [(demand.shown, against(case, rule, demand, readings)) for demand in asked if demand.lends.holds]
    perhaps = tuple(demand for demand in asked if demand.lends.holds is None)
    facts = distinct(fact for demand in perhaps for fact in demand.lends.missing)
    if not sure:
        weighed = Weighed(Answer.UNKNOWN, "which part is specified here is not known")
        return (Settled(weighed, perhaps[0].shown, facts),)
    answers = tuple(weighed for _, weighed in sure)
    together = agreed((*answers, *(against(case, rule, demand, readings) for demand in perhaps)))
    if agreed(answers).answer is together.answer:
        return (_with_facts(case, rule, slot, (sure[0][0], together)),)
    weighed = Weighed(Answer.UNKNOWN, together.reason, recorded_against=together.recorded_against)
    return (Settled(weighed, sure[0][0], facts),)


def _worst(rule: Rule, results: Sequence[Settled]) -> Settled:
    """The worst answer; of demands that come to the same answer the most demanding one is shown."""
    if len(results) == 1:
        return results[0]
    chosen = worst(tuple(settled.weighed for settled in results))
    alike = [settled for settled in results if settled.weighed.answer is chosen.answer]
    foremost = alike[0]
    for settled in alike[1:]:
        if _more_demanding(rule, settled.demand, foremost.demand):
            foremost = settled
    facts = distinct(fact for settled in results for fact in settled.missing)
    if chosen.answer is Answer.UNKNOWN:
        return Settled(chosen, foremost.demand, facts)
    kept = foremost.weighed._replace(condition=chosen.condition)
    return Settled(kept, foremost.demand)


def _more_demanding(rule: Rule, one: Demand | None, other: Demand | None) -> bool:
    return one is not None and other is not None and weaker(rule.comparison.kind, other.value, one.value)


def _with_facts(case: Case, rule: Rule, slot: Slot, answer: tuple[Demand, Weighed]) -> Settled:
    demand, weighed = answer
    if weighed.answer is not Answer.UNKNOWN:
        return Settled(weighed, demand)
    lacks = tuple(lacking_of_candidate(case, member, slot) for member in weighed.lacks)
    asks = (_need(case, rule, slot, demand),) if weighed.asks or not lacks else ()
    return Settled(weighed, demand, distinct((*lacks, *asks)))


def lacking_of_candidate(case: Case, member: str, slot: Slot) -> Fact:
    name = in_slot(case.rulebook.attribute_name(member), slot)
    return Fact(f"{CANDIDATE}{name}", f"What is the {name} of {case.candidate.shown}? Measure it or read the label.")


def _need(case: Case, rule: Rule, slot: Slot, demand: Demand | None) -> Fact:
    """What the position would have to say. Materials are asked for by what it touches, which decides on all of them."""
    name = rule.shown(slot)
    if rule.comparison.kind is ComparisonKind.RATED_FOR:
        if demand is None or not _by_name(demand.value, case.rulebook.tables.ratings[rule.comparison.table]):
            return media_asked(case, slot)
        asks = f"The {case.position.shown} asks for {demand.value.shown()} by name"
        question = f"{asks}: does the engine's maker allow another material there? Ask them, and have it put on record."
        return Fact(f"position: {name}", question)
    return Fact(f"position: {name}", f"What does the {case.position.shown} need: {name}?")
