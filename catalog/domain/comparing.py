"""One rule's comparison applied to one demand and one offer."""

from __future__ import annotations

from math import isqrt

from catalog.domain import comparing_codes as codes
from catalog.domain import comparing_numbers as numbers
from catalog.domain.answers import Answer
from catalog.domain.mating import mates_with
from catalog.domain.quantities import Interval, Quantity
from catalog.domain.rules import Comparison, ComparisonKind, Rule, Tables
from catalog.domain.seal_size import size_seals
from catalog.domain.values import State, Value
from catalog.domain.weighing import Reading, Weighed, by_state, lacking, not_met, worst

_FLOW_MEMBERS = 3  # a flow, the pressure difference it is stated at, and the fluid
_SETTABLE_MEMBERS = 2  # a measure, and the flag that it may be set before fitting or the range it may be set in

_NUMERIC = {
    ComparisonKind.AT_LEAST: numbers.at_least,
    ComparisonKind.AT_MOST: numbers.at_most,
    ComparisonKind.WITHIN: numbers.within,
    ComparisonKind.COVERS: numbers.covers,
    ComparisonKind.INSIDE: numbers.inside,
}
_CODED = {
    ComparisonKind.EQUALS: codes.equals,
    ComparisonKind.ONE_OF: codes.one_of,
    ComparisonKind.INCLUDES: codes.includes,
    ComparisonKind.DESIGNATION_MATCHES: codes.designation_matches,
}


def compare(rule: Rule, demand: Reading, offer: Reading, tables: Tables) -> Weighed:
    """Weigh one offer against one demand: readings of the rule's members, a missing member absent from them.

    Returns an answer with its reason, margin and condition, and the members that are not known on either side.
    """
    kind = rule.comparison.kind
    if kind is ComparisonKind.MATES_WITH:
        return mates_with(tables.mates[rule.comparison.table], demand, offer)
    if kind is ComparisonKind.SIZE_SEALS:
        return size_seals(demand, offer, tables.reference)
    if rule.comparison.same or rule.comparison.not_below:
        weigh = _on_one_basis if rule.comparison.same else _beside_its_own
        return weigh(rule, demand, offer, tables)
    if kind is ComparisonKind.WITHIN and len(rule.attributes) == _FLOW_MEMBERS:
        return _flow_within(rule, demand, offer)
    if may_be_set(rule):
        return _within_or_set(rule, demand, offer, tables)
    member = rule.attributes[0]
    return compare_one(rule.comparison, member, demand.get(member), offer.get(member), tables)


def may_be_set(rule: Rule) -> bool:
    """Whether its second member says how far a part's measure can be set, which no position states."""
    alone = not (rule.comparison.same or rule.comparison.not_below)
    return alone and rule.comparison.kind is ComparisonKind.WITHIN and len(rule.attributes) == _SETTABLE_MEMBERS


def compare_one(
    comparison: Comparison, member: str, demand: Value | None, offer: Value | None, tables: Tables
) -> Weighed:
    """Weigh one attribute by itself."""
    if demand is None:
        return Weighed(Answer.UNKNOWN, asks=(member,))
    if offer is None or demand.state is not State.VALUE or offer.state is not State.VALUE:
        return by_state(comparison.kind, member, demand, offer) or lacking(member)
    if comparison.table and comparison.kind in _TABLED:
        return _by_table(comparison, member, demand, offer, tables)
    if comparison.kind in _CODED:
        return _CODED[comparison.kind](demand, offer)
    if isinstance(demand.payload, bool):
        return codes.flag_at_least(demand, offer)
    return _NUMERIC[comparison.kind](comparison, member, demand, offer)


_TABLED = frozenset({ComparisonKind.CLASS_AT_LEAST, ComparisonKind.RATED_FOR, ComparisonKind.ONE_OF})


