"""Comparisons of quantities and ranges. All of them compare exact integers.

An offered interval for a single quantity means "somewhere in it". An open end of a demand asks nothing on that side;
an open end of an offer is not stated, and unknown where the answer hangs on it.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

from catalog.domain.answers import Answer
from catalog.domain.electrics import consequence
from catalog.domain.quantities import SHOWN_KEPT, Dimension, Interval, Quantity
from catalog.domain.rules import Comparison, Tolerance
from catalog.domain.values import Value
from catalog.domain.weighing import MET, Weighed, lacking, not_met

_PPM = 1_000_000
_DIFFERENCE_OF = {
    Dimension.PRESSURE_GAUGE: Dimension.PRESSURE_DIFFERENCE,
    Dimension.PRESSURE_ABSOLUTE: Dimension.PRESSURE_DIFFERENCE,
    Dimension.TEMPERATURE: Dimension.TEMPERATURE_DIFFERENCE,
}
Slack = tuple[int, int]  # steps granted below and above
_NO_TOLERANCE = Tolerance()


def as_interval(value: Value) -> Interval:
    """A quantity as the interval that holds only it."""
    return value.interval


def at_least(rule: Comparison, member: str, demand: Value, offer: Value) -> Weighed:
    """The offer is no smaller than the demand (than its upper end, where the demand is a range)."""
    asked, offered = as_interval(demand), as_interval(offer)
    wanted = asked.high or asked.low
    if wanted is None:
        return MET
    band = _Band(rule, member, wanted, offered, "at least ", wanted)
    return _banded(band, lambda slack: _reaches(offered, wanted.amount - slack[0]))


def at_most(rule: Comparison, member: str, demand: Value, offer: Value) -> Weighed:
    """The offer is no larger than the demand (than its lower end, where the demand is a range)."""
    asked, offered = as_interval(demand), as_interval(offer)
    wanted = asked.low or asked.high
    if wanted is None:
        return MET
    band = _Band(rule, member, wanted, offered, "at most ", wanted)
    return _banded(band, lambda slack: _stays_under(offered, wanted.amount + slack[1]))


def within(rule: Comparison, member: str, demand: Value, offer: Value) -> Weighed:
    """The offer lies no further from the demand than the tolerance."""
    asked, offered = as_interval(demand), as_interval(offer)
    nominal = asked.low or asked.high
    if nominal is None:
        return MET

    def holds(slack: Slack) -> bool | None:
        low = True if asked.low is None else _reaches(offered, asked.low.amount - slack[0])
        high = True if asked.high is None else _stays_under(offered, asked.high.amount + slack[1])
        return _and(low, high)

    return _banded(_Band(rule, member, nominal, offered, "", asked), holds)


def covers(rule: Comparison, member: str, demand: Value, offer: Value) -> Weighed:
    """The offered range reaches at least as far as the demanded one on both sides; a band lets it fall short."""
    asked, offered = as_interval(demand), as_interval(offer)
    nominal = asked.low or asked.high
    if nominal is None:
        return MET

    def holds(slack: Slack) -> bool | None:
        low = True if asked.low is None else _no_more(offered.low, asked.low.amount + slack[0])
        high = True if asked.high is None else _no_less(offered.high, asked.high.amount - slack[1])
        return _and(low, high)

    return _banded(_Band(rule, member, nominal, offered, "the whole of ", asked, asked.high), holds)


def inside(rule: Comparison, member: str, demand: Value, offer: Value) -> Weighed:
    """The offered range stays within the demanded one on both sides; a band lets it stick out."""
    asked, offered = as_interval(demand), as_interval(offer)
    nominal = asked.low or asked.high
    if nominal is None:
        return MET

    def holds(slack: Slack) -> bool | None:
        low = True if asked.low is None else _no_less(offered.low, asked.low.amount - slack[0])
        high = True if asked.high is None else _no_more(offered.high, asked.high.amount + slack[1])
        return _and(low, high)

    return _banded(_Band(rule, member, nominal, offered, "", asked), holds)


class _Band(NamedTuple):
    """What a banded comparison needs to speak: its rule, which attribute, what is asked and what is offered.

    `lead` and `asked` are put into words only where the demand is not simply met. `highest` is the upper end of a range
    that has to be covered.
    """

    rule: Comparison
    member: str
    nominal: Quantity
    offered: Interval
    lead: str
    asked: Quantity | Interval
    highest: Quantity | None = None


def _banded(band: _Band, holds: Callable[[Slack], bool | None]) -> Weighed:
    """Met within the inner band, met on the rule's condition within the outer one, else not met."""
    rule, nominal = band.rule, band.nominal
    margin = _apart(nominal, band.offered)
    inner = holds(_slack(rule.inner, nominal))
    if inner:
        return Weighed(Answer.MET, "", margin)
    outer = holds(_slack(rule.outer, nominal)) if rule.outer else inner
    reason = f"{band.offered.shown()} instead of {band.lead}{band.asked.shown()}"
    if outer:
        return Weighed(Answer.MET_IF, reason, margin, rule.condition)
    if outer is None:
        return lacking(band.member, reason=reason)
    return not_met(f"{reason}{consequence(band.member, band.highest or nominal, band.offered)}", margin)


