"""Work done on a machine: which tasks and levels of its plan, when, and at how many lifetime hours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from catalog import loading as catalogue
from catalog.models import Machine, WorkOrder
from catalog.usecases.answers import instant
from catalog.usecases.asked import named_part
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.refusals import AlreadyWithdrawn, Gathered, UnknownWorkOrder, WorkOrderElsewhere
from catalog.usecases.work_orders import order_named
from kits.domain.engine_hours import MeterUnit, plain_hours
from kits.domain.lifetimes import hours_at
from kits.domain.meters import Counts, Review
from kits.domain.plans import ServicePlan
from kits.loading import meter_from, plan_read
from kits.models import MachineMeter, MeterReading, ServiceRecord
from kits.models import ServicePlan as PlanRow
from kits.usecases.machine_plans import plan_holding
from kits.usecases.metering import By, meter_of, steps_of
from kits.usecases.plan_writing import plan_of
from kits.usecases.refusals import UnknownService
from kits.usecases.service_files import file_of, filed, refuse_future
from service.errors import DomainError, FieldProblem, Invalid, Problems

Row = Mapping[str, Any]
READ_WITH_WORK = "Read when work was done."


def add_service(machine: Machine, row: Row, by: By) -> tuple[ServiceRecord, int]:
    """Put work on file; answers the file's version too. Raises what `Gathered.tell` raises, with every problem."""
    problems, shown = Gathered(), None
    record = ServiceRecord(
        machine=machine, on=row["on"], by=row.get("by") or by.name, entered_at=by.owner.now, note=row.get("note") or "",
        tasks=list(dict.fromkeys(row.get("tasks") or ())), levels=list(dict.fromkeys(row.get("levels") or ())),
    )  # fmt: skip
    with problems.each():
        refuse_future(record.on, by.owner, "/on")
    with problems.each():
        record.plan = _plan(machine, row, by)
        plan = plan_read(record.plan).when
        with problems.each():
            _refuse_strange_work(record, plan)
        with problems.each():
            record.hours, shown = _hours(machine, row, plan.counts)
    with problems.each():
        record.work_order = _work_order(machine, row, by)
    with problems.each():
        record.parts = _parts(row.get("parts") or ())
    problems.tell()
    with filed(machine, by.owner) as file:
        record.save(force_insert=True)
        if shown is not None:
            _read_at(record, shown, by)
    return record, file.version


@dataclass(frozen=True, slots=True)
class _Shown:
    """What a meter showed when the work was done, in its own steps."""

    meter: MachineMeter
    steps: int


def _read_at(record: ServiceRecord, shown: _Shown, by: By) -> None:
    """Put on file what was read with the work, believed or held like any other; once where it was typed before.

    Whoever closes the job has read the meter, and nobody reads it again for the forecast (common practice, no source).
    """
    there = shown.meter.readings.filter(on=record.on, shows=shown.steps).exclude(review=Review.REJECTED.value)
    if not there.exists():
        MeterReading(
            meter=shown.meter, on=record.on, shows=shown.steps, entered_by=by.name, entered_at=by.owner.now,
            note=READ_WITH_WORK,
        ).save(force_insert=True)  # fmt: skip


def _plan(machine: Machine, row: Row, by: By) -> PlanRow:
    """The plan named, else the one that holds for the machine."""
    dealer = by.owner.dealer
    if row.get("plan") is not None:
        try:
            return plan_of(dealer, row["plan"])
        except DomainError as error:
            error.pointer = "/plan"
            raise
    chosen = plan_holding(machine, dealer, file_of(machine).plan_id)
    if chosen.plan is None:
        words = " ".join(fact.question for fact in chosen.missing)
        raise Invalid(f"Whose tasks are these? {words} Name the plan here.", pointer="/plan", code="plan_unknown")
    return chosen.plan.row


def _refuse_strange_work(record: ServiceRecord, plan: ServicePlan) -> None:
    known = {"tasks": [task.code for task in plan.tasks], "levels": [level.code for level in plan.levels]}
    wrong = [
        FieldProblem(f"/{name}/{at}", f"no_such_{name[:-1]}", _no_such(name, code, codes, plan))
        for name, codes in known.items()
        for at, code in enumerate(getattr(record, name))
        if code not in codes
    ]
    if not record.tasks and not record.levels:
        wrong.append(FieldProblem("/tasks", "required", "Name the tasks or the levels that were done."))
    if wrong:
        raise Problems(wrong)


def _no_such(name: str, code: str, codes: Sequence[str], plan: ServicePlan) -> str:
    return f"Plan {plan.code} has no {name[:-1]} {code[:60]!r}; its {name}: {', '.join(codes) or 'none'}."


