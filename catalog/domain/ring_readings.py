"""What a position or a part states of a ring, read into one size: by its code, by its measures, or by both."""

from __future__ import annotations

from dataclasses import dataclass

from catalog.domain.comparing_codes import designation
from catalog.domain.comparing_numbers import as_interval
from catalog.domain.quantities import Interval
from catalog.domain.reference_tables import ReferenceTables
from catalog.domain.ring_tables import ROUNDING, RingSize
from catalog.domain.values import State
from catalog.domain.weighing import Reading
from service.errors import Invalid

RING_SIZE = "ring_size"
INNER_DIAMETER = "ring_inner_diameter"
CROSS_SECTION = "ring_cross_section"


@dataclass(frozen=True, slots=True)
class Ring:
    """A ring as far as it is stated. `problem` says why its statements make no one size; then nothing else counts.

    `size` is the code, or a designation that is no such code; `assumed` says which tolerance nobody stated.
    """

    section: Interval | None = None
    inner: Interval | None = None
    size: str = ""
    assumed: str = ""
    problem: str = ""


def ring_of(reading: Reading, tables: ReferenceTables) -> Ring:
    """The ring a reading states. A member that is missing, or known to be none, adds nothing."""
    try:
        size, row = _coded(reading, tables)
    except Invalid as error:
        return Ring(problem=error.message.rstrip(".").replace(". ", "; "))
    stated = {member: _interval(reading, member) for member in (CROSS_SECTION, INNER_DIAMETER)}
    section, inner = stated[CROSS_SECTION], stated[INNER_DIAMETER]
    if row is not None:
        for name, found, held in (("cross-section", section, row.section), ("inner diameter", inner, row.inner)):
            if found is not None and not _meet(found, held.interval):
                shown, coded = found.shown(), held.interval.shown()
                return Ring(problem=f"size {row.code} has {coded} of {name}, and {shown} is stated beside it")
        return Ring(_stated(section) or row.section.interval, _stated(inner) or row.inner.interval, size)
    section, assumed = _with_tolerance(section, tables)
    return Ring(section, inner, size, assumed)


def _coded(reading: Reading, tables: ReferenceTables) -> tuple[str, RingSize | None]:
    """The size of the designations, and its row where one is held. Raises Invalid where they are not of one ring."""
    value = reading.get(RING_SIZE)
    found = {text: tables.ring_code(text) for text in value.codes} if value is not None else {}
    codes = tuple(dict.fromkeys(code for code in found.values() if code))
    if len(codes) > 1:
        raise Invalid(f"{' and '.join(found)} are not one ring size", code="sizes_differ")
    if codes:
        return codes[0], tables.ring_size(codes[0])
    return next((designation(text) for text in found), ""), None


def _interval(reading: Reading, member: str) -> Interval | None:
    value = reading.get(member)
    return as_interval(value) if value is not None and value.state is State.VALUE else None


def _stated(found: Interval | None) -> Interval | None:
    """A measure with a tolerance of its own; a bare nominal beside a size code says nothing that the code does not."""
    return None if found is None or found.low is None or found.low == found.high else found


def _meet(one: Interval, other: Interval) -> bool:
    """Whether the two may be the same size, rounding apart."""
    low = one.low is None or other.high is None or one.low.amount <= other.high.amount + ROUNDING
    return low and (one.high is None or other.low is None or one.high.amount >= other.low.amount - ROUNDING)


def _with_tolerance(section: Interval | None, tables: ReferenceTables) -> tuple[Interval | None, str]:
    """A cross-section stated as one number has the tolerance of general rings, and that is said."""
    if section is None or section.low is None or section.low != section.high:
        return section, ""
    assumed = tables.assumed_section(section.low.amount)
    if assumed is None:
        return section, ""
    return assumed.interval, f"tolerance of the {section.shown()} cross-section assumed, ISO 3601-1 class B"
