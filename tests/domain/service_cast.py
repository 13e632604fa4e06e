"""The machines of the service desk: plans, meters, readings and records, by the names the shop has for them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TypeVar

from catalog.domain.applicability import Application, Where, located
from kits.domain.calendar_spans import Span
from kits.domain.due import Asked, Due, due_list
from kits.domain.engine_hours import HOUR
from kits.domain.forecasting import HoursForecast, hours_forecast, pace_of
from kits.domain.histories import History, ServiceDone
from kits.domain.lifetimes import Lifetime, lifetime
from kits.domain.meters import LifetimeReading, Meter, Reading
from kits.domain.plans import Level, ServicePlan
from kits.domain.tasks import Every, Limits, Task, TaskKind, Trigger
from kits.domain.use_profiles import UseProfile
from kits.statistics import RobustStatistics

STATISTICS = RobustStatistics()
ANYWHERE: Where = located(Application(), {})


T = TypeVar("T")


def sure(found: T | None) -> T:
    assert found is not None
    return found


def hours(value: float) -> int:
    """Whole tenths of an hour."""
    tenths = round(value * HOUR)
    assert abs(tenths - value * HOUR) < 1e-6
    return tenths


def limits(h: float | None = None, *, months: int = 0, days: int = 0) -> Limits:
    return Limits(None if h is None else hours(h), Span(months, days) if months or days else None)


def task(code: str, trigger: Trigger, *, kind: TaskKind = TaskKind.REPLACE, subject: str = "", **more: object) -> Task:
    return Task(code, code.replace("_", " "), kind, subject or code, trigger, **more)  # type: ignore[arg-type]


def every(h: float | None = None, *, months: int = 0, days: int = 0) -> Every:
    return Every(limits(h, months=months, days=days))


def plan_of(*tasks: Task, levels: Sequence[Level] = ()) -> ServicePlan:
    return ServicePlan("plan", tasks, tuple(levels))


def read(on: date, h: float, meter: str = "M1") -> Reading:
    return Reading(meter, on, hours(h))


def metered(*readings: Reading, as_of: date, meters: tuple[Meter, ...] = (Meter("M1"),)) -> Lifetime:
    return lifetime(meters, readings, as_of=as_of)


def done(on: date, h: float | None, *tasks: str, levels: tuple[str, ...] = ()) -> ServiceDone:
    return ServiceDone(on, None if h is None else hours(h), tasks, levels)


def asked(
    plan: ServicePlan, life: Lifetime, as_of: date, *services: ServiceDone, profile: UseProfile | None = None,
    history: History | None = None,
) -> Asked:  # fmt: skip
    return Asked(plan, history or History(done=services), life, ANYWHERE, as_of, profile)


def the_due(question: Asked, code: str) -> Due:
    return next(due for due in due_list(question, STATISTICS) if due.task.code == code)


def forecast(
    readings: Sequence[LifetimeReading], h: int, *, as_of: date, profile: UseProfile | None = None
) -> HoursForecast | None:
    return hours_forecast(pace_of(tuple(readings), profile, STATISTICS), h, as_of=as_of, statistics=STATISTICS)


NO_METER = Lifetime()
