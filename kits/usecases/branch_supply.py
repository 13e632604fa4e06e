"""What a branch can use and buy of some parts: its shelf, those of other branches, and offers with their delivery."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from catalog.domain.parts import PartKey
from kits.domain.calendars import Calendar, CalendarEnds, Delivery
from kits.domain.money import Money
from kits.domain.order_plan.question import Elsewhere, Offer, Promise, Supplier
from kits.domain.stock import StockItem, still_promised
from kits.domain.supply_prices import pack_price
from kits.loading.calendars import HouseDays, calendars
from kits.loading.stock import Shelf, prices, shelves
from kits.models import Supplier as SupplierRow
from kits.models import SupplierPrice
from kits.usecases.working_days import calendar_from
from service.operations.models import Branch


@dataclass(frozen=True, slots=True)
class Volume:
    """Containers of one size of a part that is supplied by volume; `content` in microlitres."""

    part: PartKey
    content: int
    stock: StockItem
    offers: tuple[Offer, ...]


@dataclass(frozen=True, slots=True)
class BranchSupply:
    """As an order plan and a counter answer take it. `stock` and `offers` are of parts supplied by the piece.

    `calendar` is the branch's, None where it is not known; `missing` asks for what keeps a delivery from being told.
    `overpromised` are parts of which more is promised here than was there at the last count.
    """

    stock: tuple[StockItem, ...]
    offers: tuple[Offer, ...]
    volumes: tuple[Volume, ...]
    suppliers: tuple[Supplier, ...]
    elsewhere: tuple[Elsewhere, ...]
    calendar: Calendar | None
    missing: tuple[str, ...]
    overpromised: tuple[PartKey, ...] = ()

    def item(self, part: PartKey) -> StockItem:
        return next((item for item in self.stock if item.part == part), StockItem(part))


def branch_supply(branch: Branch, parts: Collection[int], *, fitted_on: date, today: date) -> BranchSupply:
    """All of it for these parts (their ids) in eight statements, however many they are.

    `fitted_on` is the day for which the pieces of other branches are called free. `today` is the branch's: what was
    promised for a day before it has no promise. Raises Invalid for a calendar whose country has no known public
    holidays.
    """
    found, asked = shelves(branch.dealer, parts, today), prices(branch.dealer, parts)
    houses, own = calendars({row.supplier.calendar_id for row in asked}, branch)
    delivering = _Delivering(houses, None if own is None else calendar_from(own), branch.name, today)
    offers = [(row, _offer(row, delivering)) for row in asked]
    here = [shelf for shelf in found if shelf.branch.pk == branch.pk]
    return BranchSupply(
        stock=tuple(shelf.item for shelf in here if shelf.size[1] is None),
        offers=tuple(offer for row, offer in offers if row.content is None),
        volumes=_volumes(here, offers),
        suppliers=tuple({row.supplier_id: _supplier(row.supplier) for row in asked}.values()),
        elsewhere=_elsewhere(found, branch, fitted_on),
        calendar=delivering.branch,
        missing=tuple(dict.fromkeys(delivering.missing)),
        overpromised=tuple(dict.fromkeys(shelf.item.part for shelf in here if shelf.beyond)),
    )


class _Delivering:
    """Works out each supplier's delivery once, and keeps what is missing for it."""

    def __init__(self, houses: Mapping[Any, HouseDays], branch: Calendar | None, name: str, today: date) -> None:
        self.branch, self._houses, self._today = branch, houses, today
        self._joined: dict[Any, Calendar | None] = {}
        self.missing: list[str] = []
        if branch is None:
            self.missing.append(
                f"On which days does {name} work? Record its calendar, or its closed dates of the year."
            )

    def of(self, row: SupplierPrice) -> Delivery | None:
        supplier, part = row.supplier, row.part.shown
        if overdue(row, self._today):
            self.missing.append(when_else(row))
            return None
        if row.lead_days is None:
            if row.promised_latest is None:
                self.missing.append(f"How many working days does {supplier.name} take for {part}?")
            return None
        if supplier.pk not in self._joined:
            self._joined[supplier.pk] = self._both(supplier)
        days = self._joined[supplier.pk]
        return None if days is None else Delivery(row.lead_days, days, ZoneInfo(supplier.zone), supplier.cut_off)

    def promise(self, row: SupplierPrice) -> Promise | None:
        if row.promised_earliest is None or row.promised_latest is None or overdue(row, self._today):
            return None
        return Promise(row.promised_earliest, row.promised_latest)

    def _both(self, supplier: SupplierRow) -> Calendar | None:
        if supplier.calendar_id is None:
            self.missing.append(f"On which days does {supplier.name} work? Record its calendar.")
            return None
        if self.branch is None:
            return None
        try:
            return self.branch.and_with(calendar_from(self._houses[supplier.calendar_id]))
        except CalendarEnds as error:
            self.missing.append(error.message)
            return None


def overdue(row: SupplierPrice, today: date) -> bool:
    """A back-order that was to be over by a day that is past: nobody knows when it comes, nor that it is over."""
    return row.promised_latest is not None and still_promised(row.promised_latest, today) is None


def when_else(row: SupplierPrice) -> str:
    return f"{row.supplier.name} promised {row.part.shown} by {row.promised_latest}, which is past: when does it come?"


def _offer(row: SupplierPrice, delivering: _Delivering) -> Offer:
    return Offer(
        id=str(row.pk),
        supplier=row.supplier.code,
        part=(row.part.maker.code, row.part.number),
        pack_price=pack_price(Money(row.price, row.currency), row.price_for, row.pack),
        pack=row.pack,
        minimum=row.minimum,
        delivery=delivering.of(row),
        promise=delivering.promise(row),
        core=None if row.core_charge is None else Money(row.core_charge, row.currency),
    )


def _supplier(row: SupplierRow) -> Supplier:
    charge, least = (
        None if ticks is None else Money(ticks, row.currency) for ticks in (row.order_charge, row.minimum_value)
    )
    return Supplier(row.code, charge, least)


def _volumes(here: list[Shelf], offers: list[tuple[SupplierPrice, Offer]]) -> tuple[Volume, ...]:
    """Each size that lies here or is offered, the smallest first."""
    items = {(shelf.item.part, shelf.size[1]): shelf.item for shelf in here}
    asked: dict[tuple[PartKey, int | None], list[Offer]] = {}
    for row, offer in offers:
        asked.setdefault((offer.part, row.content), []).append(offer)
    sizes = sorted((part, content) for part, content in {**items, **asked} if content is not None)
    return tuple(
        Volume(part, content, items.get((part, content), StockItem(part)), tuple(asked.get((part, content), ())))
        for part, content in sizes
    )


def _elsewhere(found: tuple[Shelf, ...], branch: Branch, fitted_on: date) -> tuple[Elsewhere, ...]:
    others = (shelf for shelf in found if shelf.branch.pk != branch.pk and shelf.size[1] is None)
    free = ((shelf, shelf.item.free(fitted_on)) for shelf in others)
    return tuple(Elsewhere(shelf.branch.code, shelf.item.part, count) for shelf, count in free if count)
