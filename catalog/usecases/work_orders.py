"""A dealer's work orders: opened, and closed or cancelled for good."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction

from catalog.models import Status, WorkOrder, WorkState
from catalog.usecases.machine_writing import Owner, machine_of
from catalog.usecases.refusals import MachineWithdrawn, Taken, UnknownWorkOrder, WorkOrderEnded
from service.errors import DomainError, Stale
from service.operations.changes import NewChange, append, lock_feed
from service.operations.models import Dealer

Row = Mapping[str, Any]


def open_order(row: Row, owner: Owner) -> WorkOrder:
    """Raises Taken for a number this dealer has already, UnknownMachine and MachineWithdrawn for its machine."""
    order = WorkOrder(dealer=owner.dealer, number=row["number"])
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
    """Close or cancel it. Raises WorkOrderEnded for one that has ended, Stale where it has changed since."""
    wanted = patch.get("state", order.state)
    with transaction.atomic():
        lock_feed()
        rows = WorkOrder.objects.filter(pk=order.pk, version=order.version)
        if order.state not in (WorkState.OPEN, wanted):
            words = f"Work order {order.number} is {order.state} for good, since approvals ended with it; open another."
            raise WorkOrderEnded(words, pointer="/state")
        ended = order.ended_at or (None if wanted == WorkState.OPEN else owner.now)
        if not rows.update(state=wanted, ended_at=ended, version=order.version + 1):
            raise Stale("It has changed since it was read; read it again and send the new ETag in If-Match.")
        order.refresh_from_db()
        _tell("changed", order, owner)
    return order


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
    }
