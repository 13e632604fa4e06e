"""Work that falls due by something other than its own interval: counts, age, conditions, seasons and events."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date

from catalog.domain.answers import Fact, distinct
from kits.domain.due_points import DuePoint, Recorded, in_service_fact, last_done_fact, unknown_point
from kits.domain.histories import ConditionSeen, FittedPart, TimeDone
from kits.domain.tasks import AfterEvent, AgeClock, AgeLimit, EveryNth, OnCondition, Task
from kits.domain.use_profiles import UseProfile


@dataclass(frozen=True, slots=True)
class Counted:
    """The task that is counted, the times it was done, and the point of its so-manieth time after the next."""

    task: Task
    times: tuple[TimeDone, ...]
    next_but: Callable[[int], DuePoint]


def by_count(task: Task, trigger: EveryNth, recorded: Recorded, counted: Counted) -> DuePoint:
    """With the so-manieth time of the other task since this one was last done."""
    last = recorded.last
    since = [time for time in counted.times if last is None or _later(time, last)]
    words = f"{len(since)} of {trigger.times} times of {counted.task.name}"
    missing = () if last is not None or recorded.history.complete else (last_done_fact(task),)
    if missing:
        return unknown_point(*missing, since=words)
    if len(since) >= trigger.times:
        reached = since[trigger.times - 1]
        return DuePoint(reached.hours, reached.on, since=words)
    point = counted.next_but(trigger.times - 1 - len(since))
    return replace(point, since=words)


def _later(time: TimeDone, last: TimeDone) -> bool:
    if time.hours is not None and last.hours is not None:
        return (time.on, time.hours) > (last.on, last.hours)
    return time.on > last.on


def by_age(task: Task, trigger: AgeLimit, recorded: Recorded) -> DuePoint:
    """So long after its date code or its fitting; the clock is said, and nothing stands in for a missing date."""
    part = next((part for part in recorded.history.parts if part.subject == task.subject), None)
    words = f"counted from {trigger.since.value}"
    begun = _begun(trigger, part, recorded.last)
    if begun is None:
        asked = "its date code" if trigger.since is AgeClock.MANUFACTURE else "the day it was fitted"
        fact = Fact(f"{trigger.since.value} of {task.subject}", f"What is {asked}: {task.subject}?")
        return unknown_point(fact, since=words)
    return DuePoint(on=trigger.span.after(begun), since=f"{words}, {begun.isoformat()}")


def _begun(trigger: AgeLimit, part: FittedPart | None, last: TimeDone | None) -> date | None:
    fitted = part.fitted if part is not None else None
    if trigger.since is AgeClock.FITTING:
        return max((day for day in (fitted, last.on if last else None) if day is not None), default=None)
    if part is None or (last is not None and (fitted is None or fitted < last.on)):
        # Replaced since that record, or perhaps so: the date code on file may be of the part taken off.
        return None
    return part.manufactured


def on_condition(task: Task, trigger: OnCondition, recorded: Recorded) -> DuePoint:
    """Due from the day it was first seen since the work was last done; settled while the last look saw nothing."""
    seen = _looks(task, recorded)
    if not seen:
        return unknown_point(Fact(f"condition of {task.subject}", trigger.question))
    if not seen[-1].met:
        return DuePoint(since=f"not so on {seen[-1].on.isoformat()}", settled=True)
    first = next(look for look in seen if look.met)
    return DuePoint(on=first.on, since=f"seen on {first.on.isoformat()}")


def _looks(task: Task, recorded: Recorded) -> list[ConditionSeen]:
    last = recorded.last
    looks = (look for look in recorded.history.conditions if look.task == task.code)
    return sorted((look for look in looks if last is None or look.on > last.on), key=lambda look: (look.on, look.met))


def after_event(trigger: AfterEvent, recorded: Recorded) -> DuePoint:
    last = recorded.last
    events = (event for event in recorded.history.events if event.event == trigger.event)
    since = sorted((event.on, event.hours or 0) for event in events if last is None or event.on > last.on)
    if not since:
        return DuePoint(since=f"no {trigger.event} on record", settled=True)
    return DuePoint(on=since[0][0], since=f"{trigger.event} on {since[0][0].isoformat()}")


def before_season(task: Task, recorded: Recorded, profile: UseProfile | None) -> DuePoint:
    """On the day the season opens; work done between two seasons is for the one that opens next."""
    begun, missing = _counted_from(task, recorded)
    if profile is None or begun is None:
        return _no_season(profile, missing)
    opens = profile.next_opening(begun)
    if opens is not None and recorded.last is not None and not profile.runs_on(begun):
        opens = profile.next_opening(opens)
    return _in_season(opens, missing, "the season opens")


def before_storage(task: Task, recorded: Recorded, profile: UseProfile | None) -> DuePoint:
    """On the day the season closes; work done within a season is for its own close."""
    begun, missing = _counted_from(task, recorded)
    if profile is None or begun is None:
        return _no_season(profile, missing)
    closes = profile.next_closing(begun)
    if closes is not None and recorded.last is not None and profile.runs_on(begun):
        closes = profile.next_closing(closes)
    return _in_season(closes, missing, "the season closes")


def _counted_from(task: Task, recorded: Recorded) -> tuple[date | None, tuple[Fact, ...]]:
    if recorded.last is not None:
        return recorded.last.on, ()
    missing = () if recorded.history.complete else (last_done_fact(task),)
    return recorded.history.in_service, missing


def _no_season(profile: UseProfile | None, missing: tuple[Fact, ...]) -> DuePoint:
    asked = (*missing, *((SEASON,) if profile is None else (in_service_fact(),)))
    return unknown_point(*distinct(asked))


def _in_season(day: date | None, missing: tuple[Fact, ...], words: str) -> DuePoint:
    if day is None:
        return unknown_point(*missing, SEASON)
    return DuePoint(on=day, since=words, missing=missing, on_open=bool(missing))


SEASON = Fact("season", "When does the season of this machine open and close?")