def _by_table(comparison: Comparison, member: str, demand: Value, offer: Value, tables: Tables) -> Weighed:
    if comparison.kind is ComparisonKind.CLASS_AT_LEAST:
        return codes.class_at_least(tables.orders[comparison.table], member, demand, offer)
    if comparison.kind is ComparisonKind.ONE_OF:
        return codes.one_of_or_serving(tables.orders[comparison.table], demand, offer)
    rating = tables.ratings[comparison.table]
    return worst(tuple(codes.rated_for(rating, member, codes.Wetting(medium), offer) for medium in demand.codes))


def _on_one_basis(rule: Rule, demand: Reading, offer: Reading, tables: Tables) -> Weighed:
    """The leading member, where the others are the same on both sides; figures on another basis prove nothing."""
    leading = rule.attributes[0]
    weighed = compare_one(rule.comparison, leading, demand.get(leading), offer.get(leading), tables)
    known = demand.get(leading), offer.get(leading)
    if any(value is None or value.state is not State.VALUE for value in known):
        return weighed
    for member in rule.comparison.same:
        if member not in demand:
            return Weighed(Answer.UNKNOWN, asks=(member,))
        if member not in offer:
            return lacking(member)
        if codes.equals(demand[member], offer[member]).answer is not Answer.MET:
            return _on_ranked_bases(rule, weighed, (demand, offer), member, tables)
    return _alike_where_stated(rule, weighed, demand, offer)


def _alike_where_stated(rule: Rule, weighed: Weighed, demand: Reading, offer: Reading) -> Weighed:
    """A member that the position states has to be stated alike; where it states none, none is asked for."""
    for member in rule.comparison.where_stated:
        asked, given = demand.get(member), offer.get(member)
        if asked is None or asked.state is not State.VALUE:
            continue
        if given is None or given.state is not State.VALUE:
            return lacking(member)
        if codes.equals(asked, given).answer is not Answer.MET:
            return lacking(rule.attributes[0], reason=_stated_at(rule, asked, given))
    return weighed


def _on_ranked_bases(
    rule: Rule, weighed: Weighed, sides: tuple[Reading, Reading], member: str, tables: Tables
) -> Weighed:
    """Figures on two bases, where a table ranks them.

    A stricter basis at no larger figure serves, a laxer one at no smaller figure does not; the rest cannot be said.
    """
    demand, offer = (side[member] for side in sides)
    undecided = lacking(rule.attributes[0], reason=_stated_at(rule, demand, offer))
    table = tables.orders.get(rule.comparison.table)
    if table is None:
        return undecided
    if codes.class_at_least(table, member, demand, offer).answer is Answer.MET:
        found = weighed if weighed.answer is Answer.MET else undecided
    elif codes.class_at_least(table, member, offer, demand).answer is Answer.MET and not _tighter(rule, sides):
        found = not_met(f"{offer.shown()} lets more through than {demand.shown()} at the same figure")
    else:
        found = undecided
    return _alike_where_stated(rule, found, *sides) if found is not undecided else undecided


def _tighter(rule: Rule, sides: tuple[Reading, Reading]) -> bool:
    """Whether the offered figure is smaller than the one asked for, or may be."""
    asked, given = (numbers.as_interval(side[rule.attributes[0]]) for side in sides)
    if asked.high is None or given.low is None:
        return True
    return given.low.amount < asked.high.amount


def _stated_at(rule: Rule, asked: Value, given: Value) -> str:
    leading = rule.attributes[0].replace("_", " ")
    return f"the {leading} is stated at {given.shown()}, not at {asked.shown()}"


def _beside_its_own(rule: Rule, demand: Reading, offer: Reading, tables: Tables) -> Weighed:
    """The leading member as it is asked; beside one that the position has of its own the part needs none.

    Where both have one, the part's must not lie below the position's. Where the part that stood here had none and
    nobody says whether the position has, a part with one cannot be judged.
    """
    leading, own = rule.attributes[0], rule.comparison.not_below
    asked, there, given = demand.get(leading), demand.get(own), offer.get(leading)
    weighed = compare_one(rule.comparison, leading, asked, given, tables)
    if there is None and weighed.answer is Answer.NOT_MET and asked is not None and asked.state is not State.VALUE:
        return Weighed(Answer.UNKNOWN, weighed.reason, asks=(own,))
    if there is None or there.state is not State.VALUE:
        return weighed
    if given is None:
        return lacking(leading)
    if given.state is not State.VALUE:
        return Weighed(Answer.MET, f"the engine has its own, {there.shown()}")
    not_lower = numbers.at_least(Comparison(ComparisonKind.AT_LEAST), leading, there, given)
    both = (weighed, not_lower) if asked is not None and asked.state is State.VALUE else (not_lower,)
    return worst(both)


