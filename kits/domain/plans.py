"""Service plans: their tasks, and levels that hold one another (the 500 h service holds the 250 h lines once)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.domain.answers import distinct
from kits.domain.meters import Counts
from kits.domain.tasks import Task
from service.errors import NotFound


class NoSuchLevel(NotFound):
    """The plan has no level of that code."""

    code = "no_such_level"


class NoSuchTask(NotFound):
    """The plan has no task of that code."""

    code = "no_such_task"


@dataclass(frozen=True, slots=True)
class Level:
    """A named group of tasks; `contains` are the codes of the smaller levels inside it."""

    code: str
    name: str
    tasks: tuple[str, ...] = ()
    contains: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ServicePlan:
    """The tasks and levels for one kind of engine. `counts` says which of its meters the hours are of."""

    code: str
    tasks: tuple[Task, ...]
    levels: tuple[Level, ...] = ()
    counts: Counts = Counts.ENGINE

    def task(self, code: str) -> Task:
        found = next((task for task in self.tasks if task.code == code), None)
        if found is None:
            raise NoSuchTask(f"Plan {self.code} has no task {code!r}.", plan=self.code, task=code)
        return found

    def level(self, code: str) -> Level:
        found = next((level for level in self.levels if level.code == code), None)
        if found is None:
            raise NoSuchLevel(f"Plan {self.code} has no level {code!r}.", plan=self.code, level=code)
        return found


@dataclass(frozen=True, slots=True)
class Beaten:
    """A task left out because another one of the same service does it too: replace beats inspect."""

    task: Task
    by: Task


@dataclass(frozen=True, slots=True)
class Work:
    """What one service does: each task once, and those that others of it stand in for."""

    tasks: tuple[Task, ...]
    beaten: tuple[Beaten, ...] = ()

    @property
    def codes(self) -> tuple[str, ...]:
        return tuple(task.code for task in self.tasks)


def combined(tasks: Iterable[Task]) -> Work:
    """These tasks as one service, in their order, each once."""
    wanted = distinct(tasks)
    beaten = tuple(
        Beaten(task, by) for task in wanted if (by := next((t for t in wanted if t.stands_in_for(task)), None))
    )
    left_out = {one.task.code for one in beaten}
    return Work(tuple(task for task in wanted if task.code not in left_out), beaten)


def work_of_level(plan: ServicePlan, code: str) -> Work:
    """What a service of that level does. Raises NoSuchLevel or NoSuchTask."""
    levels = (plan.level(name) for name in inside(plan, code))
    return combined(plan.task(name) for level in levels for name in level.tasks)


def inside(plan: ServicePlan, code: str) -> tuple[str, ...]:
    """The codes of all levels inside one, the smallest first and itself last; each once, even in a circle."""
    found: dict[str, None] = {}
    _walk(plan, code, found, set())
    return tuple(found)


def _walk(plan: ServicePlan, code: str, found: dict[str, None], begun: set[str]) -> None:
    if code in begun:
        return
    begun.add(code)
    for smaller in plan.level(code).contains:
        _walk(plan, smaller, found, begun)
    found[code] = None


def restarted_by(plan: ServicePlan, done: Iterable[str]) -> frozenset[str]:
    """The codes of all tasks whose count starts anew when these are done: themselves and what they stand in for.

    So a large service restarts the small counts, and a small one leaves the large ones alone.
    """
    tasks = [plan.task(code) for code in done]
    others = {other.code for other in plan.tasks if any(task.stands_in_for(other) for task in tasks)}
    return frozenset(others | {task.code for task in tasks})


def levels_for(plan: ServicePlan, due: Iterable[str]) -> tuple[str, ...]:
    """The levels that these due tasks call for, but for those inside another.

    A level is called for by what it adds to the levels inside it, so oil that every level changes calls for the least.
    """
    wanted = set(due)
    called = [level.code for level in plan.levels if wanted & _added_by(plan, level)]
    held = {name for code in called for name in inside(plan, code) if name != code}
    return tuple(code for code in called if code not in held)


def _added_by(plan: ServicePlan, level: Level) -> set[str]:
    smaller = (plan.level(code) for code in inside(plan, level.code) if code != level.code)
    return set(level.tasks).difference(*(one.tasks for one in smaller))
