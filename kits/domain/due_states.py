"""The state of a task on a day. Only what was read or dated makes it overdue; a forecast never does."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from catalog.domain.answers import Fact
from kits.domain.due_points import DuePoint
from kits.domain.engine_hours import DAY_AROUND, Tenths
from kits.domain.forecasting import HoursForecast
from kits.domain.lifetimes import Lifetime


class DueState(StrEnum):
    NOT_YET = "not_yet"
    DUE = "due"
    OVERDUE = "overdue"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Judged:
    """A state with the facts that would settle it, or make it surer."""

    state: DueState
    missing: tuple[Fact, ...] = ()


READING = Fact("meter reading", "What does the hour meter show today?")
HOUR_METER = Fact("hour meter", "This work goes by hours and no hour meter is on file: how many has the engine run?")


def judged(point: DuePoint, forecast: HoursForecast | None, life: Lifetime, as_of: date) -> Judged:
    """The state of a task that falls due at this point. `forecast` is of its hours."""
    if point.settled:
        return Judged(DueState.NOT_YET)
    state = max((_by_day(point, as_of), _by_reading(point, life)), key=_FIRMNESS.index)
    if state is not DueState.NOT_YET:
        return Judged(state, life.in_doubt if _by_day(point, as_of) is DueState.NOT_YET else ())
    if point.missing:
        return _open(point, life, as_of)
    if point.hours is None:
        return Judged(DueState.NOT_YET)
    return _by_forecast(point, point.hours, forecast, life, as_of)


_FIRMNESS = (DueState.NOT_YET, DueState.DUE, DueState.OVERDUE)


def _open(point: DuePoint, life: Lifetime, as_of: date) -> Judged:
    """An open limit is the earliest there can be: while no limit can be reached it is not yet due; else unknown."""
    before_day = as_of < point.on if point.on is not None else not point.on_open
    before_hours = surely_below(point.hours, life, as_of) if point.hours is not None else not point.hours_open
    return Judged(DueState.NOT_YET if before_day and before_hours else DueState.UNKNOWN, point.missing)


def _by_day(point: DuePoint, as_of: date) -> DueState:
    if point.on is None or point.on_open or as_of < point.on:
        return DueState.NOT_YET
    return DueState.OVERDUE if (as_of - point.on).days > point.late_days else DueState.DUE


def _by_reading(point: DuePoint, life: Lifetime) -> DueState:
    if point.hours is None or point.hours_open or life.last is None or life.last.hours < point.hours:
        return DueState.NOT_YET
    return DueState.OVERDUE if life.last.hours > point.hours + point.late_hours else DueState.DUE


def _by_forecast(point: DuePoint, hours: Tenths, forecast: HoursForecast | None, life: Lifetime, as_of: date) -> Judged:
    """Not yet where the calendar alone counts, where the clock forbids the hours, or by the forecast."""
    if not life.metered:
        followed = point.on is not None and not life.missing
        return Judged(DueState.NOT_YET) if followed else Judged(DueState.UNKNOWN, life.missing or (HOUR_METER,))
    if surely_below(hours, life, as_of):
        return Judged(DueState.NOT_YET)
    asked = life.missing or life.in_doubt or (READING,)
    return Judged(DueState.UNKNOWN, asked) if forecast is None else _in_window(forecast, asked, as_of)


def _in_window(forecast: HoursForecast, asked: tuple[Fact, ...], as_of: date) -> Judged:
    """Not yet before the whole range, due from the likely day on; between, nobody can tell without a reading."""
    window = forecast.window
    if window.earliest is None or as_of < window.earliest:
        return Judged(DueState.NOT_YET, asked if forecast.old else ())
    likely = window.likely is not None and as_of >= window.likely
    return Judged(DueState.DUE if likely else DueState.UNKNOWN, asked)


def surely_below(hours: Tenths, life: Lifetime, as_of: date) -> bool:
    """Whether the engine cannot have come to so many hours, had it run day and night since its last reading.

    The day of the reading is taken as it was read: who reads in the morning reads again before the evening.
    """
    if life.last is None:
        return False
    return life.last.hours + max(timedelta(0), as_of - life.last.on).days * DAY_AROUND < hours
