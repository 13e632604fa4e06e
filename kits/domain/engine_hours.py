"""Engine hours as whole tenths of an hour, and what meters print.

A tenth is what hour meters count, so that sums of hours are exact. Meters of other things (energy, starts, miles) have
readings of their own and are never taken for hours (common practice, no source).
"""

from __future__ import annotations

import re
from enum import StrEnum
from typing import TypeAlias

from service.errors import Invalid

Tenths: TypeAlias = int  # tenths of an hour
HOUR: Tenths = 10
DAY_AROUND: Tenths = 24 * HOUR

_NUMBER = re.compile(r"(\d{1,9})(?:\.(\d+))?", re.ASCII)


class HoursUnreadable(Invalid):
    """What was typed is no reading of an hour meter."""

    code = "hours_unreadable"


class MeterUnit(StrEnum):
    """What one step of a meter is. `TENTHS` prints tenths of an hour without the dot: 12345 is 1234.5 h."""

    HOURS = "hours"
    TENTHS = "tenths"
    KILOWATT_HOURS = "kwh"
    STARTS = "starts"
    MILES = "miles"

    @property
    def counts_hours(self) -> bool:
        return self in (MeterUnit.HOURS, MeterUnit.TENTHS)


def tenths_read(text: str, unit: MeterUnit) -> Tenths:
    """The tenths of an hour a meter shows. Raises HoursUnreadable, naming what was expected.

    Finer digits than a tenth are refused unless they are noughts: they come from another meter or a slip of the finger.
    """
    if not unit.counts_hours:
        raise HoursUnreadable(f"A meter of {unit.value} counts no hours; give the reading of the hour meter.")
    found = _NUMBER.fullmatch(text.strip())
    if found is None:
        raise HoursUnreadable(f"{text[:40]!r} is no meter reading; type digits, at most one of them after a dot.")
    whole, behind = found[1], found[2] or ""
    if unit is MeterUnit.TENTHS:
        if behind:
            raise HoursUnreadable(f"This meter prints tenths without a dot, and {text[:40]!r} has one; is it in hours?")
        return int(whole)
    if behind.rstrip("0")[1:]:
        raise HoursUnreadable(f"{text[:40]!r} has more than tenths of an hour; read the meter again.")
    return int(whole) * HOUR + int(behind[:1] or 0)


def steps_read(text: str, unit: MeterUnit) -> int:
    """What a meter shows in its own steps: tenths of an hour, or whole counts. Raises HoursUnreadable."""
    if unit.counts_hours:
        return tenths_read(text, unit)
    found = _NUMBER.fullmatch(text.strip())
    if found is None or found[2]:
        raise HoursUnreadable(f"{text[:40]!r} is no reading of a meter of {unit.value}; type its whole number.")
    return int(found[1])


def steps_typed(steps: int, unit: MeterUnit) -> str:
    """A reading as it is typed off the meter: hours with a dot, tenths without."""
    return plain_hours(steps) if unit is MeterUnit.HOURS else str(steps)


def plain_hours(tenths: Tenths) -> str:
    """Hours as a decimal string without noughts that say nothing."""
    return hours_words(tenths).removesuffix(" h")


def hours_words(tenths: Tenths) -> str:
    """The hours as people write them: no dot where they are whole."""
    whole, behind = divmod(abs(tenths), HOUR)
    sign = "-" if tenths < 0 else ""
    return f"{sign}{whole}.{behind} h" if behind else f"{sign}{whole} h"
