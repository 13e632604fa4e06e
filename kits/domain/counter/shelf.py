"""One part as a counter sees it today: its pieces here, those of other branches, and when an order would arrive.

What is not recorded is unknown: a part without a stock item is not a part of which none is there.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, tzinfo
from decimal import Decimal

from catalog.domain.parts import PartKey
from kits.domain.calendars import CalendarEnds, LastOrder
from kits.domain.containers import MICROLITRES
from kits.domain.money import Money
from kits.domain.order_plan.question import Elsewhere, Offer
from kits.domain.stock import Incoming, NotTaken, StockItem, Taken, order_quantity, take


@dataclass(frozen=True, slots=True)
class Counter:
    """Where and when it is asked: `today` is the branch's day, on which pieces handed out now would be fitted."""

    name: str
    now: datetime
    today: date
    zone: tzinfo


@dataclass(frozen=True, slots=True)
class Offered:
    """A supplier's offer by that supplier's name; `lacks` asks for what keeps its arrival from being told."""

    offer: Offer
    supplier: str
    lacks: str | None = None
    returnable: bool | None = None


@dataclass(frozen=True, slots=True)
class OnShelf:
    """One part in one size at the branch; `content` is the microlitres in a container, None for pieces.

    `item` is None where nothing is recorded of it here, `price` where no counter price is. `overpromised` is whether
    more of it is promised than was there at the last count. `needed` is None where nobody knows how many.
    """

    part: PartKey
    needed: int | None = None
    content: int | None = None
    item: StockItem | None = None
    elsewhere: tuple[Elsewhere, ...] = ()
    offers: tuple[Offered, ...] = ()
    price: Money | None = None
    overpromised: bool = False

    @property
    def litres(self) -> str | None:
        """What a container holds, as a decimal text."""
        if self.content is None:
            return None
        text = f"{Decimal(self.content) / MICROLITRES:f}"
        return text.rstrip("0").rstrip(".") if "." in text else text

    @property
    def shown(self) -> str:
        number = " ".join(self.part)
        return number if self.litres is None else f"{number} in containers of {self.litres} L"

    def free(self, today: date) -> int | None:
        return None if self.item is None else self.item.free(today)

    def lies_free(self, today: date) -> bool:
        return bool(self.free(today))

    def enough(self, today: date) -> bool | None:
        """Whether what is free covers the need; None where either is not known."""
        free = self.free(today)
        return None if free is None or self.needed is None else free >= self.needed

    def short(self, today: date) -> int | None:
        """Pieces that are needed and not free now. What is on its way is told beside it: it is not here yet."""
        free = self.free(today)
        return None if free is None or self.needed is None else max(0, self.needed - free)

    def places(self, today: date) -> tuple[tuple[Taken, ...], tuple[NotTaken, ...]]:
        """Where the free pieces lie, oldest date code first, and which pieces are passed over and why."""
        if self.item is None:
            return (), ()
        found = take(self.item, self.item.on_hand, today)
        return found.taken, found.passed_over

    @property
    def incoming(self) -> tuple[Incoming, ...]:
        """On its way and meant for no job yet, the earliest first and what nobody promised a day for last."""
        coming = self.item.incoming if self.item else ()
        return tuple(
            sorted((one for one in coming if one.unassigned), key=lambda one: (one.latest is None, one.latest))
        )

    def wants_order(self, today: date) -> bool:
        """Whether an order has to be spoken of: it is short, or it cannot be told that it is not."""
        return not self.enough(today)


@dataclass(frozen=True, slots=True)
class Arrival:
    """The earliest arrival of an order placed now. `last` is until when it may be placed to arrive that day.

    `pieces` is what would be ordered, in whole packs; None where it is not known how many are short. `back_order` is
    the day from which the supplier's promise runs.
    """

    by: Offered
    on: date
    last: LastOrder | None = None
    pieces: int | None = None
    back_order: date | None = None


@dataclass(frozen=True, slots=True)
class OrderedNow:
    """`arrival` is None where nobody can tell; `missing` asks for what would tell it, of any supplier."""

    arrival: Arrival | None
    missing: tuple[str, ...] = ()


def ordered_now(shelf: OnShelf, counter: Counter) -> OrderedNow:
    """When it would be here if it were ordered now, from whichever supplier is quickest."""
    if not shelf.offers:
        asks = f"Which supplier has {shelf.shown}, at what price and lead time? Nothing is recorded."
        return OrderedNow(None, (asks,))
    told = [_arrives(one, counter.now) for one in shelf.offers]
    known = [(day, one.by) for one in told if (day := one.on) is not None]
    missing = tuple(dict.fromkeys(one.asks for one in told if one.asks))
    if not known:
        return OrderedNow(None, missing)
    day, best = min(known, key=lambda pair: (pair[0], pair[1].offer.supplier, pair[1].offer.id))
    arrival = Arrival(best, day, pieces=_pieces(shelf.short(counter.today), best.offer))
    if best.offer.promise is not None:
        return OrderedNow(replace(arrival, back_order=best.offer.promise.earliest), missing)
    return OrderedNow(replace(arrival, last=best.offer.last_order(day, counter.zone)), missing)


@dataclass(frozen=True, slots=True)
class _Told:
    by: Offered
    on: date | None = None
    asks: str = ""


def _arrives(one: Offered, now: datetime) -> _Told:
    try:
        day = one.offer.arrives(now)
    except CalendarEnds as ends:
        return _Told(one, asks=ends.message)
    if day is None:
        return _Told(one, asks=one.lacks or f"When does {one.supplier} deliver {' '.join(one.offer.part)}?")
    return _Told(one, day)


def _pieces(short: int | None, offer: Offer) -> int | None:
    return order_quantity(short, offer.pack, offer.minimum) if short else None


def core_charges(shelves: Iterable[OnShelf]) -> tuple[tuple[OnShelf, Offered], ...]:
    """Every core charge that is recorded; one of nothing is none to be paid."""
    return tuple((shelf, one) for shelf in shelves for one in shelf.offers if one.offer.core and one.offer.core.ticks)