def _within_or_set(rule: Rule, demand: Reading, offer: Reading, tables: Tables) -> Weighed:
    """A measure with a flag that it may be set, or with the range it may be set in.

    Beyond the band it is met on the condition that it is set; a need outside the range of adjustment is never reached.
    """
    measure, may_be_set = rule.attributes
    asked = demand.get(measure)
    weighed = compare_one(rule.comparison, measure, asked, offer.get(measure), tables)
    if weighed.answer is not Answer.NOT_MET or asked is None or asked.state is not State.VALUE:
        return weighed
    setting = offer.get(may_be_set)
    if setting is None:
        return lacking(may_be_set, reason=weighed.reason)
    if isinstance(setting.payload, Interval):
        return _set_within(rule, asked, setting, weighed)
    if setting.payload is not True:
        return weighed
    return Weighed(Answer.MET_IF, weighed.reason, weighed.margin, rule.comparison.condition)


def _set_within(rule: Rule, asked: Value, setting: Value, weighed: Weighed) -> Weighed:
    """A set point out of the band, against the range that it can be set in."""
    reached = numbers.covers(Comparison(ComparisonKind.COVERS), rule.attributes[1], asked, setting)
    if reached.answer is Answer.NOT_MET:
        reason = f"{weighed.reason}, and its adjustment, {setting.shown()}, never reaches that"
        return not_met(reason, weighed.margin)
    if reached.answer is Answer.UNKNOWN:
        return lacking(rule.attributes[1], reason=weighed.reason)
    return Weighed(Answer.MET_IF, weighed.reason, weighed.margin, rule.comparison.condition)


def _flow_within(rule: Rule, demand: Reading, offer: Reading) -> Weighed:
    """A flow at a stated pressure difference in a stated fluid, scaled to the demanded pressure where both are liquid.

    Liquid flow goes with the square root of the pressure difference. A gas is not scaled here: past the critical
    ratio its flow follows the absolute pressure upstream, which these figures do not hold.
    """
    flow, pressure, fluid = rule.attributes
    for member in rule.attributes:
        if member not in demand:
            return Weighed(Answer.UNKNOWN, asks=(member,))
        by_states = by_state(rule.comparison.kind, member, demand[member], offer.get(member))
        if by_states is not None:
            return by_states
    if demand[fluid].codes != offer[fluid].codes:
        return lacking(flow, reason=f"flow is stated in {offer[fluid].shown()}, not in {demand[fluid].shown()}")
    offered = offer[flow]
    if demand[pressure].payload != offer[pressure].payload:
        if not set(demand[fluid].codes) <= set(rule.comparison.liquids):
            return lacking(flow, reason=f"flow is stated at {offer[pressure].shown()}, not {demand[pressure].shown()}")
        offered = _scaled(offered, demand[pressure], offer[pressure])
    return numbers.within(rule.comparison, flow, demand[flow], offered)


def _scaled(flow: Value, asked: Value, stated: Value) -> Value:
    to, at = numbers.as_interval(asked).high, numbers.as_interval(stated).high
    found = numbers.as_interval(flow)
    if to is None or at is None or at.amount <= 0 or to.amount < 0:
        return Value(Interval(None, None))

    def scale(end: Quantity | None) -> Quantity | None:
        return end and Quantity(isqrt(end.amount**2 * to.amount // at.amount), end.dimension, end.unit)

    return Value(Interval(scale(found.low), scale(found.high)))
