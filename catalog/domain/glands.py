"""The gland a position has: stated by its measures, or published for the ring it states; and the squeeze it allows."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from catalog.domain.comparing_numbers import as_interval
from catalog.domain.quantities import Interval
from catalog.domain.reference_tables import ReferenceTables
from catalog.domain.ring_geometry import fill, section_on, squeeze
from catalog.domain.ring_readings import Ring
from catalog.domain.ring_tables import GlandUse, RingGland
from catalog.domain.values import State, Value
from catalog.domain.weighing import Reading

GLAND_USE = "gland_use"
GLAND_DEPTH = "gland_depth"
GROOVE_DIAMETER = "groove_diameter"
GROOVE_WIDTH = "groove_width"
SQUEEZE_BAND = "squeeze_band"
FORGIVING = "forgiving_medium"  # a flag: static, and oil, air or coolant only
_PPM = 1_000_000


@dataclass(frozen=True, slots=True)
class Gland:
    """Lengths in steps of 0.1 um. `from_ring` says that the band is that of the ring made for this gland.

    `fullest` is how much of a published groove its own ring fills at most; nothing where the groove is stated.
    """

    depth: tuple[int, int]
    band: tuple[Fraction, Fraction] = (Fraction(0), Fraction(1))
    width: int | None = None
    groove: tuple[int, int] | None = None
    use: GlandUse | None = None
    from_ring: bool = False
    fullest: Fraction = Fraction(0)


def gland_of(demand: Reading, ring: Ring, tables: ReferenceTables, *, dynamic: bool | None) -> Gland | None:
    """The gland of a position, None where neither its measures nor a published row for its ring say enough."""
    use = _use(demand, dynamic=dynamic)
    published = _published(ring, use, tables)
    depth = _stated(demand.get(GLAND_DEPTH))
    own = published if depth is None else None
    if own is not None:
        depth = own.depth
    if depth is None:
        return None
    width = _stated(demand.get(GROOVE_WIDTH))
    gland = Gland(
        depth=depth,
        width=width[0] if width else own.width if own else None,
        groove=_stated(demand.get(GROOVE_DIAMETER)),
        use=use,
    )
    return _banded(gland, demand, ring, own)


def _banded(gland: Gland, demand: Reading, ring: Ring, own: RingGland | None) -> Gland | None:
    """The gland with the band that is stated, else with the squeeze of the ring it is made for."""
    stated = _stated(demand.get(SQUEEZE_BAND))
    if stated is not None:
        return _with(gland, (Fraction(stated[0], _PPM), Fraction(stated[1], _PPM)))
    made_for = Ring(own.section.interval, ring.inner) if own else ring
    if made_for.section is None or made_for.section.low is None or made_for.section.high is None:
        return None
    band = extremes(made_for, gland, counts_stretch=True)
    if band[0] <= 0:
        return None
    fullest = fill(ends(made_for.section)[1], gland.depth[0], own.width) if own else Fraction(0)
    return _with(gland, band, from_ring=True, fullest=fullest)


def _with(
    gland: Gland, band: tuple[Fraction, Fraction], *, from_ring: bool = False, fullest: Fraction = Fraction(0)
) -> Gland:
    return Gland(gland.depth, band, gland.width, gland.groove, gland.use, from_ring, fullest)


def extremes(ring: Ring, gland: Gland, *, counts_stretch: bool) -> tuple[Fraction, Fraction]:
    """The least and the most a ring is squeezed, with what its cross-section loses where the groove stretches it."""
    thin, thick = ends(ring.section)
    inner = _both(ring.inner)
    if counts_stretch and gland.groove is not None and inner is not None:
        thin = section_on(gland.groove[1], section=thin, inner=inner[0])
        thick = section_on(gland.groove[0], section=thick, inner=inner[1])
    return squeeze(thin, gland.depth[1]), squeeze(thick, gland.depth[0])


def ends(found: Interval | None) -> tuple[int, int]:
    """Both ends of a range that has both. Raises TypeError for one that has not."""
    both = _both(found)
    if both is None:
        raise TypeError(f"{found!r} has no two ends")
    return both


def _use(demand: Reading, *, dynamic: bool | None) -> GlandUse | None:
    value = demand.get(GLAND_USE)
    if value is not None and value.codes:
        return GlandUse(value.codes[0])
    return GlandUse.DYNAMIC if dynamic else None


def _published(ring: Ring, use: GlandUse | None, tables: ReferenceTables) -> RingGland | None:
    both = _both(ring.section)
    return None if use is None or both is None else tables.gland(use, sum(both) // 2)


def _stated(value: Value | None) -> tuple[int, int] | None:
    return None if value is None or value.state is not State.VALUE else _both(as_interval(value))


def _both(found: Interval | None) -> tuple[int, int] | None:
    if found is None or found.low is None or found.high is None:
        return None
    return found.low.amount, found.high.amount
