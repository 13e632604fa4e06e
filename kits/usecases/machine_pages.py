"""A dealer's machines as their pages show them: rows of the list, and one machine with all that is on file of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from catalog.domain.rules import Rulebook
from catalog.models import FuelRecord, Machine
from catalog.usecases.machine_reading import as_built_document, record_document
from catalog.usecases.machine_words import conflicts, fuel_in_words, fuels_found, plate_words
from catalog.usecases.machine_writing import machine_of
from catalog.usecases.reading import published
from kits.domain.due_states import DueState
from kits.domain.plan_documents import ReadPlan
from kits.models import Kit, MachineMeter, ServiceRecord
from kits.usecases.due_answers import due_document, task_document
from kits.usecases.due_asking import MachineDue, due_on
from kits.usecases.fleet_due import Wanted
from kits.usecases.hours_plots import hours_plot
from kits.usecases.kit_documents import kit_head
from kits.usecases.kit_redeciding import kits_listed
from kits.usecases.metering import meter_document
from kits.usecases.readings import held_of, reading_documents, readings_of
from kits.usecases.services_done import service_document
from service.operations.models import Dealer

Document = dict[str, Any]
MOST_READINGS, MOST_SERVICES, MOST_KITS = 40, 20, 10
STATES = {
    DueState.OVERDUE: "Overdue", DueState.DUE: "Due", DueState.UNKNOWN: "Cannot tell", DueState.NOT_YET: "Not yet due",
}  # fmt: skip
MODES = {"burns_today": "burns it today; may burn others too", "only_fuel": "the only fuel it can burn now"}
COUNTS = {"engine": "running hours", "key_on": "hours with the key on"}
KIT_STATES = {
    "built": "built", "needs_review": "to be reviewed", "reserved": "reserved", "picked": "picked",
    "fulfilled": "handed out", "cancelled": "cancelled",
}  # fmt: skip
MOST_UNKNOWN = 3  # in sight of one machine, on the page of all
NOTHING_APPLIES = "Nothing in its service plan applies to it."


@dataclass(frozen=True, slots=True)
class OneMachine:
    """A machine as it is asked about for its page: its row, and its due list on that day."""

    row: Machine
    due: MachineDue
    rulebook: Rulebook


def one_machine(dealer: Dealer, number: UUID, as_of: date) -> OneMachine:
    """Raises UnknownMachine, for another dealer's too."""
    row = machine_of(dealer, number)
    (due,) = due_on(dealer, [row.pk], as_of)
    return OneMachine(row, due, published().rulebook)


def machine_rows(dealer: Dealer, rows: Sequence[Machine], as_of: date) -> list[Document]:
    """Rows of the list, each with what falls due next; the number of statements does not depend on how many."""
    found = {one.asked.machine.id: one for one in due_on(dealer, [row.pk for row in rows], as_of)}
    return [_row(row, found[row.pk]) for row in rows if row.pk in found]


def _head(row: Machine) -> Document:
    return {
        "id": row.pk,
        "name": row.name,
        "customer": None if row.customer is None else row.customer.name,
        "withdrawn": row.status == "withdrawn",
        "engine": engine_words(row),
        "serial": row.serial,
    }


def _row(row: Machine, due: MachineDue) -> Document:
    where = due.asked.where
    return {
        **_head(row),
        "fuels": fuels_found(where),
        "conflict": bool(conflicts(where)),
        "next": next_due(due),
    }


def engine_words(row: Machine) -> str:
    spec = row.specification
    return "" if spec is None else f"{spec.model} {spec.spec}"


def next_due(found: MachineDue) -> Document:
    """What is most pressing, in words, and how many tasks more stand in the same state."""
    if found.asked.plan is None:
        return _next(DueState.UNKNOWN, "", " ".join(fact.question for fact in found.asked.missing), 0)
    if not found.dues:
        return _next(DueState.NOT_YET, "", NOTHING_APPLIES, 0)
    first = found.dues[0]
    words = first.missing[0].question if first.window is None and first.missing else first.words
    more = sum(due.state is first.state for due in found.dues) - 1
    return _next(first.state, first.task.name, words, more)


def _next(state: DueState, task: str, words: str, more: int) -> Document:
    return {"state": state.value, "says": STATES[state], "task": task, "words": words, "more": more}


