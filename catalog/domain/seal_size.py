"""Whether a ring of another size seals in a gland: squeeze, stretch and fill at the extremes of tolerance.

Method and limits: published gland tables give the squeeze band as the unrounded extremes of the standard ring in
that gland (ISO 3601-2 practice); stretch at most 5 %, fill at most 90 % (public seal design guides). The two points
of grace for static seals in oil, air or coolant, and the upper half of the band for a face seal on gas, are common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from catalog.domain.answers import Answer
from catalog.domain.glands import (
    FORGIVING,
    GLAND_DEPTH,
    GLAND_USE,
    GROOVE_DIAMETER,
    GROOVE_WIDTH,
    SQUEEZE_BAND,
    Gland,
    ends,
    extremes,
    gland_of,
)
from catalog.domain.parts import Medium
from catalog.domain.quantities import Interval
from catalog.domain.reference_tables import ReferenceTables
from catalog.domain.ring_geometry import fill, squeeze, stretch
from catalog.domain.ring_readings import CROSS_SECTION, INNER_DIAMETER, RING_SIZE, Ring, ring_of
from catalog.domain.ring_tables import GlandUse
from catalog.domain.values import State
from catalog.domain.weighing import MET, Reading, Weighed, lacking, not_met

__all__ = ["CROSS_SECTION", "FORGIVING", "GLAND_DEPTH", "GLAND_USE", "GROOVE_DIAMETER", "GROOVE_WIDTH",
           "INNER_DIAMETER", "RING_SIZE", "SQUEEZE_BAND", "Surroundings", "size_seals"]  # fmt: skip

LARGEST_STRETCH = Fraction(5, 100)
LARGEST_FILL = Fraction(90, 100)
GRACE = Fraction(2, 100)
_GASES = frozenset({"lpg_vapour", "lpg_liquid", "natural_gas"})
_FORGIVING_MEDIA = frozenset({"motor_oil", "mineral_oil", "synthetic_oil", "coolant", "water", "air"})


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What the position's media say of the seal: None where no medium is stated."""

    gas: bool | None = None
    forgiving: bool | None = None
    dynamic: bool | None = None

    @classmethod
    def of(cls, media: Iterable[Medium]) -> Surroundings:
        met = tuple(media)
        if not met:
            return cls()
        moving = any(medium.dynamic for medium in met)
        still = all(medium.dynamic is False for medium in met)
        return cls(
            gas=any(medium.name in _GASES for medium in met),
            forgiving=not moving and all(medium.name in _FORGIVING_MEDIA for medium in met),
            dynamic=True if moving else False if still else None,
        )


def size_seals(demand: Reading, offer: Reading, tables: ReferenceTables, around: Surroundings | None = None) -> Weighed:
    """Weigh a ring against the gland here where it is stated or published, else against the size asked for."""
    around = around or Surroundings()
    for member in (RING_SIZE, CROSS_SECTION, INNER_DIAMETER):
        if member in offer and offer[member].state is not State.VALUE:
            return not_met("a part without this ring")
    asked, given = ring_of(demand, tables), ring_of(offer, tables)
    if given.problem:
        return lacking(RING_SIZE, reason=given.problem)
    if asked.problem:
        return Weighed(Answer.UNKNOWN, f"of the ring here, {asked.problem}", asks=(RING_SIZE,))
    gland = gland_of(demand, asked, tables, dynamic=around.dynamic)
    if gland is None and asked.size and asked.size == given.size:
        return MET
    absent = tuple(m for m, f in ((CROSS_SECTION, given.section), (INNER_DIAMETER, given.inner)) if not _closed(f))
    if absent:
        coded = f"the measures of size {given.size} are not held here" if given.size else ""
        return lacking(*absent[:1], reason=coded)
    return _same_size(asked, given) if gland is None else _sealed(gland, asked, given, (demand, around))


def _sealed(gland: Gland, asked: Ring, given: Ring, here: tuple[Reading, Surroundings]) -> Weighed:
    weighed = _in_gland(gland, given, *here)
    return weighed if gland.groove is not None or _of_one_diameter(asked, given) else _diameter_unseen(weighed)


def _of_one_diameter(asked: Ring, given: Ring) -> bool:
    """Whether the ring has the inside diameter of the one that is asked for, so that it is stretched as that one is."""
    if asked.size and asked.size == given.size:
        return True
    wanted = asked.inner
    if wanted is None or wanted.low is None or wanted.high is None:
        return False
    return wanted.low.amount <= _middle(given.inner) <= wanted.high.amount


