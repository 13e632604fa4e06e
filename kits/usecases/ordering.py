"""Placing orders: what was drafted is saved in one short transaction, numbered, and told to the kits it is for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import F, Max
from django.urls import reverse

from kits.models import Allocation, Incoming, Kit, KitUse, Order, OrderLine, OrderPlan, StockItem
from kits.usecases.allocations import shared_containers
from kits.usecases.kit_notes import KitNote, tell_kits
from kits.usecases.order_documents import order_document
from kits.usecases.order_drafts import LineDraft, OrderDraft, changed_prices
from kits.usecases.order_refusals import PlanOutdated, PricesChanged
from kits.usecases.orders_by_hand import free_draft
from kits.usecases.orders_from_plans import OUTDATED, check_plan_still, planned_drafts
from service.operations.changes import NewChange, append_all, lock_feed
from service.operations.idempotency import Claim
from service.operations.models import Dealer

Body = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Placing:
    """On whose behalf, who places it, and when."""

    dealer: Dealer
    by: str
    now: datetime
    note: str = ""


def place_orders(body: Body, placing: Placing, claim: Claim) -> tuple[Order, ...]:
    """Order from a plan, one order for each supplier, or the lines of a body, which is one order.

    The claim is completed with the orders of a plan (`{"orders": [...]}`), or with the one order. Raises what the
    drafts are refused for, and PricesChanged where a price changed while they were made.
    """
    if body.get("plan") is not None:
        drafts = planned_drafts(body, dealer=placing.dealer, now=placing.now)
    else:
        drafts = (free_draft(body, dealer=placing.dealer, now=placing.now),)
    for draft in drafts:
        draft.check()
    with transaction.atomic():
        lock_feed()  # orders are numbered in turn: whoever places another waits here
        _check_still(drafts)
        orders = _numbered(drafts, placing)
        documents = [order_document(order, notes=draft.notes) for order, draft in zip(orders, drafts, strict=True)]
        if body.get("plan") is not None:
            claim.complete(201, {"orders": documents}, {"Location": reverse("order-plan", args=[body["plan"]])})
        else:
            claim.complete(201, documents[0], {"Location": reverse("order", args=[orders[0].pk])})
    return orders


def _check_still(drafts: Sequence[OrderDraft]) -> None:
    plan = drafts[0].plan
    if changed_prices(drafts):
        if plan is not None:
            raise PlanOutdated(OUTDATED, pointer="/plan")
        raise PricesChanged("A price changed while the order was made; nothing was ordered. Send it once more.")
    if plan is not None:
        check_plan_still(plan, [draft.supplier.code for draft in drafts])


def _numbered(drafts: Sequence[OrderDraft], placing: Placing) -> tuple[Order, ...]:
    last = Order.objects.filter(dealer=placing.dealer).aggregate(last=Max("number"))["last"] or 0
    orders = tuple(_saved(draft, number, placing) for number, draft in enumerate(drafts, start=last + 1))
    plan = drafts[0].plan
    if plan is not None:
        OrderPlan.objects.filter(pk=plan.pk).update(version=F("version") + 1)
    append_all(
        [NewChange("order.placed", "order", order.pk, placing.dealer, {"number": order.number}) for order in orders],
        placing.now,
    )
    return orders


def _saved(draft: OrderDraft, number: int, placing: Placing) -> Order:
    order = Order.objects.create(
        dealer=placing.dealer, branch=draft.branch, supplier=draft.supplier, number=number, plan=draft.plan,
        currency=draft.currency, goods=draft.goods.ticks, charge=draft.charge.ticks, placed_at=placing.now,
        placed_by=placing.by, note=placing.note,
    )  # fmt: skip
    lines = _lines(order, draft)
    _allocate(order, lines, draft, placing)
    return order


def _lines(order: Order, draft: OrderDraft) -> list[OrderLine]:
    items = _items(order, draft.lines)
    coming = [
        Incoming(
            item=items[line.part.pk, line.content], supplier=order.supplier, quantity=line.pieces,
            assigned=_assigned(line), promised_earliest=line.expected and (line.promised_from or line.expected),
            promised_latest=line.expected, order_line=f"order {order.number}, line {place}",
        )
        for place, line in enumerate(draft.lines, start=1)
    ]  # fmt: skip
    Incoming.objects.bulk_create(coming)
    lines = [
        OrderLine(
            order=order, line=place, part=line.part, content=line.content, supplier_number=line.supplier_number,
            packs=line.packs, pack=line.pack, price=line.price.ticks, price_for=line.price_for, total=line.cost.ticks,
            core=None if line.core is None else line.core.ticks, returnable=line.returnable, expected=line.expected,
            incoming=incoming,
        )
        for place, (line, incoming) in enumerate(zip(draft.lines, coming, strict=True), start=1)
    ]  # fmt: skip
    return OrderLine.objects.bulk_create(lines)


def _items(order: Order, lines: Iterable[LineDraft]) -> dict[tuple[int, int | None], StockItem]:
    """The shelf's rows of what is ordered; those that are not there yet are made."""
    wanted = {(line.part.pk, line.content) for line in lines}
    rows = StockItem.objects.filter(branch=order.branch, part__in={part for part, _ in wanted})
    found = {(row.part_id, row.content): row for row in rows}
    new = [
        StockItem(dealer=order.dealer, branch=order.branch, part_id=part, content=content)
        for part, content in sorted(wanted - set(found), key=str)
    ]
    return found | {(row.part_id, row.content): row for row in StockItem.objects.bulk_create(new)}


def _assigned(line: LineDraft) -> int:
    if line.for_uses is None:
        return 0
    shared = shared_containers(sum(line.for_uses.volumes.values()), line.content)
    return min(line.pieces, sum(line.for_uses.uses.values()) + shared)


def _allocate(order: Order, lines: Sequence[OrderLine], draft: OrderDraft, placing: Placing) -> None:
    """Keep what is meant for which use, and tell the kits."""
    rows = []
    for line, drafted in zip(lines, draft.lines, strict=True):
        if drafted.for_uses is not None:
            rows += [Allocation(line=line, use_id=use, quantity=count) for use, count in drafted.for_uses.uses.items()]
            rows += [Allocation(line=line, use_id=use, volume=share) for use, share in drafted.for_uses.volumes.items()]
    Allocation.objects.bulk_create(rows)
    kits = Kit.objects.filter(lines__uses__in=[row.use_id for row in rows])
    by_use = dict(KitUse.objects.filter(line__kit__in=kits).values_list("pk", "line__kit"))
    notes: dict[Any, KitNote] = {}
    for row in rows:
        note = notes.setdefault(by_use[row.use_id], KitNote(by_use[row.use_id], "goods_ordered", order))
        note.add(row.line, row.quantity, row.volume)
    tell_kits(notes.values(), dealer=placing.dealer, by=placing.by, now=placing.now)
