"""When the work of a kit falls due, as its label says it."""

from __future__ import annotations

from datetime import date

from kits.domain.due_states import DueState
from kits.domain.kit_steps import ENDED
from kits.domain.papers import DueRange, windows_together
from kits.domain.windows import Window
from kits.models import Kit
from kits.usecases.due_asking import due_on


def due_range(kit: Kit) -> DueRange:
    """As it was on the day the kit was built for; once that work is on file the due list speaks of the next time."""
    kept = kit.work.get("due")
    if kept is not None:
        return DueRange(Window(_day(kept["earliest"]), None, _day(kept["latest"])))
    if kit.state in ENDED:
        return DueRange(None)
    (due,) = due_on(kit.dealer, [kit.machine_id], kit.as_of)
    if due.asked.row is None or due.asked.row.pk != kit.plan_id:
        return DueRange(None, questions=tuple(fact.question for fact in due.asked.missing))
    codes = {task["code"] for task in kit.work.get("tasks", ())}
    found = [one for one in due.dues if one.task.code in codes]
    untold = [one for one in found if one.window is None and (one.missing or one.state is DueState.UNKNOWN)]
    questions = dict.fromkeys(fact.question for one in untold for fact in one.missing)
    gone = codes - {one.task.code for one in found}
    windows = [one.window for one in found if one.window is not None]
    return DueRange(windows_together(windows), len(untold) + len(gone), tuple(questions))


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)
