"""A work order that ends or moves to another machine, and the kits that were built for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction

from catalog.models import WorkOrder, WorkState
from catalog.usecases.machine_writing import Owner
from catalog.usecases.one_version import Asking
from catalog.usecases.work_orders import change_order
from kits.domain.kit_steps import ENDED, KitState
from kits.loading.kits import kits_of, with_lines
from kits.models import Kit
from kits.usecases.kit_events import moved_on, tell
from kits.usecases.kit_releasing import let_go
from service.operations.changes import lock_feed


def change_work_order(
    order: WorkOrder, patch: Mapping[str, Any], asking: Asking
) -> tuple[WorkOrder, list[dict[str, Any]]]:
    """Change the order as `change_order` does, and in the same transaction let go of what its kits hold.

    A kit for an order that has ended, or is on another machine now, is to be reviewed. Answers what was let go of.
    """
    with transaction.atomic():
        lock_feed()
        order = change_order(order, patch, Owner(asking.dealer, asking.now))
        kits = kits_of(asking.dealer).filter(work_order=order).exclude(state__in=list(ENDED)).order_by("number")
        reasons = ((kit, _why(kit, order)) for kit in kits)
        return order, [_let_go(kit, why, asking) for kit, why in reasons if why is not None]


def _why(kit: Kit, order: WorkOrder) -> str | None:
    if order.state != WorkState.OPEN:
        return f"Work order {order.number} is {order.state}."
    if order.machine_id != kit.machine_id:
        return f"Work order {order.number} is on another machine now."
    return None


def _let_go(kit: Kit, why: str, asking: Asking) -> dict[str, Any]:
    gone = let_go(with_lines(kit), asking)
    seen = {"line": None, "position": None, "part": None, "words": [why], "was": None, "now": None}
    moved_on(kit, state=KitState.NEEDS_REVIEW.value, review=[*kit.review, seen])
    tell(kit, "released", asking, {"reason": why, **gone})
    return {"kit": {"id": str(kit.pk), "number": kit.number}, **gone}
