"""What was seen on a machine: a part's date code, a condition looked at, an event."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from catalog.models import Machine
from catalog.usecases.refusals import AlreadyWithdrawn, Gathered
from kits.domain.engine_hours import plain_hours
from kits.domain.plans import ServicePlan
from kits.domain.tasks import AfterEvent, OnCondition
from kits.loading import plan_read
from kits.models import ObservationKind, ServiceObservation
from kits.usecases.machine_plans import plan_holding
from kits.usecases.metering import By
from kits.usecases.refusals import UnknownObservation
from kits.usecases.service_files import file_of, filed, refuse_future
from kits.usecases.services_done import withdrawal_document
from service.errors import Invalid

Row = Mapping[str, Any]
MEMBERS = {
    ObservationKind.PART_FITTED: ("subject", "manufactured", "fitted"),
    ObservationKind.CONDITION: ("task", "met"),
    ObservationKind.EVENT: ("event", "hours"),
}


def add_observation(machine: Machine, row: Row, by: By) -> tuple[ServiceObservation, int]:
    """Put on file what was seen; answers the file's version too. Raises what `Gathered.tell` raises."""
    problems, kind = Gathered(), ObservationKind(row["kind"])
    today = by.owner.dealer.today(by.owner.now)
    seen = ServiceObservation(
        machine=machine, kind=kind.value, on=row.get("on") or today, by=row.get("by") or by.name,
        entered_at=by.owner.now, note=row.get("note") or "",
    )  # fmt: skip
    for name in MEMBERS[kind]:
        if row.get(name) is not None:
            setattr(seen, name, row[name])
    for name in ("on", "manufactured", "fitted"):
        with problems.each():
            refuse_future(getattr(seen, name), by.owner, f"/{name}")
    with problems.each():
        _refuse_strange(machine, seen, by)
    problems.tell()
    with filed(machine, by.owner) as file:
        seen.save(force_insert=True)
    return seen, file.version


def _refuse_strange(machine: Machine, seen: ServiceObservation, by: By) -> None:
    """What no row of the machine's plan asks for would change nothing, which whoever saw it has to be told."""
    chosen = plan_holding(machine, by.owner.dealer, file_of(machine).plan_id)
    if chosen.plan is None:
        return
    plan = plan_read(chosen.plan.row).when
    name, given, known = _asked_for(seen, plan)
    if given not in known:
        shown = ", ".join(known) or "none"
        words = f"No task of plan {plan.code} goes by {name} {given[:60]!r}; those it goes by: {shown}."
        raise Invalid(words, pointer=f"/{name}", code=f"no_such_{name}")


def _asked_for(seen: ServiceObservation, plan: ServicePlan) -> tuple[str, str, list[str]]:
    if seen.kind == ObservationKind.PART_FITTED:
        return "subject", seen.subject, list(dict.fromkeys(task.subject for task in plan.tasks))
    if seen.kind == ObservationKind.CONDITION:
        return "task", seen.task, [task.code for task in plan.tasks if isinstance(task.trigger, OnCondition)]
    triggers = (task.trigger for task in plan.tasks)
    return "event", seen.event, list(dict.fromkeys(one.event for one in triggers if isinstance(one, AfterEvent)))


def withdraw_observation(machine: Machine, number: UUID, reason: str, by: By) -> ServiceObservation:
    """Take back what was a mistake. Raises UnknownObservation, AlreadyWithdrawn."""
    seen = observation_of(machine, number)
    with filed(machine, by.owner):
        if not ServiceObservation.objects.withdraw(seen.pk, at=by.owner.now, by=by.name, reason=reason):
            raise AlreadyWithdrawn("It is withdrawn already.")
    return observation_of(machine, number)


def observation_of(machine: Machine, number: UUID) -> ServiceObservation:
    found: ServiceObservation | None = ServiceObservation.objects.filter(machine=machine, pk=number).first()
    if found is None:
        raise UnknownObservation("There is nothing like it on file for this machine.")
    return found


def observation_document(row: ServiceObservation) -> dict[str, Any]:
    return {
        "id": str(row.pk),
        "kind": row.kind,
        "on": row.on.isoformat(),
        "by": row.by,
        "note": row.note or None,
        "subject": row.subject or None,
        "manufactured": row.manufactured and row.manufactured.isoformat(),
        "fitted": row.fitted and row.fitted.isoformat(),
        "task": row.task or None,
        "met": row.met,
        "event": row.event or None,
        "hours": None if row.hours is None else plain_hours(row.hours),
        "withdrawn": withdrawal_document(row.withdrawn_at, row.withdrawn_by, row.withdrawn_reason),
    }
