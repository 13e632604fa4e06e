"""A dealer's stock items: what lies where, what of it is free on a day, and counting it by hand."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db.models import Case, F, IntegerField, OuterRef, Q, QuerySet, Subquery, Sum, Value, When
from django.db.models.functions import Coalesce

from catalog.usecases.refusals import Gathered
from kits.domain.stock import Batch
from kits.loading.stock import item_value
from kits.models import StockBatch, StockItem
from kits.usecases.branches import branch_meant
from kits.usecases.dealer_rows import (
    InUse,
    Owner,
    Row,
    content_document,
    content_of,
    money_document,
    move_on,
    part_document,
    part_of,
    removed,
    span_document,
    ticks_of,
    told,
)
from service.errors import Invalid, NotFound, Stale
from service.operations.models import Dealer

ALREADY = "There is a stock item of that part and size at that branch already; change that one."


class UnknownStockItem(NotFound):
    code = "unknown_stock_item"


def items_of(dealer: Dealer) -> QuerySet[StockItem]:
    rows = StockItem.objects.visible_to(dealer).select_related("part__maker", "branch")
    return rows.prefetch_related("batches", "incoming__supplier")


def with_free(rows: QuerySet[StockItem], least: int, on: date) -> QuerySet[StockItem]:
    """Those of which at least so many pieces are free on that day; what `StockItem.free` of the domain says of each."""
    batches = StockBatch.objects.filter(item=OuterRef("pk")).order_by().values("item")
    fresh = Q(expires__gte=on) & (Q(item__ages=False) | Q(date_code__isnull=False)) | Q(expires=None, item__ages=False)
    free = Case(When(fresh & Q(on_hand__gt=F("reserved")), then=F("on_hand") - F("reserved")), default=Value(0))
    beyond = Case(When(reserved__gt=F("on_hand"), then=F("reserved") - F("on_hand")), default=Value(0))
    pieces = batches.annotate(pieces=Sum(free) - Sum(beyond)).values("pieces")
    counted = rows.annotate(pieces_free=Coalesce(Subquery(pieces, output_field=IntegerField()), Value(0)))
    return counted if least <= 0 else counted.filter(pieces_free__gte=least)


def item_of(dealer: Dealer, number: int) -> StockItem:
    """This dealer's stock item. Raises UnknownStockItem, for another dealer's too."""
    found = items_of(dealer).filter(pk=number).first()
    if found is None:
        raise UnknownStockItem("There is no such stock item of yours.")
    return found


def add_item(row: Row, owner: Owner) -> StockItem:
    """Raises every problem of the body, Taken for a part and size that lies at that branch already."""
    item, problems = StockItem(dealer=owner.dealer), Gathered()
    with problems.each():
        item.branch = branch_meant(owner.dealer, row["branch"])
    with problems.each():
        item.part = part_of(row["part"])
    with problems.each():
        item.content = content_of(row.get("content"))
    _state(item, row, problems)
    with told("stock_item.created", item, owner, taken=ALREADY):
        item.save(force_insert=True)
        _count(item, row.get("batches", ()))
    return item_of(owner.dealer, item.pk)


def change_item(item: StockItem, patch: Row, owner: Owner) -> StockItem:
    """Raises every problem of the body, Stale where the item or a count of it has changed since it was read."""
    before = version_of(item)
    _state(item, patch, Gathered())
    with told("stock_item.changed", item, owner):
        move_on(item)
        if _digest(StockBatch.objects.filter(item=item)) != before.partition(".")[2]:
            raise Stale("Its pieces have changed since it was read; read it again and send the new ETag in If-Match.")
        item.save()
        if "batches" in patch:
            _count(item, patch["batches"])
    return item_of(owner.dealer, item.pk)


def remove_item(item: StockItem, owner: Owner) -> None:
    """Raises InUse while pieces of it are promised or on their way, or have been."""
    why = "Pieces of it are promised or on their way, or were; count it down to nothing instead."
    if item.incoming.exists() or StockBatch.objects.filter(item=item, reserved__gt=0).exists():
        raise InUse(why)
    with told("stock_item.removed", item, owner):
        removed(StockItem(pk=item.pk, version=item.version), why)


def version_of(item: StockItem) -> str:
    """What its ETag goes by: the item's own version, and what lies there."""
    return f"{item.version}.{_digest(item.batches.all())}"


