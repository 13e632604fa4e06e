"""Order plans: made at once with a proven bound, and improved afterwards by the solver in a job."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.urls import reverse

from kits.domain.order_plan.planning import OrderPlan as Found
from kits.domain.order_plan.planning import plan
from kits.models import OrderPlan
from kits.solver import HighsSolver
from kits.usecases.order_allotting import bought_for
from kits.usecases.order_asking import asked_again, plan_asked
from kits.usecases.order_digests import digest_of
from kits.usecases.order_plan_documents import plan_document
from kits.usecases.order_plan_reading import shown_plan
from kits.usecases.order_questions import PlanBasis, plan_basis
from kits.usecases.order_refusals import OrderedAlready, PlanOutdated
from service.operations import jobs
from service.operations.changes import NewChange, append
from service.operations.idempotency import Claim
from service.operations.models import Dealer

KIND = "order_plan"
FIRST_LOOK = 2  # seconds: most plans are proven by then, and the job can be stopped in between
Body = Mapping[str, Any]


def make_plan(body: Body, *, dealer: Dealer, asked_by: str, now: datetime, claim: Claim) -> OrderPlan:
    """Plan at once, keep it, queue its improvement where there may be any, and complete the claim.

    Loaded and decided outside of the transaction that saves it. Raises what `plan_asked` and `plan_basis` raise, and
    MixedCurrencies where a supplier's charges are in another currency than the branch's.
    """
    asked = plan_asked(body, dealer=dealer, now=now)
    basis = plan_basis(asked, now=now)
    found = plan(basis.question, HighsSolver())
    row = OrderPlan(
        dealer=dealer, branch=asked.branch, asked=asked.document(), digest=digest_of(basis), made_at=now,
        made_by=asked_by, **_decided(found, basis),
    )  # fmt: skip
    with transaction.atomic():
        append(NewChange("order_plan.made", "order_plan", row.pk, dealer, {"kits": len(asked.kits)}), now)
        if found.gap and asked.seconds:
            row.job = jobs.enqueue(KIND, {"plan": str(row.pk)}, now=now, dealer=dealer)
        row.save(force_insert=True)
        row.kits.add(*asked.kits)
        claim.complete(201, shown_plan(row, outdated=False), {"Location": reverse("order-plan", args=[row.pk])})
    return row


def improve_plan(lease: jobs.Lease) -> dict[str, Any]:
    """Look for a cheaper plan, first for a moment and then for the seconds asked for; the solver in no transaction.

    Raises PlanOutdated where kits, stock or prices have changed since it was made, OrderedAlready where it has been
    ordered from: what was ordered is not planned again.
    """
    row = OrderPlan.objects.select_related("dealer").get(pk=UUID(lease.input["plan"]))
    seconds = row.asked["seconds"]
    looks = [seconds] if seconds <= FIRST_LOOK else [FIRST_LOOK, seconds]
    lease.save({}, jobs.Progress(0, len(looks)), lease.clock())
    basis = plan_basis(asked_again(row.asked, row.dealer), now=lease.clock(), apart_from=row.pk)
    if digest_of(basis) != row.digest:
        raise PlanOutdated("Kits, stock or prices have changed since the plan was made; make it anew.")
    best: Found | None = None
    for done, look in enumerate(looks, start=1):
        found = plan(basis.question, HighsSolver(), look)
        best = found if best is None or found.cost.ticks <= best.cost.ticks else best
        _keep(row, best, basis, lease, jobs.Progress(done, len(looks)))
        if not best.gap:
            break
    return {"plan": str(row.pk), "gap": row.gap}


def _keep(row: OrderPlan, found: Found, basis: PlanBasis, lease: jobs.Lease, progress: jobs.Progress) -> None:
    columns = _decided(found, basis)
    now = lease.clock()
    with transaction.atomic():
        append(NewChange("order_plan.improved", "order_plan", row.pk, row.dealer, {"gap": columns["gap"]}), now)
        lease.save({}, progress, now)
        unchanged = OrderPlan.objects.filter(pk=row.pk, version=row.version, orders=None)
        if not unchanged.update(**columns, improved=True, version=row.version + 1):
            raise OrderedAlready("The plan has been ordered from meanwhile, so it stays as it is.")
    row.version += 1
    row.gap = columns["gap"]


def _decided(found: Found, basis: PlanBasis) -> dict[str, Any]:
    answer = json.dumps(plan_document(basis, found), ensure_ascii=False, separators=(",", ":"))
    bought = [one.document() for one in bought_for(found, basis)]
    return {"answer": answer, "bought": bought, "gap": float(found.gap)}
