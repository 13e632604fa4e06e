"""At how many lifetime hours, and on which day, one task falls due next."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from catalog.domain.answers import Fact
from kits.domain.calendar_spans import Span
from kits.domain.engine_hours import Tenths, hours_words
from kits.domain.histories import History, TimeDone
from kits.domain.tasks import Anchor, Every, Limits, Once, Task
from service.errors import Invalid


class IntervalEmpty(Invalid):
    """A plan that was never checked repeats work after no time (`plan_problems` names the row)."""

    code = "interval_empty"


@dataclass(frozen=True, slots=True)
class DuePoint:
    """When a task falls due: hours, a day, both (the first counts) or neither; and how far past these it may be late.

    A limit that is `open` is the earliest it can be, or not known at all where it is None, until the `missing` facts
    are told. `settled` says that it never falls due again, or not before something that has not happened; `since` says
    what it is counted from.
    """

    hours: Tenths | None = None
    on: date | None = None
    late_hours: Tenths = 0
    late_days: int = 0
    since: str = ""
    missing: tuple[Fact, ...] = ()
    hours_open: bool = False
    on_open: bool = False
    settled: bool = False


@dataclass(frozen=True, slots=True)
class Recorded:
    """What is on record of one task: the times it was done, and the whole history."""

    times: tuple[TimeDone, ...]
    history: History

    @property
    def last(self) -> TimeDone | None:
        return self.times[-1] if self.times else None


def repeated(task: Task, every: Every, recorded: Recorded, *, severe: bool) -> DuePoint:
    """The next time of work that comes again and again."""
    percent = task.severe_percent if severe else None
    limits = every.limits if percent is None else every.limits.shortened(percent)
    if recorded.last is None:
        return from_new(task, _first_of(every, limits), recorded.history)
    grace_hours, grace_days = _grace(task, limits)
    after = _after_last if every.anchor is Anchor.LAST_DONE else _next_multiple
    return replace(
        after(task, limits, recorded.last, recorded.history),
        late_hours=grace_hours, late_days=grace_days, since=_done_words(recorded.last),
    )  # fmt: skip


def _first_of(every: Every, limits: Limits) -> Limits:
    """The limits of the first time: the row's own, and where it gives none of a kind, those of every other time.

    A row "first after 25 h, then 100 h or yearly" does not let an engine that stands wait for its 25 h for ever.
    """
    if every.first is None:
        return limits
    hours = limits.hours if every.first.hours is None else every.first.hours
    return Limits(hours, every.first.span or limits.span)


def once(task: Task, trigger: Once, recorded: Recorded) -> DuePoint:
    if recorded.last is not None:
        return DuePoint(since=_done_words(recorded.last), settled=True)
    return from_new(task, trigger.limits, recorded.history)


def from_new(task: Task, limits: Limits, history: History) -> DuePoint:
    """Due as counted from new, without a day's or an hour's grace.

    Where the record does not go back to new, the work may have been done unrecorded, and then falls due later.
    """
    missing = [] if history.complete else [last_done_fact(task)]
    on = None
    if limits.span is not None and history.in_service is not None:
        on = limits.span.after(history.in_service)
    elif limits.span is not None:
        missing.append(in_service_fact())
    return DuePoint(
        limits.hours, on, since="new", missing=tuple(missing),
        hours_open=limits.hours is not None and not history.complete,
        on_open=limits.span is not None and (on is None or not history.complete),
    )  # fmt: skip


def _after_last(task: Task, limits: Limits, last: TimeDone, history: History) -> DuePoint:
    on = limits.span.after(last.on) if limits.span is not None else None
    if limits.hours is None or last.hours is not None:
        return DuePoint(None if limits.hours is None or last.hours is None else last.hours + limits.hours, on)
    return DuePoint(limits.hours, on, missing=(hours_done_fact(task, last),), hours_open=True)


def _next_multiple(task: Task, limits: Limits, last: TimeDone, history: History) -> DuePoint:
    """The first multiple after the last time; one done early within the granted tolerance counts for its multiple."""
    missing: list[Fact] = []
    early_hours, early_days = _grace(task, limits)
    hours = limits.hours
    if limits.hours is not None and limits.hours <= 0:
        raise IntervalEmpty("An interval of no hours at all has no next multiple; mend the plan.")
    if limits.hours is not None and last.hours is not None:
        hours = ((last.hours + early_hours) // limits.hours + 1) * limits.hours
    elif limits.hours is not None:
        missing.append(hours_done_fact(task, last))
    on = None
    if limits.span is not None and history.in_service is not None:
        on = _multiple_after(limits.span, history.in_service, last.on, early_days)
    elif limits.span is not None:
        missing.append(in_service_fact())
    return DuePoint(
        hours, on, missing=tuple(missing),
        hours_open=limits.hours is not None and last.hours is None,
        on_open=limits.span is not None and on is None,
    )  # fmt: skip


def _multiple_after(span: Span, origin: date, last: date, early_days: int) -> date:
    # A month is 28 days at least and 31 at most, so the count starts close below and only a few steps are left.
    if not span.shortest_days:
        raise IntervalEmpty("An interval of no time at all has no next multiple; mend the plan.")
    longest = span.months * 31 + span.days
    times = max(1, (last - origin).days // longest)
    while (due := span.after(origin, times)) < date.max and (due - last).days <= early_days:
        times += 1
    return due


def _grace(task: Task, limits: Limits) -> tuple[Tenths, int]:
    """Tenths of an hour and days that the work may be late, rounded down: 10 % of twelve months are 36 days."""
    percent = task.tolerated_percent
    hours = (limits.hours or 0) * percent // 100
    return hours, (limits.span.shortest_days if limits.span is not None else 0) * percent // 100


def _done_words(last: TimeDone) -> str:
    at = f" at {hours_words(last.hours)}" if last.hours is not None else ""
    return f"last done {last.on.isoformat()}{at}"


def unknown_point(*missing: Fact, since: str = "") -> DuePoint:
    """A point of which nothing is known until these facts are."""
    return DuePoint(since=since, missing=missing, on_open=True)


def last_done_fact(task: Task) -> Fact:
    return Fact(f"last {task.name}", f"When was this last done, and at how many hours: {task.name}?")


def hours_done_fact(task: Task, last: TimeDone) -> Fact:
    words = f"At how many hours was this done on {last.on.isoformat()}: {task.name}?"
    words += f" {last.doubt}" if last.doubt else ""
    return Fact(f"hours at last {task.name}", words)


def in_service_fact() -> Fact:
    return Fact("day put in service", "On which day was this engine put to work?")