def _digest(batches: Any) -> str:
    said = sorted((one.pk, one.on_hand, one.reserved, str(one.expires)) for one in batches)
    return hashlib.sha256(repr(said).encode()).hexdigest()[:10]


def item_document(row: StockItem, on: date) -> dict[str, Any]:
    value = item_value(row)
    return {
        "id": row.pk,
        "branch": row.branch.code,
        "part": part_document(row.part),
        "content": content_document(row.content),
        "counter_price": money_document(row.counter_price, row.counter_currency),
        "ages": row.ages,
        "reorder_point": row.reorder_point,
        "as_of": on.isoformat(),
        "on_hand": sum(batch.on_hand for batch in row.batches.all()),
        "reserved": sum(batch.reserved for batch in row.batches.all()),
        "free": value.free(on),
        "incoming": sum(entry.unassigned for entry in value.incoming),
        "batches": [_batch_document(batch, row, on) for batch in sorted(row.batches.all(), key=lambda one: one.pk)],
        "on_order": [_incoming_document(entry) for entry in sorted(row.incoming.all(), key=lambda one: one.pk)],
    }


def _batch_document(batch: StockBatch, row: StockItem, on: date) -> dict[str, Any]:
    value = Batch(batch.bin, batch.on_hand, min(batch.reserved, batch.on_hand), batch.date_code, batch.expires)
    why = value.refusal(on, ages=row.ages)
    return {
        "bin": batch.bin,
        "date_code": None if batch.date_code is None else batch.date_code.isoformat(),
        "expires": None if batch.expires is None else batch.expires.isoformat(),
        "on_hand": batch.on_hand,
        "reserved": batch.reserved,
        "never_free": None if why is None else why.value,
        "overpromised": max(0, batch.reserved - batch.on_hand),
    }


def _incoming_document(entry: Any) -> dict[str, Any]:
    return {
        "quantity": entry.quantity,
        "assigned": entry.assigned,
        "promised": span_document(entry.promised_earliest, entry.promised_latest),
        "supplier": None if entry.supplier is None else entry.supplier.code,
    }


def _state(item: StockItem, row: Row, problems: Gathered) -> None:
    for name in ("ages", "reorder_point"):
        if name in row:
            setattr(item, name, row[name])
    with problems.each():
        if "counter_price" in row:
            item.counter_price, item.counter_currency = ticks_of(row["counter_price"], "/counter_price")
    with problems.each():
        _refuse_twice(row.get("batches", ()))
    problems.tell()


def _refuse_twice(batches: Sequence[Row]) -> None:
    seen: set[tuple[Any, ...]] = set()
    for place, entry in enumerate(batches):
        where = entry.get("bin", ""), entry.get("date_code")
        if where in seen:
            words = "This bin and date code stand in the list already; count them once."
            raise Invalid(words, pointer=f"/batches/{place}", code="stated_twice")
        seen.add(where)


def _count(item: StockItem, batches: Sequence[Row]) -> None:
    """Let the item lie as it was counted; a place that is not listed holds none. Promises stay as they are."""
    there = {(batch.bin, batch.date_code): batch for batch in StockBatch.objects.filter(item=item)}
    for entry in batches:
        place = entry.get("bin", ""), entry.get("date_code")
        known = there.pop(place, None)
        batch = known or StockBatch(item=item, bin=place[0], date_code=place[1])
        batch.on_hand, batch.expires = entry["on_hand"], entry.get("expires", batch.expires)
        if known is None:
            batch.save(force_insert=True)
        else:  # the promises may be moved at this moment, so nothing is written over them
            batch.save(update_fields=["on_hand", "expires"])
    StockBatch.objects.filter(pk__in=[batch.pk for batch in there.values()]).update(on_hand=0)
