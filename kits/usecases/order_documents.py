"""Orders as they are shown."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.db.models import Prefetch, QuerySet

from catalog.usecases.reading import part_name
from kits.domain.money import Money
from kits.models import Allocation, Order, OrderLine
from kits.usecases.amounts import amount, day, instant, ticks
from kits.usecases.order_goods import litres
from kits.usecases.order_refusals import UnknownOrder
from service.operations.models import Dealer

Document = dict[str, Any]


def orders_of(dealer: Dealer) -> QuerySet[Order]:
    """This dealer's orders with all that is shown of them, in three statements."""
    meant = Allocation.objects.select_related("use__line__kit__machine").order_by("pk")
    lines = OrderLine.objects.select_related("part__maker", "incoming__item").prefetch_related(
        Prefetch("allocations", meant)
    )
    rows: QuerySet[Order] = Order.objects.visible_to(dealer).select_related("supplier", "branch", "dealer")
    return rows.prefetch_related(Prefetch("lines", lines))


def order_of(dealer: Dealer, number: UUID) -> Order:
    """Raises UnknownOrder, for another dealer's too."""
    found = orders_of(dealer).filter(pk=number).first()
    if found is None:
        raise UnknownOrder("There is no such order of yours.")
    return found


def order_document(order: Order, *, notes: Iterable[str] = (), freed: Iterable[Document] = ()) -> Document:
    """`notes` is what could not be told when it was placed; `freed` what is meant for no kit any more."""
    shown = order_of(order.dealer, order.pk)
    lines = [line_document(line, order.currency) for line in shown.lines.all()]
    return {**summary(shown), "lines": lines, "notes": list(notes), "freed": list(freed)}


def summary(order: Order) -> Document:
    core = sum(line.core or 0 for line in order.lines.all())
    return {
        "id": str(order.pk),
        "number": order.number,
        "supplier": order.supplier.code,
        "supplier_name": order.supplier.name,
        "branch": order.branch.code,
        "state": order.state,
        "plan": None if order.plan_id is None else str(order.plan_id),
        "currency": order.currency,
        "rounding": "by_line",
        "goods": ticks(order.goods, order.currency),
        "charge": ticks(order.charge, order.currency),
        "total": amount(Money(order.goods + order.charge, order.currency)),
        "core": ticks(core or None, order.currency),
        "expected": day(max((line.expected for line in order.lines.all() if line.expected), default=None)),
        "placed_at": instant(order.placed_at),
        "placed_by": order.placed_by,
        "ended_at": instant(order.ended_at),
        "ended_by": order.ended_by or None,
        "note": order.note,
    }


def line_document(line: OrderLine, currency: str) -> Document:
    return {
        "line": line.line,
        "part": part_name(line.part),
        "content": None if line.content is None else litres(line.content),
        "supplier_number": line.supplier_number or None,
        "packs": line.packs,
        "pack": line.pack,
        "pieces": line.pieces,
        "price": ticks(line.price, currency),
        "price_for": line.price_for,
        "cost": ticks(line.total, currency),
        "core": ticks(line.core, currency),
        "returnable": line.returnable,
        "expected": day(line.expected),
        "received": line.received,
        "meant_for": [_meant(row) for row in line.allocations.all()],
    }


def _meant(row: Allocation) -> Document:
    kit = row.use.line.kit
    return {
        "kit": str(kit.pk),
        "kit_number": kit.number,
        "line": row.use.line.line,
        "machine": kit.machine.name,
        "pieces": row.quantity,
        "kept": row.kept,
        "volume": None if row.volume is None else litres(row.volume),
    }
