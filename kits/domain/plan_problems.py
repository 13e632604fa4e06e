"""Everything wrong with a plan, told at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from kits.domain.plans import ServicePlan
from kits.domain.tasks import AgeLimit, Every, EveryNth, Limits, Once, Task
from service.errors import FieldProblem


def plan_problems(plan: ServicePlan) -> tuple[FieldProblem, ...]:
    """What keeps a plan from being used, with pointers into its document; none where it is sound."""
    return (*_tasks(plan), *_levels(plan))


def _tasks(plan: ServicePlan) -> Iterator[FieldProblem]:
    yield from _twice("/tasks", (task.code for task in plan.tasks))
    for at, task in enumerate(plan.tasks):
        yield from (FieldProblem(f"/tasks/{at}{where}", code, words) for where, code, words in _task(task))
        if isinstance(task.trigger, EveryNth):
            yield from _counted(plan, at, task, task.trigger)


def _task(task: Task) -> Iterator[tuple[str, str, str]]:
    if task.tolerance is not None and not task.may_have_tolerance:
        words = "Age limits, examinations, one-time, emission and warranty work grant no tolerance."
        yield "/tolerance", "tolerance_not_granted", words
    if task.tolerance is not None and not 0 < task.tolerance.percent < 100:
        yield "/tolerance", "out_of_range", "A tolerance is from 1 to 99 percent of the interval."
    if task.severe_percent is not None and not 0 < task.severe_percent < 100:
        yield "/severe_percent", "out_of_range", "Severe duty leaves from 1 to 99 percent of the interval."
    for where, limits in _limits(task):
        if limits.hours is None and limits.span is None:
            yield where, "no_limit", "An interval has hours, a span of the calendar, or both."
        if limits.hours is not None and limits.hours <= 0:
            yield f"{where}/hours", "out_of_range", "Hours of an interval are more than none."
        if limits.span is not None and min(limits.span.months, limits.span.days) < 0:
            yield f"{where}/span", "out_of_range", "A span of the calendar is never negative."
        if limits.span is not None and not limits.span.shortest_days:
            yield f"{where}/span", "out_of_range", "A span of the calendar is a day at least."


def _limits(task: Task) -> Iterator[tuple[str, Limits]]:
    if isinstance(task.trigger, Every):
        yield "/trigger", task.trigger.limits
        if task.trigger.first is not None:
            yield "/trigger/first", task.trigger.first
    elif isinstance(task.trigger, Once):
        yield "/trigger", task.trigger.limits
    elif isinstance(task.trigger, AgeLimit):
        yield "/trigger", Limits(span=task.trigger.span)


def _counted(plan: ServicePlan, at: int, task: Task, trigger: EveryNth) -> Iterator[FieldProblem]:
    if trigger.times < 2:
        yield FieldProblem(f"/tasks/{at}/trigger/times", "out_of_range", "Counting begins with every second time.")
    of = next((other for other in plan.tasks if other.code == trigger.of), None)
    if of is None:
        yield FieldProblem(f"/tasks/{at}/trigger/of", "no_such_task", f"{trigger.of!r} is no task of this plan.")
    elif isinstance(of.trigger, EveryNth):
        words = f"{task.code} counts {of.code}, which is itself counted; count the task with an interval."
        yield FieldProblem(f"/tasks/{at}/trigger/of", "counted_by_count", words)


def _levels(plan: ServicePlan) -> Iterator[FieldProblem]:
    yield from _twice("/levels", (level.code for level in plan.levels))
    tasks, levels = {task.code for task in plan.tasks}, {level.code: level for level in plan.levels}
    sound = True
    for at, level in enumerate(plan.levels):
        for name in (name for name in level.tasks if name not in tasks):
            yield FieldProblem(f"/levels/{at}/tasks", "no_such_task", f"{name!r} is no task of this plan.")
        for name in (name for name in level.contains if name not in levels):
            sound = False
            yield FieldProblem(f"/levels/{at}/contains", "no_such_level", f"{name!r} is no level of this plan.")
    if not sound:
        return
    for at, level in enumerate(plan.levels):
        if _comes_back({code: one.contains for code, one in levels.items()}, level.code):
            words = f"Level {level.code} contains itself by way of others."
            yield FieldProblem(f"/levels/{at}/contains", "circle", words)


def _comes_back(contains: dict[str, tuple[str, ...]], code: str) -> bool:
    seen: set[str] = set()
    ahead = list(contains[code])
    while ahead:
        name = ahead.pop()
        if name == code:
            return True
        if name not in seen:
            seen.add(name)
            ahead.extend(contains[name])
    return False


def _twice(where: str, codes: Iterable[str]) -> Iterator[FieldProblem]:
    for code, times in Counter(codes).items():
        if times > 1:
            yield FieldProblem(where, "twice", f"{code!r} stands there {times} times.")
