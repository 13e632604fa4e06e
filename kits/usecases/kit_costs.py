"""What a kit costs at suppliers' prices: by line, in all by currency, and as a boxed kit against its parts loose."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from kits.domain.kit_or_loose import LoosePart, kit_or_loose
from kits.domain.money import Money, Rounding, line_total, totals_by_currency
from kits.loading.kit_supply import BoxedKit, PartPrice
from kits.loading.stock import PartSize
from kits.usecases.kit_shelves import UseStock, money_document
from kits.usecases.kit_taking import piece_price


def prices_by_size(rows: Iterable[PartPrice], currency: str) -> dict[PartSize, Money]:
    """Of each part and size the least that a supplier asks, in the branch's currency where any does."""
    found: dict[PartSize, Money] = {}
    for row in rows:
        key, price = (row.part_id, row.content), piece_price(row)
        known = found.get(key)
        if known is None or _rank(price, currency) < _rank(known, currency):
            found[key] = price
    return found


def _rank(price: Money, currency: str) -> tuple[bool, str, int]:
    return price.currency != currency, price.currency, price.ticks


def totals(uses: Sequence[UseStock], prices: Mapping[PartSize, Money]) -> dict[str, Any]:
    """Each line rounded as its currency is paid, then summed by currency; lines without a price are named."""
    priced = [(one, prices.get((one.use.part_id, one.use.content))) for one in uses]
    amounts = [line_total(price, one.use.quantity) for one, price in priced if price is not None]
    return {
        "totals": [money_document(amount) for amount in totals_by_currency(amounts)],
        "rounding": Rounding.BY_LINE.value,
        "unpriced": [
            {"line": one.use.line.line, "part": {"maker": one.use.part.maker.code, "number": one.use.part.number}}
            for one, price in priced
            if price is None
        ],
    }


def boxed(kits: Iterable[BoxedKit], uses: Sequence[UseStock], prices: Mapping[PartSize, Money]) -> list[dict[str, Any]]:
    """Every priced boxed kit that holds nothing the kit does not take; the shop chooses."""
    wanted = {one.use.part_id: one for one in uses if one.use.content is None}
    found = []
    for kit in kits:
        price = prices.get((kit.id, None))
        fits = all(number in wanted and wanted[number].use.quantity >= count for number, count in kit.holds.items())
        if price is not None and fits:
            found.append(_against_loose(kit, price, wanted, prices))
    return found


def _against_loose(
    kit: BoxedKit, price: Money, wanted: Mapping[int, UseStock], prices: Mapping[PartSize, Money]
) -> dict[str, Any]:
    parts = []
    for number, count in kit.holds.items():
        one, loose = wanted[number], prices.get((number, None))
        same = loose if loose is not None and loose.currency == price.currency else None
        free = 0 if one.shelf is None else one.shelf.item.free(one.fitted_on) + sum(r.quantity for r in one.held)
        key = (one.use.part.maker.code, one.use.part.number)
        parts.append(LoosePart(key, count, same, free, short=bool(one.short)))
    against = kit_or_loose(price, tuple(parts))
    return {
        "part": {"id": kit.id, "maker": kit.key[0], "number": kit.key[1], "name": kit.name},
        "price": money_document(price),
        "loose": None if against.loose is None else money_document(against.loose),
        "to_buy": None if against.to_buy is None else money_document(against.to_buy),
        "loose_saves": None if against.loose_saves is None else money_document(against.loose_saves),
        "whole": against.kit_whole,
        "unpriced": [{"maker": part[0], "number": part[1]} for part in against.unpriced],
    }
