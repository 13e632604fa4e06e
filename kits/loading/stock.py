"""Stock and prices of some parts, as rows and as the domain's values."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any

from kits.domain.stock import Batch, Incoming, StockItem, still_promised
from kits.domain.supply_prices import counted
from kits.models import StockBatch, SupplierPrice
from kits.models import StockItem as ItemRow
from service.operations.models import Branch, Dealer

PartSize = tuple[Any, int | None]  # a part's id, and the microlitres of a container of it


@dataclass(frozen=True, slots=True)
class Shelf:
    """All of one part in one size at one branch. `beyond` is what is promised and was not there when counted."""

    branch: Branch
    size: PartSize
    item: StockItem
    beyond: int = 0


def shelves(dealer: Dealer, parts: Collection[int], today: date) -> tuple[Shelf, ...]:
    """Of every branch of the dealer, in three statements. What was promised for a day before `today` has no promise."""
    rows = ItemRow.objects.visible_to(dealer).filter(part__in=parts).select_related("part__maker", "branch")
    rows = rows.prefetch_related("batches", "incoming").order_by("part__maker__code", "part__number", "content", "pk")
    return tuple(_shelf(row, today) for row in rows)


def item_value(row: ItemRow) -> StockItem:
    """The row with its batches and what is on its way, where they are loaded already; promises as they were made."""
    return _shelf(row, date.min).item


def prices(dealer: Dealer, parts: Collection[int]) -> tuple[SupplierPrice, ...]:
    """What suppliers who are not withdrawn ask, in one statement."""
    rows = SupplierPrice.objects.visible_to(dealer).filter(part__in=parts, supplier__status="active")
    return tuple(rows.select_related("part__maker", "supplier").order_by("supplier__code", "pk"))


def _shelf(row: ItemRow, today: date) -> Shelf:
    batches = [_batch(batch) for batch in row.batches.all()]
    incoming = tuple(
        Incoming(one.quantity, still_promised(one.promised_latest, today), one.assigned) for one in row.incoming.all()
    )
    key = (row.part.maker.code, row.part.number)
    item = StockItem(key, counted(batches, ages=row.ages), incoming, row.ages)
    return Shelf(row.branch, (row.part_id, row.content), item, sum(beyond for _, beyond in batches))


def _batch(row: StockBatch) -> tuple[Batch, int]:
    """A count may lie below what is promised: the value promises no more than is there, the rest stands beside it."""
    held = min(row.reserved, row.on_hand)
    return Batch(row.bin, row.on_hand, held, row.date_code, row.expires), row.reserved - held
