"""A machine's hours as a plot shows them: what was read, and between which days it comes to more."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from kits.domain.due import Due
from kits.domain.engine_hours import HOUR, Tenths
from kits.domain.forecasting import Pace, hours_forecast
from kits.domain.rates import Statistics
from kits.domain.windows import Window

STEPS = 12
AS_FAR_WITHOUT_A_LIMIT = 500 * HOUR  # the longest interval most plans have (common practice, no source)


@dataclass(frozen=True, slots=True)
class HoursReached:
    """The days between which the engine comes to so many lifetime hours."""

    hours: Tenths
    window: Window


def hours_ahead(pace: Pace, dues: Iterable[Due], *, as_of: date, statistics: Statistics) -> tuple[HoursReached, ...]:
    """The forecast range in even steps from the last reading to the furthest limit, each limit among them.

    None where nothing tells how the engine is used.
    """
    if not pace.readings:
        return ()
    last = pace.readings[-1].hours
    limits = {due.point.hours for due in dues if due.point.hours is not None and due.point.hours > last}
    furthest = max(limits, default=last + AS_FAR_WITHOUT_A_LIMIT)
    marks = {last + (furthest - last) * step // STEPS for step in range(1, STEPS + 1)} | limits
    found = ((mark, hours_forecast(pace, mark, as_of=as_of, statistics=statistics)) for mark in sorted(marks))
    return tuple(HoursReached(mark, forecast.window) for mark, forecast in found if forecast is not None)
