"""The due point of a task by whichever way it falls due."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from kits.domain.due_otherwise import (
    Counted,
    after_event,
    before_season,
    before_storage,
    by_age,
    by_count,
    on_condition,
)
from kits.domain.due_points import DuePoint, Recorded, once, repeated
from kits.domain.histories import History, TimeDone
from kits.domain.plans import ServicePlan
from kits.domain.tasks import (
    AfterEvent,
    AgeLimit,
    BeforeSeason,
    BeforeStorage,
    Every,
    EveryNth,
    Once,
    OnCondition,
    Task,
)
from kits.domain.use_profiles import UseProfile


@dataclass(frozen=True, slots=True)
class Records:
    """What the points of a plan's tasks are worked out from; `times` by code of the task."""

    plan: ServicePlan
    history: History
    times: Mapping[str, tuple[TimeDone, ...]]
    profile: UseProfile | None = None

    def of(self, task: Task) -> Recorded:
        return Recorded(self.times.get(task.code, ()), self.history)


def point_of(task: Task, records: Records, *, severe: bool) -> DuePoint:  # noqa: PLR0911 - one for each trigger
    """When the task falls due next. Raises NoSuchTask where it counts one that the plan lacks."""
    recorded, trigger = records.of(task), task.trigger
    match trigger:
        case Every():
            return repeated(task, trigger, recorded, severe=severe)
        case Once():
            return once(task, trigger, recorded)
        case EveryNth():
            return by_count(task, trigger, recorded, _counted(records, trigger, severe=severe))
        case AgeLimit():
            return by_age(task, trigger, recorded)
        case OnCondition():
            return on_condition(task, trigger, recorded)
        case BeforeSeason():
            return before_season(task, recorded, records.profile)
        case BeforeStorage():
            return before_storage(task, recorded, records.profile)
        case AfterEvent():
            return after_event(trigger, recorded)


def _counted(records: Records, trigger: EveryNth, *, severe: bool) -> Counted:
    of = records.plan.task(trigger.of)
    return Counted(of, records.of(of).times, lambda later: _later_point(of, records, later, severe=severe))


def _later_point(of: Task, records: Records, later: int, *, severe: bool) -> DuePoint:
    """The point so many times after the next one; settled where nothing tells when the next one will be."""
    point = replace(point_of(of, records, severe=severe), late_hours=0, late_days=0)
    if later == 0 or point.settled:
        return point
    if not isinstance(of.trigger, Every):
        return DuePoint(settled=True)
    limits = of.trigger.limits
    if severe and of.severe_percent is not None:
        limits = limits.shortened(of.severe_percent)
    # A limit that is of the first service alone says nothing of later ones.
    hours = None if point.hours is None or limits.hours is None else point.hours + later * limits.hours
    on = None if point.on is None or limits.span is None else limits.span.after(point.on, later)
    return replace(point, hours=hours, on=on)
