"""What is due on one machine as of a day: for each task its point, the days it falls between, and its state."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from catalog.domain.answers import Fact, distinct
from catalog.domain.applicability import Where
from kits.domain.due_points import DuePoint
from kits.domain.due_states import DueState, judged
from kits.domain.engine_hours import hours_words
from kits.domain.forecasting import HoursForecast, Pace, hours_forecast, pace_of
from kits.domain.histories import History, times_done
from kits.domain.lifetimes import Lifetime
from kits.domain.plans import ServicePlan
from kits.domain.pointing import Records, point_of
from kits.domain.rates import Statistics
from kits.domain.tasks import AfterEvent, AgeLimit, BeforeSeason, BeforeStorage, OnCondition, Task
from kits.domain.use_profiles import UseProfile
from kits.domain.windows import Window


class DecidedBy(StrEnum):
    """What brings a task due."""

    HOURS = "hours"
    CALENDAR = "calendar"
    AGE = "age"
    CONDITION = "condition"
    SEASON = "season"
    EVENT = "event"


@dataclass(frozen=True, slots=True)
class Asked:
    """One machine on one day: its plan, record, hours, use, and what stands on its plate."""

    plan: ServicePlan
    history: History
    life: Lifetime
    where: Where
    as_of: date
    profile: UseProfile | None = None

    @property
    def severe(self) -> bool | None:
        return self.profile.severe if self.profile is not None else None


@dataclass(frozen=True, slots=True)
class Ahead:
    """What forecasts are made with: how the engine runs, and the statistics library."""

    pace: Pace
    statistics: Statistics


@dataclass(frozen=True, slots=True)
class Due:
    """One task of one machine. `window` is None where nothing tells when; `forecast` is of its hours.

    `if_severe` is the point under severe duty where nobody has said whether the duty is severe.
    """

    task: Task
    state: DueState
    point: DuePoint
    window: Window | None
    decided_by: DecidedBy | None
    forecast: HoursForecast | None
    missing: tuple[Fact, ...] = ()
    if_severe: DuePoint | None = None

    @property
    def words(self) -> str:
        """When, from what, and what decides: "2026-03-16 to 2026-03-18, from 5 readings, ...; hours decide"."""
        if self.window is None:
            return "; ".join(fact.question for fact in self.missing) or self.point.since
        said = [self.window.words]
        if self.forecast is not None and self.decided_by is DecidedBy.HOURS:
            said.append(self.forecast.words)
        hours_unknown = self.point.hours is not None and self.forecast is None
        ends = f"{self.decided_by} decides" if self.decided_by is not DecidedBy.HOURS else "hours decide"
        return ", ".join(said) + f"; {ends}" + ("; hours unknown" if hours_unknown else "")


def due_list(asked: Asked, statistics: Statistics, pace: Pace | None = None) -> tuple[Due, ...]:
    """Every task of the plan that applies, or may apply, to the machine; what is most pressing first.

    `pace` is that of the asked readings and profile, where it is worked out already.
    """
    times = times_done(asked.plan, asked.history, asked.as_of, asked.life.readings)
    records = Records(asked.plan, asked.history, times, asked.profile)
    ahead = Ahead(pace or pace_of(asked.life.readings, asked.profile, statistics), statistics)
    found = (due_of(task, asked, records, ahead) for task in asked.plan.tasks)
    return tuple(sorted((due for due in found if due is not None), key=pressing))


def due_of(task: Task, asked: Asked, records: Records, ahead: Ahead) -> Due | None:
    """One task; None where it does not apply to the machine."""
    applies = task.where.holds(asked.where)
    if applies.holds is False:
        return None
    due = _by_duty(task, asked, records, ahead)
    if applies.holds is None and due.state is not DueState.NOT_YET:
        due = replace(due, state=DueState.UNKNOWN)
    return replace(due, missing=distinct((*applies.missing, *due.missing)))


def _by_duty(task: Task, asked: Asked, records: Records, ahead: Ahead) -> Due:
    """Under the duty that is on record; where none is, under both, and unknown where they do not agree."""
    if task.severe_percent is None or asked.severe is not None:
        return _under(task, asked, records, ahead, severe=bool(asked.severe))
    normal = _under(task, asked, records, ahead, severe=False)
    severe = _under(task, asked, records, ahead, severe=True)
    if severe.point == normal.point:
        return normal
    state = normal.state if normal.state is severe.state else DueState.UNKNOWN
    if normal.state in _PRESSING and severe.state in _PRESSING:
        state = normal.state  # due either way, and overdue only under the duty that nobody has told of
    missing = distinct((*normal.missing, *severe.missing, SEVERE_DUTY))
    window = _from_earliest_of(severe.window, normal.window)
    return replace(normal, state=state, window=window, missing=missing, if_severe=severe.point)


def _under(task: Task, asked: Asked, records: Records, ahead: Ahead, *, severe: bool) -> Due:
    point = point_of(task, records, severe=severe)
    forecast = None
    if point.hours is not None and not point.hours_open and not point.settled:
        forecast = hours_forecast(ahead.pace, point.hours, as_of=asked.as_of, statistics=ahead.statistics)
    state = judged(point, forecast, asked.life, asked.as_of)
    window = _window(point, forecast)
    return Due(task, state.state, point, window, _decided_by(task, point, forecast), forecast, state.missing)


def _window(point: DuePoint, forecast: HoursForecast | None) -> Window | None:
    on = None if point.on_open else point.on
    if point.settled or (forecast is None and on is None):
        return None
    if forecast is None:
        return Window(on, on, on)
    return forecast.window if on is None else forecast.window.no_later_than(on)


def _decided_by(task: Task, point: DuePoint, forecast: HoursForecast | None) -> DecidedBy | None:
    named = _BY_TRIGGER.get(type(task.trigger))
    on = None if point.on_open else point.on
    if point.settled or (forecast is None and on is None):
        return None
    if named is not None:
        return named
    if forecast is None or forecast.window.likely is None:
        return DecidedBy.CALENDAR if on is not None else DecidedBy.HOURS
    return DecidedBy.HOURS if on is None or forecast.window.likely < on else DecidedBy.CALENDAR


def _from_earliest_of(severe: Window | None, normal: Window | None) -> Window | None:
    if severe is None or normal is None:
        return normal
    return Window(severe.earliest, normal.likely, normal.latest)


def pressing(due: Due) -> tuple[int, date]:
    """What lists begin with: the state first, then the likely day."""
    likely = due.window.likely if due.window is not None else None
    return _ORDER.index(due.state), likely or date.max


def point_words(point: DuePoint) -> str:
    """The limits of a point in words: "4560 h or 2026-07-12, whichever is first"."""
    limits = [hours_words(point.hours)] if point.hours is not None else []
    limits += [point.on.isoformat()] if point.on is not None else []
    return " or ".join(limits) + (", whichever is first" if len(limits) > 1 else "")


_BY_TRIGGER: dict[type, DecidedBy] = {
    AgeLimit: DecidedBy.AGE,
    OnCondition: DecidedBy.CONDITION,
    BeforeSeason: DecidedBy.SEASON,
    BeforeStorage: DecidedBy.SEASON,
    AfterEvent: DecidedBy.EVENT,
}
_PRESSING = (DueState.OVERDUE, DueState.DUE)
_ORDER = (DueState.OVERDUE, DueState.DUE, DueState.UNKNOWN, DueState.NOT_YET)
UNTOLD = (_ORDER.index(DueState.UNKNOWN), date.max)  # of a machine of which no task can be told
SEVERE_DUTY = Fact("severe duty", "Does it work in dust, heavy load, heat or cold enough to shorten its intervals?")
