"""A machine's hours over time as a plot: what was read, and the forecast range ahead where there is one."""

from __future__ import annotations

from itertools import takewhile

from kits.domain.engine_hours import HOUR, Tenths
from kits.domain.hours_ahead import HoursReached
from kits.usecases.due_asking import MachineDue
from service.plots import Band, Curve, Ink, Plot


def hours_plot(found: MachineDue) -> Plot | None:
    """None without a reading that can be believed.

    Ahead only what the domain forecasts is drawn, and as far as it gives both ends of the range: a likely day alone
    would look surer than it is, and an end too far out to be forecast is not drawn somewhere.
    """
    readings = found.life.readings
    if not readings:
        return None
    read = Curve("read off the meter", Ink.KNOWN, tuple((one.on, _hours(one.hours)) for one in readings))
    moment = ("today", found.as_of)
    marks = list(takewhile(_whole, found.ahead()))
    if not marks:
        return Plot("day", "lifetime hours", (read,), moment=moment)
    last = readings[-1]
    start, level = last.on, _hours(last.hours)
    likely = tuple((mark.window.likely or start, _hours(mark.hours)) for mark in marks)
    band = tuple((mark.window.earliest or start, mark.window.latest or start, _hours(mark.hours)) for mark in marks)
    return Plot(
        "day",
        "lifetime hours",
        (read, Curve("likely", Ink.AHEAD, ((start, level), *likely))),
        Band("earliest to latest", ((start, start, level), *band)),
        moment=moment,
    )


def _whole(mark: HoursReached) -> bool:
    return None not in (mark.window.earliest, mark.window.likely, mark.window.latest)


def _hours(tenths: Tenths) -> float:
    return tenths / HOUR
