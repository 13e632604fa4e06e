"""Order plans as they are shown: the kept answer, how far its improvement is, and whether it still holds."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any
from uuid import UUID

from kits.models import Order, OrderPlan
from kits.usecases.amounts import instant
from kits.usecases.order_asking import asked_again
from kits.usecases.order_digests import digest_of
from kits.usecases.order_questions import plan_basis
from kits.usecases.order_refusals import UnknownOrderPlan
from service.errors import DomainError
from service.operations.models import Dealer, JobState

SHOWN_IN_LISTS = ("branch", "currency", "goods", "charges", "gap")


def plan_of(dealer: Dealer, number: UUID) -> OrderPlan:
    """This dealer's plan with its job. Raises UnknownOrderPlan, for another dealer's too."""
    rows = OrderPlan.objects.visible_to(dealer).select_related("job", "branch", "dealer")
    found = rows.filter(pk=number).first()
    if found is None:
        raise UnknownOrderPlan("There is no such order plan of yours.")
    return found


def is_outdated(row: OrderPlan, now: datetime) -> bool:
    """Whether kits, stock or prices have changed since it was made, in what else than its own orders have changed."""
    try:
        basis = plan_basis(asked_again(row.asked, row.dealer), now=now, apart_from=row.pk)
    except DomainError:  # a kit has ended, a branch or a calendar is gone: it could not even be asked any more
        return True
    return digest_of(basis) != row.digest


def state_of(row: OrderPlan) -> str:
    """at_once, improving, improved; or failed, where the solver's job broke off and the plan at once stands."""
    job = row.job
    if job is not None and job.state == JobState.RUNNING:
        return "improving"
    if row.improved:
        return "improved"
    return "failed" if job is not None and job.state == JobState.FAILED else "at_once"


def shown_plan(row: OrderPlan, *, outdated: bool) -> dict[str, Any]:
    answer = json.loads(row.answer)
    orders = Order.objects.filter(plan=row).select_related("supplier").order_by("number")
    return {
        **summary(row, answer),
        "outdated": outdated,
        "orders": [{"id": str(order.pk), "number": order.number, "supplier": order.supplier.code} for order in orders],
        **answer,
    }


def summary(row: OrderPlan, answer: dict[str, Any] | None = None) -> dict[str, Any]:
    told = json.loads(row.answer) if answer is None else answer
    return {
        "id": str(row.pk),
        "state": state_of(row),
        "job": None if row.job_id is None else str(row.job_id),
        "seconds": row.asked["seconds"],
        "made_at": instant(row.made_at),
        "made_by": row.made_by,
        **{name: told[name] for name in SHOWN_IN_LISTS},
    }
