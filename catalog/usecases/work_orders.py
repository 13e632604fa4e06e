"""A dealer's work orders: opened, moved to another day or machine, and closed or cancelled for good."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction

from catalog.models import Approval, Status, WorkOrder, WorkState
from catalog.usecases.machine_writing import Owner, machine_of
from catalog.usecases.refusals import MachineWithdrawn, Taken, UnknownWorkOrder, WorkOrderApproved, WorkOrderEnded
from service.errors import DomainError, Stale
from service.operations.changes import NewChange, append, lock_feed
from service.operations.models import Dealer

Row = Mapping[str, Any]


def open_order(row: Row, owner: Owner) -> WorkOrder:
    """Raises Taken for a number this dealer has already, UnknownMachine and MachineWithdrawn for its machine."""
    order = WorkOrder(dealer=owner.dealer, number=row["number"], planned_on=row.get("planned_on"))
    if row.get("machine") is not None:
        order.machine = _machine(owner.dealer, row["machine"])
    with transaction.atomic():
        lock_feed()
        if WorkOrder.objects.visible_to(owner.dealer).filter(number=order.number).exists():
            raise Taken(f"There is a work order {order.number!r} of yours already.", pointer="/number")
        order.save(force_insert=True)
        _tell("created", order, owner)
    return order


def _machine(dealer: Dealer, number: UUID) -> Any:
    try:
        machine = machine_of(dealer, number)
    except DomainError as error:
        error.pointer = "/machine"
        raise
    if machine.status == Status.WITHDRAWN:
        raise MachineWithdrawn(f"{machine.name} is withdrawn; no work is opened on it.", pointer="/machine")
    return machine


def change_order(order: WorkOrder, patch: Row, owner: Owner) -> WorkOrder:
    """Give it another machine or day, close or cancel it.

    Raises WorkOrderEnded for one that has ended, Stale where it has changed since, UnknownMachine and MachineWithdrawn,
    WorkOrderApproved where an approval rests on it and its machine would be another.
    """
    wanted = patch.get("state", order.state)
    machine = order.machine_id
    if "machine" in patch and patch["machine"] != machine:
        machine = None if patch["machine"] is None else _machine(owner.dealer, patch["machine"]).pk
    with transaction.atomic():
        lock_feed()
        rows = WorkOrder.objects.filter(pk=order.pk, version=order.version)
        if order.state != WorkState.OPEN and (wanted != order.state or _moves(order, patch)):
            words = f"Work order {order.number} is {order.state} for good, since approvals ended with it; open another."
            raise WorkOrderEnded(words, pointer="/state")
        if machine != order.machine_id:
            _refuse_approved(order)
        ended = order.ended_at or (None if wanted == WorkState.OPEN else owner.now)
        planned = patch.get("planned_on", order.planned_on)
        changed = {"state": wanted, "ended_at": ended, "machine": machine, "planned_on": planned}
        if not rows.update(**changed, version=order.version + 1):
            raise Stale("It has changed since it was read; read it again and send the new ETag in If-Match.")
        order.refresh_from_db()
        _tell("changed", order, owner)
    return order


def _moves(order: WorkOrder, patch: Row) -> bool:
    now = {"machine": order.machine_id, "planned_on": order.planned_on}
    return any(name in patch and patch[name] != value for name, value in now.items())


def _refuse_approved(order: WorkOrder) -> None:
    """An approval is for one machine, and would come back with a work order that came back to it."""
    if Approval.objects.filter(work_order=order, withdrawn_at=None).exists():
        words = f"An approval rests on work order {order.number} as it is; open another one for the other machine."
        raise WorkOrderApproved(words, pointer="/machine")


def _tell(kind: str, order: WorkOrder, owner: Owner) -> None:
    payload = {"version": order.version, "state": order.state}
    append(NewChange(f"work_order.{kind}", "work_order", order.pk, owner.dealer, payload), owner.now)


def order_of(dealer: Dealer, number: UUID) -> WorkOrder:
    """This dealer's work order. Raises UnknownWorkOrder, for another dealer's too."""
    found = WorkOrder.objects.visible_to(dealer).filter(pk=number).first()
    if found is None:
        raise UnknownWorkOrder("There is no such work order of yours.")
    return found


def order_named(dealer: Dealer, named: str) -> WorkOrder | None:
    """By the dealer's own number, else by its id."""
    rows = WorkOrder.objects.visible_to(dealer)
    found = rows.filter(number=named).first()
    if found is not None:
        return found
    try:
        return rows.filter(pk=UUID(named)).first()
    except ValueError:
        return None


def order_document(row: WorkOrder) -> dict[str, Any]:
    return {
        "id": str(row.pk),
        "number": row.number,
        "machine": None if row.machine_id is None else str(row.machine_id),
        "state": row.state,
        "planned_on": None if row.planned_on is None else row.planned_on.isoformat(),
    }