def _slack(regions: tuple[Tolerance, ...], nominal: Quantity) -> Slack:
    if not regions:
        return 0, 0
    size, at = abs(nominal.amount), max(nominal.amount, 0)
    region = _NO_TOLERANCE
    for candidate in regions:
        if candidate.starts_at <= at:
            region = candidate
    return region.minus + size * region.minus_ppm // _PPM, region.plus + size * region.plus_ppm // _PPM


def turning_points(rule: Comparison, demand: Value) -> tuple[int, ...]:
    """Every amount, in steps, at which the answer may change as an end of the offer passes it; some change nothing.

    The comparisons here hold each end of an offer against limits by itself, so two offers whose ends lie between the
    same turning points are answered alike. They are each end of the demand, and each end moved by every slack of
    either band, whichever end the band is reckoned from.
    """
    if not isinstance(demand.payload, (Quantity, Interval)):
        return ()
    asked = as_interval(demand)
    ends = [end for end in (asked.low, asked.high) if end is not None]
    slacks = {0, *(step for end in ends for band in (rule.inner, rule.outer) for step in _slack(band, end))}
    return tuple(sorted({end.amount + sign * slack for end in ends for slack in slacks for sign in (-1, 1)}))


def _reaches(offered: Interval, limit: int) -> bool | None:
    """Whether every value the offer may have is at or above the limit."""
    if offered.low and offered.low.amount >= limit:
        return True
    return False if offered.high and offered.high.amount < limit else None


def _stays_under(offered: Interval, limit: int) -> bool | None:
    if offered.high and offered.high.amount <= limit:
        return True
    return False if offered.low and offered.low.amount > limit else None


def _no_more(end: Quantity | None, limit: int) -> bool | None:
    return None if end is None else end.amount <= limit


def _no_less(end: Quantity | None, limit: int) -> bool | None:
    return None if end is None else end.amount >= limit


def _and(*parts: bool | None) -> bool | None:
    if False in parts:
        return False
    return None if None in parts else True


def _apart(wanted: Quantity, offered: Interval) -> str | None:
    """How far a single offered value lies from the demand, signed, in the demand's unit."""
    if offered.low is None or (offered.low is not offered.high and offered.low != offered.high):
        return None
    gap = offered.low.amount - wanted.amount
    return _signed(gap, _DIFFERENCE_OF.get(wanted.dimension, wanted.dimension), wanted.unit)


# Kept as sizes are, see `quantities`: what fits is apart by nothing or by the same few steps.
@lru_cache(maxsize=SHOWN_KEPT)
def _signed(gap: int, dimension: Dimension, stated_in: str) -> str:
    value, unit = Quantity(gap, dimension, stated_in).in_unit()
    words = f"{value.normalize():+f}" if gap else "0"
    return words if unit == "each" else f"{words} {unit}"