def _diameter_unseen(weighed: Weighed) -> Weighed:
    """A ring of the right thickness for a groove whose diameter nobody states may be far too small or too large."""
    if weighed.answer not in (Answer.MET, Answer.MET_IF):
        return weighed
    words = f"{weighed.reason}, and the diameter of the groove is not stated, so its stretch cannot be told"
    return Weighed(Answer.UNKNOWN, words, asks=(GROOVE_DIAMETER,))


def _same_size(asked: Ring, given: Ring) -> Weighed:
    """Without a gland only the size that is asked for seals; of another one nobody can tell."""
    for wanted, found in ((asked.inner, given.inner), (asked.section, given.section)):
        if wanted is None:
            return Weighed(Answer.UNKNOWN, "no gland and no ring size is stated here", asks=(GLAND_DEPTH,))
        if found is None or wanted.low is None or wanted.high is None:
            return lacking(CROSS_SECTION)
        if not wanted.low.amount <= _middle(found) <= wanted.high.amount:
            words = f"{found.shown()} where {wanted.shown()} is asked: another size, and no gland is stated"
            return Weighed(Answer.UNKNOWN, words, asks=(GLAND_DEPTH,))
    return Weighed(Answer.MET, given.assumed)


def _in_gland(gland: Gland, given: Ring, demand: Reading, around: Surroundings) -> Weighed:
    nominal = squeeze(_middle(given.section), sum(gland.depth) // 2)
    least, most = extremes(given, gland, counts_stretch=gland.from_ring or _much_stretched(gland, given))
    low, high = gland.band
    outside = max(low - least, most - high, Fraction(0))
    words = f"a ring {given.section.shown()} thick: " if given.section else ""
    words += f"squeeze {_percent(least)} to {_percent(most)}, {_percent(nominal)} in the middle"
    words += f", of {_percent(low)} to {_percent(high)} for this gland"
    if gland.width is not None:
        fullest = fill(ends(given.section)[1], gland.depth[0], gland.width)
        outside = max(outside, fullest - max(LARGEST_FILL, gland.fullest))
        words += f", fill up to {_percent(fullest)}"
    if gland.groove is not None:
        stretched = stretch(_middle(given.inner), sum(gland.groove) // 2)
        words += f", stretch {_percent(stretched)}"
        if not 0 <= stretched <= LARGEST_STRETCH:
            return not_met(f"{words}; stretch must be 0 to 5 %")
    words += f"; {given.assumed}" if given.assumed else ""
    if outside > 0:
        return _outside(outside, words, forgiving=_forgiving(gland, demand, around))
    return _on_gas(gland, nominal, words) if around.gas else Weighed(Answer.MET, words)


def _outside(outside: Fraction, words: str, *, forgiving: bool) -> Weighed:
    if outside <= GRACE and forgiving:
        return Weighed(Answer.MET_IF, words, condition=f"static seal in oil, air or coolant only: {words}")
    return not_met(words)


def _on_gas(gland: Gland, nominal: Fraction, words: str) -> Weighed:
    """A face seal on gas is squeezed in the upper half of its band; whether it is one may not be stated."""
    half = (gland.band[0] + gland.band[1]) / 2
    if gland.use in (GlandUse.STATIC_RADIAL, GlandUse.DYNAMIC) or nominal >= half:
        return Weighed(Answer.MET, words)
    upper = f"{words}; a face seal on gas needs {_percent(half)} or more in the middle"
    return not_met(upper) if gland.use else Weighed(Answer.UNKNOWN, upper, asks=(GLAND_USE,))


def _forgiving(gland: Gland, demand: Reading, around: Surroundings) -> bool:
    """Static, in oil, air or coolant only: as stated or by the media, and by neither of them otherwise."""
    if gland.use is GlandUse.DYNAMIC or around.forgiving is False:
        return False
    stated = demand.get(FORGIVING)
    return bool(around.forgiving) if stated is None else stated.payload is True


def _much_stretched(gland: Gland, given: Ring) -> bool:
    """A band that is stated counts in up to 2 % of stretch, as published ones do; beyond it the section is less."""
    if gland.groove is None:
        return False
    return stretch(_middle(given.inner), sum(gland.groove) // 2) > GRACE


def _closed(found: Interval | None) -> bool:
    return found is not None and found.low is not None and found.high is not None


def _middle(found: Interval | None) -> int:
    return sum(ends(found)) // 2


def _percent(share: Fraction) -> str:
    return f"{float(share) * 100:.1f} %"
