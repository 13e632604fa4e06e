"""How far a size measured with a calliper may lie from the recorded one, and what that cannot tell apart.

Lengths are whole steps of 0.1 um.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.domain.answers import COMMON_PRACTICE, Source, SourceKind
from catalog.domain.in_the_hand import CALLIPER
from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.reference_tables import ReferenceTables
from catalog.domain.ring_readings import CROSS_SECTION, INNER_DIAMETER
from catalog.domain.values import Slot
from service.errors import Invalid

_A_MILLIMETRE = 10_000
_CLASS_B = Source(SourceKind.PUBLISHED, "ISO 3601-1:2012, tolerances of rings for general purpose (class B)")
MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Allowed:
    """How far off a recorded size may be: `limits` where it states its own tolerance, `nominal` where it does not.

    Both are whole steps of the dimension; what a calliper does not measure has to be equal.
    """

    limits: int
    nominal: int
    because: str
    source: Source = COMMON_PRACTICE


def allowed(attribute: str, measured: Quantity, tables: ReferenceTables, wider: Quantity | None) -> Allowed:
    """What is allowed of one measure; `wider` is a length asked for, and widens it where it is more.

    Raises Invalid for a length that is not above zero.
    """
    if measured.dimension is not Dimension.LENGTH:
        return Allowed(0, 0, "a calliper does not measure this, so it has to be equal")
    if measured.amount <= 0:
        raise Invalid(f"{measured.shown()} is no size; a measured length is above zero.", code="no_size")
    piece, of_piece = _of_piece(attribute, measured, tables)
    asked = 0 if wider is None else wider.amount
    instrument = CALLIPER.amount
    because = f"{CALLIPER.shown()} of the calliper{of_piece}"
    if wider is not None and asked > instrument:
        because = f"{wider.shown()} as asked for" if asked > instrument + piece else f"{because}, as asked for or more"
    source = _CLASS_B if piece else COMMON_PRACTICE
    return Allowed(max(instrument, asked), max(instrument + piece, asked), because, source)


def _of_piece(attribute: str, measured: Quantity, tables: ReferenceTables) -> tuple[int, str]:
    """What a soft ring may be off by itself, in steps and in words; nothing for other parts."""
    steps: int | None = None
    if attribute == INNER_DIAMETER:
        # Class B, equation A.1: 0.009 d^0.95 + 0.11, all in millimetres.
        steps = round((0.009 * (measured.amount / _A_MILLIMETRE) ** 0.95 + 0.11) * _A_MILLIMETRE)
    if attribute == CROSS_SECTION:
        section = tables.assumed_section(measured.amount)
        steps = section.plus_minus if section else None
    if not steps:
        return 0, ""
    return steps, f", and {Quantity(steps, Dimension.LENGTH, 'mm').shown()} of the ring where only its size is recorded"


def off_by(measured: Quantity, recorded: Interval) -> int:
    """How far the nearest recorded size is from the measure, in steps: above zero where the recorded one is larger."""
    if recorded.low is not None and recorded.low.amount > measured.amount:
        return recorded.low.amount - measured.amount
    if recorded.high is not None and recorded.high.amount < measured.amount:
        return recorded.high.amount - measured.amount
    return 0


def difference_words(measured: Quantity, recorded: Interval) -> str:
    off = off_by(measured, recorded)
    if not off:
        within = "" if recorded.low == recorded.high else ", which holds the measure"
        return f"{recorded.shown()} recorded{within or ', the same'}"
    apart = Quantity(abs(off), measured.dimension, measured.unit).shown()
    return f"{recorded.shown()} recorded, {apart} {'more' if off > 0 else 'less'} than measured"


def not_told_apart(name: str, slot: Slot, measured: Quantity, found: Iterable[tuple[Interval, str]]) -> str | None:
    """The warning where several sizes answer to one measure, each with parts that have it; None where one does.

    An inch size and a metric size are named as such. `found` is (recorded size, part in words).
    """
    sizes: dict[tuple[int | None, int | None], tuple[str, list[str]]] = {}
    for recorded, part in found:
        ends = tuple(None if end is None else end.amount for end in (recorded.low, recorded.high))
        shown = f"{recorded.shown()}{_system(recorded)}"
        named = sizes.setdefault((ends[0], ends[1]), (shown, []))[1]
        if part not in named:
            named.append(part)
    if len(sizes) < 2:
        return None
    listed = "; ".join(f"{shown}: {_some(parts)}" for shown, parts in (sizes[key] for key in sorted(sizes, key=_order)))
    where = f"{name} ({slot.replace('_', ' ')})" if slot else name
    return f"Several sizes answer to {measured.shown()} of {where}, and look alike: {listed}. Read the number too."


def _order(ends: tuple[int | None, int | None]) -> tuple[float, float]:
    low, high = ends
    return float("-inf") if low is None else low, float("inf") if high is None else high


def _system(recorded: Interval) -> str:
    end = recorded.low or recorded.high
    if end is None or end.dimension is not Dimension.LENGTH:
        return ""
    return " (an inch size)" if end.unit == "in" else " (a metric size)"


def _some(parts: list[str]) -> str:
    more = len(parts) - MOST_NAMED
    return ", ".join(parts[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
