"""Shelves, prices, offers and ages as a counter answer shows them, in plain values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any

from catalog.usecases.answers import instant
from kits.domain.calendars import LastOrder
from kits.domain.counter.offering import Age, Feed
from kits.domain.counter.shelf import Arrival, Counter, Offered, OnShelf, OrderedNow, core_charges, ordered_now
from kits.domain.counter.words import order_words, passed_over_words, shelf_words
from kits.domain.money import Money, Rounding, line_total, totals_by_currency

NOT_AN_OFFER = "Not offered here, so no price is given."


def money_document(amount: Money | None) -> dict[str, str] | None:
    return None if amount is None else {"amount": amount.amount, "currency": amount.currency}


def stock_document(part: Mapping[str, Any], shelf: OnShelf, counter: Counter) -> dict[str, Any]:
    taken, passed = shelf.places(counter.today)
    return {
        "part": dict(part),
        "content": _content(shelf),
        "needed": shelf.needed,
        "recorded": shelf.item is not None,
        "on_hand": None if shelf.item is None else shelf.item.on_hand,
        "reserved": None if shelf.item is None else shelf.item.reserved,
        "free": shelf.free(counter.today),
        "short": shelf.short(counter.today),
        "bins": [
            {"bin": one.bin, "date_code": one.date_code and one.date_code.isoformat(), "quantity": one.quantity}
            for one in taken
        ],
        "passed_over": [
            {"bin": one.bin, "quantity": one.quantity, "why": one.why.value, "text": passed_over_words(one)}
            for one in passed
        ],
        "overpromised": shelf.overpromised,
        "elsewhere": [{"branch": one.branch, "free": one.free} for one in shelf.elsewhere],
        "incoming": [
            {"quantity": one.unassigned, "arrives_by": one.latest and one.latest.isoformat()} for one in shelf.incoming
        ],
        "if_ordered_now": _ordered(ordered_now(shelf, counter), counter) if shelf.wants_order(counter.today) else None,
        "text": shelf_words(shelf, counter),
    }


def price_document(part: Mapping[str, Any], shelf: OnShelf, *, offered: bool) -> dict[str, Any]:
    """What it costs at the counter, packs and core charges beside it; no amount of what is not offered."""
    price = shelf.price if offered else None
    known = price is not None and shelf.needed is not None
    return {
        "part": dict(part),
        "content": _content(shelf),
        "each": money_document(price),
        "quantity": shelf.needed,
        "line": money_document(line_total(price, shelf.needed) if price and shelf.needed and known else None),
        "packs": [
            {"supplier": one.supplier, "pack": one.offer.pack, "minimum": one.offer.minimum} for one in shelf.offers
        ],
        "core_charges": [_core(one) for one in shelf.offers] if offered else [],
        "text": _price_words(shelf) if offered else NOT_AN_OFFER,
    }


def totals_document(shelves: Sequence[OnShelf]) -> dict[str, Any]:
    """All parts together, one sum a currency; what has no price is named and in no sum."""
    lines = [(shelf, _line(shelf)) for shelf in shelves]
    return {
        "totals": [money_document(one) for one in totals_by_currency(line for _, line in lines if line is not None)],
        "rounding": Rounding.BY_LINE.value,
        "unpriced": [shelf.shown for shelf, line in lines if line is None],
    }


def age_document(
    stock: Age, prices: Age, counter: Counter, *, catalogue_version: int, decided_now_at: int
) -> dict[str, Any]:
    return {
        "asked_at": instant(counter.now),
        "stock": _heard(stock),
        "prices": _heard(prices),
        "check_catalogue_version": catalogue_version,
        "others_catalogue_version": decided_now_at,
    }


def _heard(age: Age) -> dict[str, Any]:
    feed: Feed | None = age.as_of
    return {
        "stale": age.stale,
        "feed": None if feed is None else feed.name,
        "as_of": None if feed is None else feed.supplied_on.isoformat(),
        "applied_at": None if feed is None else instant(feed.applied_at),
    }


def _line(shelf: OnShelf) -> Money | None:
    return None if shelf.price is None or shelf.needed is None else line_total(shelf.price, shelf.needed)


def _price_words(shelf: OnShelf) -> str:
    if shelf.price is None:
        return f"No counter price is recorded for {shelf.shown}; ask before you name one."
    words = f"{shelf.price.shown} {'a container' if shelf.content else 'each'}"
    charges = " and ".join(_charge_words(one) for _, one in core_charges((shelf,)))
    return f"{words}; core charge beside it: {charges}." if charges else f"{words}."


def _charge_words(one: Offered) -> str:
    return f"{one.offer.core.shown if one.offer.core else ''} ({one.supplier})"


def _core(one: Offered) -> dict[str, Any]:
    return {"supplier": one.supplier, "each": money_document(one.offer.core)}


def _ordered(found: OrderedNow, counter: Counter) -> dict[str, Any]:
    return {
        **_arrival(found.arrival),
        "missing": list(found.missing),
        "text": f"{order_words(found, counter)}.",
    }


def _arrival(arrival: Arrival | None) -> dict[str, Any]:
    if arrival is None:
        names = ("supplier", "arrives", "back_order_from", "order_by", "pieces", "pack", "minimum", "returnable")
        return dict.fromkeys(names)
    offer = arrival.by.offer
    return {
        "supplier": {"code": offer.supplier, "name": arrival.by.supplier},
        "arrives": arrival.on.isoformat(),
        "back_order_from": arrival.back_order and arrival.back_order.isoformat(),
        "order_by": None if arrival.last is None else _order_by(arrival.last),
        "pieces": arrival.pieces,
        "pack": offer.pack,
        "minimum": offer.minimum,
        "returnable": arrival.by.returnable,
    }


def _order_by(last: LastOrder) -> dict[str, Any]:
    cut_off: datetime | None = last.instant
    return {"day": last.day.isoformat(), "cut_off": None if cut_off is None else instant(cut_off)}


def _content(shelf: OnShelf) -> dict[str, str] | None:
    return None if shelf.litres is None else {"value": shelf.litres, "unit": "L"}


def shelves_shown(
    part: Mapping[str, Any], shelves: Iterable[OnShelf], counter: Counter, *, offered: bool
) -> dict[str, Any]:
    """The members `stock` and `price` of one part, an entry for each size it is known in."""
    each = tuple(shelves)
    return {
        "stock": [stock_document(part, shelf, counter) for shelf in each],
        "price": [price_document(part, shelf, offered=offered) for shelf in each],
    }
