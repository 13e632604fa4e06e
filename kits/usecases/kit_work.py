"""The work a kit is for: the tasks of a level, tasks by name, or what falls due, and what is known of when."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from catalog.domain.answers import Fact, distinct
from kits.domain import kit_lines
from kits.domain.due import Due
from kits.domain.due_states import DueState
from kits.domain.engine_hours import MeterUnit, Tenths, tenths_read
from kits.domain.kit_lines import Choice, Joint, PartNeed
from kits.domain.packing import Nature
from kits.domain.plans import ServicePlan, Work, combined, inside, levels_for
from kits.domain.tasks import Task
from kits.usecases.due_asking import due_on
from kits.usecases.kit_asking import KitAsked, nature_of
from kits.usecases.kit_refusals import NothingToDo
from service.errors import DomainError, FieldProblem, Problems

Facts = tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class KitWork:
    """Tasks in both shapes. `asked` are facts that would tell whether a task belongs, by the task's code.

    `not_here` are tasks that do not apply to the machine, `not_told` those of which nobody can tell whether they are
    due, with the questions; neither is in the kit.
    """

    work: Work
    levels: tuple[str, ...]
    tasks: tuple[kit_lines.Task, ...]
    joints: tuple[Joint, ...]
    asked: Mapping[str, Facts]
    not_here: tuple[Task, ...] = ()
    not_told: tuple[Due, ...] = ()
    due: tuple[Due, ...] = ()


def work_of(asked: KitAsked) -> KitWork:
    """Raises NoSuchLevel and NoSuchTask with their pointers, NothingToDo where no task is left."""
    plan, body = asked.read.when, asked.body
    due: tuple[Due, ...] = ()
    not_told: tuple[Due, ...] = ()
    if body.get("level") is not None:
        wanted = _of_level(plan, body["level"])
    elif body.get("tasks") is not None:
        wanted = _of_tasks(plan, body["tasks"])
    else:
        due, not_told = _due_within(asked, body["due_within"])
        wanted = tuple(one.task for one in due)
    truths = {task.code: task.where.holds(asked.engine.where) for task in wanted}
    # What does not apply here does not stand in for anything either.
    work = combined(task for task in wanted if truths[task.code].holds is not False)
    not_here = tuple(task for task in wanted if truths[task.code].holds is False)
    if not work.tasks:
        raise NothingToDo(_nothing(asked, not_here, not_told))
    by_code = {task.code: task for task in asked.read.work}
    return KitWork(
        work=work,
        levels=inside(plan, body["level"]) if body.get("level") is not None else levels_for(plan, work.codes),
        tasks=tuple(_with_natures(by_code[task.code], asked) for task in work.tasks),
        joints=tuple(replace(joint, goods=_needs(joint.goods, asked)) for joint in asked.read.joints),
        asked={code: truth.missing for code, truth in truths.items() if truth.holds is None},
        not_here=not_here,
        not_told=not_told,
        due=due,
    )


def _of_level(plan: ServicePlan, level: str) -> tuple[Task, ...]:
    try:
        return distinct(plan.task(code) for name in inside(plan, level) for code in plan.level(name).tasks)
    except DomainError as error:
        error.pointer = "/level"
        raise


def _of_tasks(plan: ServicePlan, codes: Iterable[str]) -> tuple[Task, ...]:
    found, wrong = list[Task](), list[FieldProblem]()
    for at, code in enumerate(codes):
        try:
            found.append(plan.task(code))
        except DomainError as error:
            wrong.append(FieldProblem(f"/tasks/{at}", error.code, error.message))
    if wrong:
        raise Problems(wrong)
    return distinct(found)


def _due_within(asked: KitAsked, within: Mapping[str, Any]) -> tuple[tuple[Due, ...], tuple[Due, ...]]:
    """What is due or falls due by then, and what cannot be told."""
    (due,) = due_on(asked.machine.dealer, [asked.machine.pk], asked.as_of)
    if within.get("days") is not None:
        found = due.within(within["days"])
    else:
        last = due.life.last
        until = None if last is None else last.hours + tenths_read(str(within["hours"]), MeterUnit.HOURS)
        found = tuple(one for one in due.dues if one.state is not DueState.NOT_YET or _reached(one, until))
    told = tuple(one for one in found if one.state is not DueState.UNKNOWN)
    return told, tuple(one for one in found if one.state is DueState.UNKNOWN)


def _reached(due: Due, until: Tenths | None) -> bool:
    points = (due.point,) if due.if_severe is None else (due.point, due.if_severe)
    return until is not None and any(point.hours is not None and point.hours <= until for point in points)


def _nothing(asked: KitAsked, not_here: tuple[Task, ...], not_told: tuple[Due, ...]) -> str:
    if not_told:
        questions = dict.fromkeys(fact.question for one in not_told for fact in one.missing)
        return f"Whether anything is due on {asked.machine.name} cannot be told: {' '.join(questions)}"
    if not_here:
        names = ", ".join(task.code for task in not_here)
        return f"None of these tasks applies to {asked.machine.name}: {names}."
    return f"Nothing is due on {asked.machine.name} in that time; name a level or tasks to build a kit all the same."


def _with_natures(task: kit_lines.Task, asked: KitAsked) -> kit_lines.Task:
    return replace(task, parts=_needs(task.parts, asked))


def _needs(needs: tuple[PartNeed, ...], asked: KitAsked) -> tuple[PartNeed, ...]:
    """What is recorded of a part's handling counts beside what the plan says of it."""
    return tuple(replace(need, choices=tuple(_choice(one, asked) for one in need.choices)) for need in needs)


def _choice(choice: Choice, asked: KitAsked) -> Choice:
    recorded = nature_of(asked.handling.get(asked.parts[choice.part].id))
    plain = recorded is Nature.PLAIN or (choice.nature is not Nature.PLAIN and recorded is not Nature.LICENSED)
    return choice if plain else replace(choice, nature=recorded)


def work_document(found: KitWork) -> dict[str, Any]:
    """As it is kept with the kit and shown."""
    return {
        "tasks": [_task(task) for task in found.work.tasks],
        "levels": list(found.levels),
        "beaten": [{"task": one.task.code, "by": one.by.code} for one in found.work.beaten],
        "not_here": [task.code for task in found.not_here],
        "not_told": [
            {"task": one.task.code, "missing": [fact_document(fact) for fact in one.missing]} for one in found.not_told
        ],
        "due": _range(found.due),
    }


def _task(task: Task) -> dict[str, Any]:
    return {"code": task.code, "name": task.name, "kind": task.kind.value, "who": task.who.value}


def fact_document(fact: Fact) -> dict[str, str]:
    return {"fact": fact.name, "question": fact.question}


def _range(due: Iterable[Due]) -> dict[str, str | None] | None:
    """From when the first of it is due to when the last may be; None where the kit is not for what is due."""
    windows = [one.window for one in due if one.window is not None]
    if not windows:
        return None
    earliest = [one.earliest for one in windows if one.earliest is not None]
    latest = [one.latest for one in windows if one.latest is not None]
    return {
        "earliest": min(earliest).isoformat() if earliest else None,
        "latest": max(latest).isoformat() if latest else None,
    }
