"""Orders drafted from a plan: one for each supplier, as long as nothing the plan was made from has changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from kits.domain.calendars import CalendarEnds
from kits.domain.order_plan.question import Offer
from kits.models import Order, OrderPlan, SupplierPrice
from kits.models.kit import ENDED
from kits.usecases.order_allotting import Bought
from kits.usecases.order_asking import asked_again
from kits.usecases.order_digests import digest_of
from kits.usecases.order_drafts import OrderDraft, recorded_line
from kits.usecases.order_plan_reading import plan_of
from kits.usecases.order_questions import plan_basis
from kits.usecases.order_refusals import NothingToOrder, OrderedAlready, PlanOutdated, UnknownOrderPlan
from kits.usecases.supplier_writing import UnknownSupplier
from service.errors import DomainError
from service.operations.models import Dealer

Body = Mapping[str, Any]
OUTDATED = "Kits, stock or prices have changed since the plan was made; make it anew and order from that one."


def planned_drafts(body: Body, *, dealer: Dealer, now: datetime) -> tuple[OrderDraft, ...]:
    """One order for each supplier asked for, or for each the plan buys from that has none yet.

    Raises UnknownOrderPlan, UnknownSupplier, NothingToOrder, OrderedAlready and PlanOutdated.
    """
    plan = _plan(body, dealer)
    bought = [Bought.of(entry) for entry in plan.bought]
    rows = SupplierPrice.objects.filter(pk__in=[one.price for one in bought])
    prices = {row.pk: row for row in rows.select_related("supplier", "part__maker")}
    if len(prices) < len(bought):
        raise PlanOutdated(OUTDATED, pointer="/plan")
    wanted = _suppliers(body, plan, {prices[one.price].supplier.code for one in bought})
    arrivals = _arrivals(plan, now)
    drafts = []
    for code in wanted:
        lines = [one for one in bought if prices[one.price].supplier.code == code]
        drafts.append(
            OrderDraft(
                supplier=prices[lines[0].price].supplier,
                branch=plan.branch,
                lines=tuple(
                    recorded_line(prices[one.price], one.packs, arrivals.get(str(one.price)), one) for one in lines
                ),
                plan=plan,
            )
        )
    return tuple(drafts)


def check_plan_still(plan: OrderPlan, codes: Sequence[str]) -> None:
    """Once more inside the transaction that places the orders, which comes alone at the feed's lock.

    Raises PlanOutdated where it was improved or a kit has ended meanwhile, OrderedAlready where somebody was quicker.
    """
    now = OrderPlan.objects.get(pk=plan.pk)
    if now.bought != plan.bought or now.kits.filter(state__in=ENDED).exists():
        raise PlanOutdated(OUTDATED, pointer="/plan")
    _refuse_ordered(codes, plan)


def _plan(body: Body, dealer: Dealer) -> OrderPlan:
    try:
        return plan_of(dealer, body["plan"])
    except UnknownOrderPlan as error:
        error.pointer = "/plan"
        raise


def _suppliers(body: Body, plan: OrderPlan, buying: set[str]) -> list[str]:
    if not buying:
        raise NothingToOrder("The plan buys nothing; what it needs is there or cannot be had.", pointer="/plan")
    asked = list(dict.fromkeys(body.get("suppliers") or sorted(buying)))
    for place, code in enumerate(asked):
        if code not in buying:
            words = f"The plan buys nothing from {code!r}; it buys from {', '.join(sorted(buying))}."
            raise UnknownSupplier(words, pointer=f"/suppliers/{place}")
    _refuse_ordered(asked, plan)
    return asked


def _refuse_ordered(codes: Sequence[str], plan: OrderPlan) -> None:
    placed = Order.objects.filter(plan=plan, supplier__code__in=codes).select_related("supplier")
    told = [f"{order.supplier.code} (order {order.number})" for order in placed]
    if told:
        words = f"It has been ordered from this plan already: {', '.join(told)}. Order the others, or make a new plan."
        raise OrderedAlready(words, pointer="/plan")


def _arrivals(plan: OrderPlan, now: datetime) -> dict[str, date | None]:
    """When goods ordered now come, by the price's id. Raises PlanOutdated."""
    try:
        basis = plan_basis(asked_again(plan.asked, plan.dealer), now=now, apart_from=plan.pk)
    except DomainError as error:
        raise PlanOutdated(f"{OUTDATED} {error.message}", pointer="/plan") from error
    if digest_of(basis) != plan.digest:
        raise PlanOutdated(OUTDATED, pointer="/plan")
    return {offer.id: arrival_of(offer, now) for offer in basis.question.offers}


def arrival_of(offer: Offer, now: datetime) -> date | None:
    """None where nobody knows, or the working days of that time are not recorded."""
    try:
        return offer.arrives(now)
    except CalendarEnds:
        return None