def due_row(row: Machine, found: MachineDue, wanted: Wanted) -> Document:
    """A machine with the tasks that were asked for, each in words; what would tell its plan where nobody can.

    Of many tasks of which nobody can tell the first stands for all: the others are `folded`, so that a machine without
    a record does not push what is due elsewhere off the page.
    """
    groups = _alike(_task(task_document(due)) for due in wanted.tasks(found))
    unknown = [one for one in groups if one["state"] == DueState.UNKNOWN.value]
    folded = unknown[1:] if len(unknown) > MOST_UNKNOWN else []
    return {
        "id": row.pk,
        "name": row.name,
        "customer": None if row.customer is None else row.customer.name,
        "missing": [fact.question for fact in found.asked.missing] if found.asked.plan is None else [],
        "groups": [one for one in groups if one not in folded],
        "folded": folded,
        "folded_names": [name for one in folded for name in one["names"]],
    }


def _alike(tasks: Iterable[Document]) -> list[Document]:
    """Tasks that stand next to each other and of which the same is said, as one."""
    found: list[Document] = []
    for task in tasks:
        said = {
            "state": task["state"],
            "says": task["says"],
            "words": task["words"] if task["window"] or task["settled"] else "",
            "missing": [one["question"] for one in task["missing"]],
        }
        if not found or said != {name: found[-1][name] for name in said}:
            found.append({**said, "names": []})
        found[-1]["names"].append(task["task"]["name"])
    return found


def machine_view(dealer: Dealer, asked: OneMachine) -> Document:
    """All that the page of one machine shows, in a number of statements that does not grow with what is on file."""
    row, due = asked.row, asked.due
    where, plan = due.asked.where, due.asked.plan
    built = row.as_built.select_related("part__maker").order_by("position")
    found, plot = due_document(due), hours_plot(due)
    return {
        **_head(row),
        "serial_strange": where.application.serial_in_no_block,
        "plate_fuels": plate_words(where),
        "fuels": fuels_found(where),
        "conflicts": conflicts(where),
        "place": row.place_of_use.replace("_", " "),
        "dusty": row.dusty,
        "certified": row.certified,
        "ecu": row.ecu,
        "records": [_record(record, asked.rulebook) for record in reversed(list(row.fuel_records.all()))],
        "as_built": [_standing(as_built_document(one)) for one in built],
        "meters": [_meter(meter) for meter in row.meters.order_by("id")],
        "fitted": any(not meter.removed for meter in due.asked.records.meters),
        "readings": _readings(row, due),
        "due": {**found, "tasks": [_task(task) for task in found["tasks"]]},
        "plotted": plot is not None,
        "ahead_drawn": plot is not None and plot.band is not None,
        "levels": [] if plan is None else [(level.code, level.name or level.code) for level in plan.when.levels],
        "services": _services(row, plan),
        "kits": _kits(dealer, row),
        "in_service": due.asked.records.in_service,
        "complete": due.asked.records.complete,
    }


def _record(record: FuelRecord, rulebook: Rulebook) -> Document:
    names = [fuel_in_words(text, rulebook) for text in record.fuels]
    return {**record_document(record), "fuels": " and ".join(names), "mode": MODES[record.mode]}


def _standing(document: Document) -> Document:
    return {
        **document,
        "position": document["position"].replace("_", " "),
        "category": (document["category"] or "").replace("_", " "),
    }


def _meter(row: MachineMeter) -> Document:
    return {**meter_document(row), "counts_said": COUNTS[row.counts]}


def _readings(row: Machine, due: MachineDue) -> list[Document]:
    """The newest first, those that are held marked."""
    held = held_of(due.asked.records, due.as_of)
    newest = readings_of(row).order_by("-on", "-entered_at", "-id")[:MOST_READINGS]
    return reading_documents(newest, held)


def _task(task: Document) -> Document:
    since = "counted from new" if task["counted_from"] == "new" else task["counted_from"]
    return {**task, "says": STATES[DueState(task["state"])], "counted_from": since}


def _services(row: Machine, plan: ReadPlan | None) -> list[Document]:
    """The newest first, tasks by the names of the plan that holds where it has them."""
    names = {} if plan is None else {task.code: task.name for task in plan.when.tasks}
    rows = ServiceRecord.objects.filter(machine=row).select_related("plan", "work_order")
    newest = [service_document(one) for one in rows.order_by("-on", "-entered_at", "-id")[:MOST_SERVICES]]
    return [
        {**one, "tasks_said": ", ".join(names.get(code, code.replace("_", " ")) for code in one["tasks"])}
        for one in newest
    ]


def kit_row(kit: Kit) -> Document:
    """A kit as a list shows it, its state in words."""
    return {**kit_head(kit), "says": KIT_STATES[kit.state]}


def _kits(dealer: Dealer, row: Machine) -> list[Document]:
    newest = kits_listed(dealer, {"machine": row.pk}).order_by("-built_at", "-id")[:MOST_KITS]
    return [kit_row(kit) for kit in newest]