def _hours(machine: Machine, row: Row, counts: Counts) -> tuple[int | None, _Shown | None]:
    """Lifetime hours as given, or worked out from what a meter showed; None where neither was written down."""
    hours, shown = row.get("hours"), row.get("reading")
    if shown is None:
        return None if hours is None else int(hours), None
    if hours is not None:
        raise Invalid("Give lifetime hours or a meter's reading, not both.", pointer="/reading", code="hours_twice")
    meter = meter_of(machine, shown["meter"], "/reading/meter")
    if not MeterUnit(meter.unit).counts_hours or meter.counts != counts.value:
        words = f"The plan counts {counts.value} hours, and meter {meter.code} does not; give the lifetime hours."
        raise Invalid(words, pointer="/reading/meter", code="another_count")
    steps = steps_of(shown["value"], meter.unit, "/reading/value")
    if meter.start is not None and steps < meter.start:
        words = f"Meter {meter.code} began at more than that; was it another meter?"
        raise Invalid(words, pointer="/reading/value", code="below_start")
    return _lifetime(machine, meter, steps, counts), _Shown(meter, steps)


def _lifetime(machine: Machine, meter: MachineMeter, steps: int, counts: Counts) -> int:
    found = hours_at(tuple(meter_from(one) for one in machine.meters.order_by("id")), meter.code, steps, counts)
    if found.hours is None:
        words = " ".join(fact.question for fact in found.missing)
        words = f"Lifetime hours cannot be worked out from this meter: {words} Put that on file first, or leave it out."
        raise Invalid(words, pointer="/reading", code="lifetime_unknown")
    return found.hours


def _work_order(machine: Machine, row: Row, by: By) -> WorkOrder | None:
    named = row.get("work_order")
    if named is None:
        return None
    order = order_named(by.owner.dealer, named)
    if order is None:
        raise UnknownWorkOrder("There is no such work order of yours.", pointer="/work_order")
    if order.machine_id not in (None, machine.pk):
        raise WorkOrderElsewhere(f"Work order {order.number} is on another machine.", pointer="/work_order")
    return order


def _parts(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """The parts used, by maker and number as the catalogue writes them."""
    names = [named_part(row["part"], f"/parts/{at}/part") for at, row in enumerate(rows)]
    finder, problems, found = PartFinder(names, catalogue.standing().stamp), Gathered(), list[dict[str, Any]]()
    for row, name in zip(rows, names, strict=True):
        with problems.each():
            part = finder.find(name)
            used = {"maker": part.maker, "number": part.number}
            found.append({"part": used, "quantity": row["quantity"], "position": row.get("position")})
    problems.tell()
    return found


def withdraw_service(machine: Machine, number: UUID, reason: str, by: By) -> ServiceRecord:
    """Take back a record that was a mistake. Raises UnknownService, AlreadyWithdrawn."""
    record = service_of(machine, number)
    with filed(machine, by.owner):
        if not ServiceRecord.objects.withdraw(record.pk, at=by.owner.now, by=by.name, reason=reason):
            raise AlreadyWithdrawn("It is withdrawn already.")
        _take_back_reading(record, by)
    return service_of(machine, number)


def _take_back_reading(record: ServiceRecord, by: By) -> None:
    """What was read with work that was a mistake counts for nothing either, but where somebody has confirmed it.

    Which of the two was wrong nobody said: without the reading a forecast is wider, with a wrong one it is wrong.
    """
    of_it = MeterReading.objects.filter(
        meter__machine=record.machine_id, on=record.on, entered_at=record.entered_at, note=READ_WITH_WORK
    )
    for reading in of_it:
        MeterReading.objects.review(reading.pk, Review.REJECTED, at=by.owner.now, by=by.name)


def service_of(machine: Machine, number: UUID) -> ServiceRecord:
    rows = ServiceRecord.objects.select_related("plan", "work_order")
    found: ServiceRecord | None = rows.filter(machine=machine, pk=number).first()
    if found is None:
        raise UnknownService("There is no such service on file for this machine.")
    return found


def service_document(row: ServiceRecord) -> dict[str, Any]:
    plan, order = row.plan, row.work_order
    return {
        "id": str(row.pk),
        "on": row.on.isoformat(),
        "hours": None if row.hours is None else plain_hours(row.hours),
        "plan": None if plan is None else {"id": str(plan.pk), "code": plan.code, "name": plan.name},
        "tasks": row.tasks,
        "levels": row.levels,
        "work_order": None if order is None else {"id": str(order.pk), "number": order.number},
        "by": row.by,
        "note": row.note or None,
        "parts": row.parts,
        "withdrawn": withdrawal_document(row.withdrawn_at, row.withdrawn_by, row.withdrawn_reason),
    }


def withdrawal_document(at: datetime | None, by: str, reason: str) -> dict[str, Any] | None:
    return None if at is None else {"at": instant(at), "by": by, "reason": reason}
