"""Whether a ring of another size seals in a gland: squeeze, stretch and fill at the extremes of tolerance.

Method and limits: published gland tables give the squeeze band as the unrounded extremes of the standard ring in
that gland (ISO 3601-2 practice); stretch at most 5 %, fill at most 90 % (public seal design guides). The two points
of grace for static seals in oil, air or coolant are common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction

from catalog.domain.answers import Answer
from catalog.domain.comparing_numbers import as_interval
from catalog.domain.quantities import Interval
from catalog.domain.values import State, Value
from catalog.domain.weighing import MET, Reading, Weighed, not_met

INNER_DIAMETER = "ring_inner_diameter"
CROSS_SECTION = "ring_cross_section"
GLAND_DEPTH = "gland_depth"
GROOVE_DIAMETER = "groove_diameter"
GROOVE_WIDTH = "groove_width"
SQUEEZE_BAND = "squeeze_band"
FORGIVING = "forgiving_medium"  # a flag: static, and oil, air or coolant only

LARGEST_STRETCH = Fraction(5, 100)
LARGEST_FILL = Fraction(90, 100)
GRACE = Fraction(2, 100)
_PI_OVER_4 = Fraction("0.785398163397448")
_PPM = 1_000_000


def squeeze(section: int, depth: int) -> Fraction:
    """Squeeze as a share of the cross-section; section and depth in the same steps."""
    return Fraction(section - depth, section)


def stretch(inner: int, groove: int) -> Fraction:
    """Stretch of a ring on a groove as a share of its inner diameter."""
    return Fraction(groove - inner, inner)


def fill(section: int, depth: int, width: int) -> Fraction:
    """Share of the groove's area that the ring's section takes."""
    return _PI_OVER_4 * section * section / (depth * width)


def size_seals(demand: Reading, offer: Reading) -> Weighed:
    """Weigh a ring against a gland where its depth is known, else against the size asked for."""
    for member in (CROSS_SECTION, INNER_DIAMETER):
        value = offer.get(member)
        if value is None:
            return Weighed(Answer.UNKNOWN, lacks=(member,))
        if value.state is not State.VALUE:
            return not_met("a part without this ring")
    if GLAND_DEPTH in demand and SQUEEZE_BAND in demand:
        return _in_gland(demand, offer)
    return _same_size(demand, offer)


def _same_size(demand: Reading, offer: Reading) -> Weighed:
    for member in (INNER_DIAMETER, CROSS_SECTION):
        if member not in demand:
            return Weighed(Answer.UNKNOWN, "no gland and no ring size is stated here", asks=(GLAND_DEPTH,))
        asked, given = as_interval(demand[member]), as_interval(offer[member])
        middle = _middle(given)
        if middle is None or asked.low is None or asked.high is None:
            return Weighed(Answer.UNKNOWN, lacks=(member,))
        if not asked.low.amount <= middle <= asked.high.amount:
            return Weighed(
                Answer.UNKNOWN, f"{given.shown()} where {asked.shown()} is asked: another size, and no gland is stated",
                asks=(GLAND_DEPTH,),
            )  # fmt: skip
    return MET


def _in_gland(demand: Reading, offer: Reading) -> Weighed:
    section, depth = _ends(offer[CROSS_SECTION]), _ends(demand[GLAND_DEPTH])
    if section is None or depth is None:
        return Weighed(Answer.UNKNOWN, lacks=(CROSS_SECTION,))
    least, most = squeeze(section[0], depth[1]), squeeze(section[1], depth[0])
    low, high = _band(demand[SQUEEZE_BAND])
    outside = max(low - least, most - high, Fraction(0))
    words = f"squeeze {_percent(least)} to {_percent(most)}"
    width = _ends(demand[GROOVE_WIDTH]) if GROOVE_WIDTH in demand else None
    if width is not None:
        fullest = fill(section[1], depth[0], width[0])
        outside = max(outside, fullest - LARGEST_FILL)
        words += f", fill up to {_percent(fullest)}"
    stretched = _stretched(demand, offer)
    if stretched is not None:
        words += f", stretch {_percent(stretched)}"
        if not 0 <= stretched <= LARGEST_STRETCH:
            return not_met(f"{words}; stretch must be 0 to 5 %")
    return _judged(outside, words, demand.get(FORGIVING))


def _judged(outside: Fraction, words: str, forgiving: Value | None) -> Weighed:
    if outside <= 0:
        return Weighed(Answer.MET, words)
    if outside <= GRACE and forgiving is not None and forgiving.payload is True:
        return Weighed(Answer.MET_IF, words, condition=f"static seal in oil, air or coolant only: {words}")
    return not_met(words)


def _stretched(demand: Reading, offer: Reading) -> Fraction | None:
    groove = _middle(as_interval(demand[GROOVE_DIAMETER])) if GROOVE_DIAMETER in demand else None
    inner = _middle(as_interval(offer[INNER_DIAMETER]))
    return None if groove is None or not inner else stretch(inner, groove)


def _ends(value: Value) -> tuple[int, int] | None:
    interval = as_interval(value)
    return (interval.low.amount, interval.high.amount) if interval.low and interval.high else None


def _middle(interval: Interval) -> int | None:
    return (interval.low.amount + interval.high.amount) // 2 if interval.low and interval.high else None


def _band(value: Value) -> tuple[Fraction, Fraction]:
    ends = _ends(value)
    return (Fraction(ends[0], _PPM), Fraction(ends[1], _PPM)) if ends else (Fraction(0), Fraction(1))


def _percent(share: Fraction) -> str:
    return f"{float(share) * 100:.1f} %"
