"""What a counter asks of a branch beside its shelf: prices, what else of a category lies there, the files' age."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django.db.models import F, Max

from kits.domain.counter.offering import Feed
from kits.domain.money import Money
from kits.loading.stock import PartSize
from kits.models import ImportState, ImportTable, StockImport, StockItem
from service.operations.models import Branch, Dealer


def counter_prices(branch: Branch, parts: Collection[int]) -> dict[PartSize, Money]:
    """What one piece, or one container, costs at this branch, where that is recorded; one statement."""
    rows = StockItem.objects.visible_to(branch.dealer).filter(branch=branch, part__in=parts)
    priced = rows.filter(counter_price__isnull=False)
    return {
        (part, content): Money(ticks, currency)
        for part, content, ticks, currency in priced.values_list(
            "part_id", "content", "counter_price", "counter_currency"
        )
        if ticks is not None
    }


def lying_free(branch: Branch, category: str, *, but_for: Collection[tuple[str, str]]) -> list[dict[str, Any]]:
    """Parts of a category of which pieces lie at this branch unpromised, by maker and number; one statement.

    `but_for` are makers and numbers that are known already.
    """
    rows = StockItem.objects.visible_to(branch.dealer).filter(branch=branch, part__category=category)
    free = rows.filter(batches__on_hand__gt=F("batches__reserved")).order_by("part__maker__code", "part__number")
    found = free.values_list("part_id", "part__maker__code", "part__number", "part__name").distinct()
    return [
        {"id": number_id, "maker": maker, "number": number, "name": name}
        for number_id, maker, number, name in found
        if (maker, number) not in but_for
    ]


def feeds(dealer: Dealer) -> dict[ImportTable, tuple[Feed, ...]]:
    """The last applied file of each feed of stock and of prices, one statement."""
    applied = StockImport.objects.visible_to(dealer).filter(state=ImportState.APPLIED)
    rows = applied.values_list("table", "feed").annotate(at=Max("applied_at"), on=Max("supplied_on")).order_by("feed")
    found: dict[ImportTable, tuple[Feed, ...]] = {}
    for table, name, at, on in rows:
        found[ImportTable(table)] = (*found.get(ImportTable(table), ()), Feed(name, at, on))
    return found
