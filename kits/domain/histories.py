"""What was done to a machine and seen on it, as far as it is on record."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from kits.domain.engine_hours import DAY_AROUND, HOUR, Tenths, hours_words
from kits.domain.meters import LifetimeReading
from kits.domain.plans import ServicePlan, restarted_by, work_of_level


@dataclass(frozen=True, slots=True)
class ServiceDone:
    """Work done on a day, at these lifetime hours (None: not written down): tasks, levels, or both."""

    on: date
    hours: Tenths | None = None
    tasks: tuple[str, ...] = ()
    levels: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FittedPart:
    """The part that stands at a subject now, with its date code and the day it was fitted where they are known."""

    subject: str
    manufactured: date | None = None
    fitted: date | None = None


@dataclass(frozen=True, slots=True)
class ConditionSeen:
    """That somebody looked, on a day, whether the condition of a task is met."""

    task: str
    on: date
    met: bool


@dataclass(frozen=True, slots=True)
class EventSeen:
    event: str
    on: date
    hours: Tenths | None = None


@dataclass(frozen=True, slots=True)
class History:
    """A machine's record. `complete` says that everything done since new is in it; else what is not, is unknown.

    `in_service` is the day the engine was put to work, from which its calendar counts when new.
    """

    in_service: date | None = None
    complete: bool = False
    done: tuple[ServiceDone, ...] = ()
    parts: tuple[FittedPart, ...] = ()
    conditions: tuple[ConditionSeen, ...] = ()
    events: tuple[EventSeen, ...] = ()


@dataclass(frozen=True, slots=True)
class TimeDone:
    """One time a task was done, by itself or by work that stands in for it.

    Hours on record that the readings contradict are not known; `doubt` says what stands against them.
    """

    on: date
    hours: Tenths | None
    doubt: str = ""


def times_done(
    plan: ServicePlan, history: History, as_of: date, readings: Sequence[LifetimeReading] = ()
) -> dict[str, tuple[TimeDone, ...]]:
    """For each task of the plan, the times it was done up to that day, oldest first.

    Codes of other plans are passed over: the record outlives a change of plan. `readings` are those that are believed,
    in order of time.
    """
    found: dict[str, list[TimeDone]] = {task.code: [] for task in plan.tasks}
    for service in sorted(history.done, key=_in_time):
        if service.on > as_of:
            continue
        doubt = "" if service.hours is None else _doubt(service.on, service.hours, readings)
        time = TimeDone(service.on, None if doubt else service.hours, doubt)
        for code in restarted_by(plan, _codes(plan, service)):
            found[code].append(time)
    return {code: tuple(times) for code, times in found.items()}


def _doubt(on: date, hours: Tenths, readings: Sequence[LifetimeReading]) -> str:
    """What the readings next to that day have against so many hours; empty where the engine can have had them.

    Too many would put the work off unseen, which too few do not. Hours of services are often written down whole, so
    less than one hour is no contradiction (common practice, no source).
    """
    behind = bisect_right(readings, on, key=_day)
    for reading in (*readings[behind : behind + 1], *readings[:behind][-1:]):
        days = max(0, (on - reading.on).days) if reading.on != on else 1
        if hours - HOUR >= reading.hours + days * DAY_AROUND:
            than = "more than 24 h a day since" if days else "more than"
            said = f"{hours_words(reading.hours)} that were read on {reading.on.isoformat()}"
            return f"{hours_words(hours)} is on record, {than} the {said}."
    return ""


def _day(reading: LifetimeReading) -> date:
    return reading.on


def _in_time(service: ServiceDone) -> tuple[date, Tenths]:
    return service.on, -1 if service.hours is None else service.hours


def _codes(plan: ServicePlan, service: ServiceDone) -> tuple[str, ...]:
    tasks = {task.code for task in plan.tasks}
    levels = {level.code for level in plan.levels}
    of_levels = (code for name in service.levels if name in levels for code in work_of_level(plan, name).codes)
    return tuple(dict.fromkeys((*(code for code in service.tasks if code in tasks), *of_levels)))
