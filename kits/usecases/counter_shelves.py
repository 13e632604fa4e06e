"""The shelf, prices and suppliers of all parts of one counter answer, loaded together and given out part by part."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Any

from catalog.domain.parts import PartKey
from kits.domain.counter.shelf import Counter, Offered, OnShelf
from kits.domain.money import Money
from kits.domain.order_plan.question import Offer
from kits.domain.stock import StockItem
from kits.loading.counter import counter_prices
from kits.loading.stock import PartSize, prices
from kits.models import SupplierPrice
from kits.usecases.branch_supply import BranchSupply, branch_supply, overdue, when_else
from service.operations.models import Branch

Name = Mapping[str, Any]  # a part as answers name one: id, maker, number, name


def key_of(part: Name) -> PartKey:
    return part["maker"], part["number"]


class Shelves:
    """Of one branch at one moment: the statements are those of the loading, and none is made when it is asked."""

    def __init__(self, branch: Branch, counter: Counter, parts: Collection[int]) -> None:
        self.counter = counter
        self._supply = branch_supply(branch, parts, fitted_on=counter.today, today=counter.today)
        self._prices = counter_prices(branch, parts)
        self._rows = {str(row.pk): row for row in prices(branch.dealer, parts)}
        self._items = {item.part: item for item in self._supply.stock}

    def of(self, part: Name, needed: int | None) -> tuple[OnShelf, ...]:
        """The part by the piece, or in each size of container it is known in; how many of those is not asked here."""
        key = key_of(part)
        sizes = [volume for volume in self._supply.volumes if volume.part == key]
        if sizes and key not in self._items:
            return tuple(
                self._shelf(part, (None, size.content), size.stock if self._lies(size.stock) else None, size.offers)
                for size in sizes
            )
        offers = [offer for offer in self._supply.offers if offer.part == key]
        return (self._shelf(part, (needed, None), self._items.get(key), offers),)

    def _lies(self, item: StockItem) -> bool:
        return bool(item.batches or item.incoming)

    def _shelf(
        self, part: Name, size: tuple[int | None, int | None], item: StockItem | None, offers: Sequence[Offer]
    ) -> OnShelf:
        (needed, content), key = size, key_of(part)
        return OnShelf(
            part=key,
            needed=needed,
            content=content,
            item=item,
            elsewhere=tuple(one for one in self._supply.elsewhere if one.part == key and content is None),
            offers=tuple(self._offered(offer) for offer in offers),
            price=self._price((part["id"], content)),
            overpromised=key in self._supply.overpromised,
        )

    def _price(self, size: PartSize) -> Money | None:
        return self._prices.get(size)

    def _offered(self, offer: Offer) -> Offered:
        row = self._rows[offer.id]
        lacks = None if offer.delivery or offer.promise else _lacking(row, self._supply, self.counter.today)
        return Offered(offer, row.supplier.name, lacks, row.returnable)


def _lacking(row: SupplierPrice, supply: BranchSupply, today: date) -> str:
    """The one fact without which nobody can say when this supplier delivers this part."""
    supplier = row.supplier.name
    if overdue(row, today):
        return when_else(row)
    if row.lead_days is None:
        return f"How many working days does {supplier} take for {row.part.shown}?"
    if row.supplier.calendar_id is None:
        return f"On which days does {supplier} work? Record its calendar."
    if supply.calendar is None:
        return "On which days does the branch work? Record its calendar, or its closed dates of the year."
    return f"The working days of {supplier} and of the branch are known for no day in common; record this year's."
