"""What a branch has of the parts of a kit, with the rows that a reservation is made on, and how they are shipped."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from typing import Any
from uuid import UUID

from catalog.domain.parts import PartKey
from catalog.loading.written import STATEMENTS_KEPT, Written, WrittenRows, written, written_rows
from catalog.models import Customer, PartContent, Status
from kits.domain.packing import SheetSent as Sent
from kits.domain.stock import Batch, Incoming, StockItem, still_promised
from kits.domain.supply_prices import counted
from kits.loading.stock import PartSize
from kits.models import Allocation, Kit, PartHandling, SheetSent, SupplierPrice
from kits.models import Incoming as IncomingRow
from kits.models import StockItem as ItemRow
from service.operations.models import Branch, Dealer

Place = tuple[str, date | None]  # a bin and a date code


@dataclass(slots=True)
class KitShelf:
    """All of one part in one size at a branch; `batches` are the keys of its rows by their places."""

    item: StockItem
    batches: Mapping[Place, int]

    def promise(self, place: Place, pieces: int) -> None:
        """Count pieces as promised that have just been reserved."""
        self.item = replace(
            self.item,
            batches=tuple(
                replace(one, reserved=one.reserved + pieces) if (one.bin, one.date_code) == place else one
                for one in self.item.batches
            ),
        )


def kit_shelves(branch: Branch, parts: Collection[int], today: date) -> dict[PartSize, KitShelf]:
    """What is recorded at the branch of these parts, in two statements. What is not recorded is not known.

    What is on its way and was promised for a day before `today` has no promise.
    """
    if not parts:
        return {}
    asked = (branch.pk, *sorted(parts))
    incoming: dict[int, list[Incoming]] = defaultdict(list)
    for item, pieces, latest, assigned in _incoming(len(parts)).rows(*asked):
        incoming[item].append(Incoming(pieces, still_promised(latest, today), assigned))
    items: dict[int, tuple[Any, ...]] = {}
    batches: dict[int, list[Any]] = defaultdict(list)
    for pk, part, content, ages, maker, number, *batch in _items(len(parts)).rows(*asked):
        items[pk] = part, content, ages, (maker, number)
        if batch[-1] is not None:  # an item without batches has one row
            batches[pk].append(batch)
    return {
        (part, content): _shelf(key, batches[pk], tuple(incoming[pk]), ages=ages)
        for pk, (part, content, ages, key) in items.items()
    }


@lru_cache(maxsize=STATEMENTS_KEPT)
def _items(parts: int) -> Written:
    columns = ("pk", "part", "content", "ages", "part__maker__code", "part__number")
    batch = ("bin", "on_hand", "reserved", "date_code", "expires", "pk")
    rows = ItemRow.objects.filter(branch=0, part__in=range(parts)).order_by("pk", "batches__pk")
    return written(rows.values_list(*columns, *(f"batches__{column}" for column in batch)), 1 + parts)


@lru_cache(maxsize=STATEMENTS_KEPT)
def _incoming(parts: int) -> Written:
    rows = IncomingRow.objects.filter(item__branch=0, item__part__in=range(parts)).order_by("pk")
    return written(rows.values_list("item", "quantity", "promised_latest", "assigned"), 1 + parts)


def _shelf(part: PartKey, rows: Sequence[Any], incoming: tuple[Incoming, ...], *, ages: bool) -> KitShelf:
    batches = []
    for place, on_hand, reserved, date_code, expires, _ in rows:
        held = min(reserved, on_hand)
        batches.append((Batch(place, on_hand, held, date_code, expires), reserved - held))
    item = StockItem(part, counted(batches, ages=ages), incoming, ages)
    return KitShelf(item, {(place, date_code): pk for place, _, _, date_code, _, pk in rows})


def meant_for(kit: Kit, today: date) -> dict[int, int]:
    """What is on its way to each use of a kit: pieces, or containers' worth of shared ones, by the use; one statement.

    Only what is promised for the day before the service at the latest.
    """
    rows = Allocation.objects.filter(use__line__kit=kit, line__incoming__isnull=False)
    found: dict[int, int] = defaultdict(int)
    for row in rows.select_related("use", "line__incoming").order_by("pk"):
        incoming = row.line.incoming
        latest = None if incoming is None else still_promised(incoming.promised_latest, today)
        if latest is None or latest >= kit.fitted_on:
            continue
        shared = -(-row.volume // row.use.content) if row.volume and row.use.content else 0
        found[row.use_id] += row.open + shared
    return found


def handling_of(dealer: Dealer, parts: Collection[int]) -> dict[int, PartHandling]:
    """What is recorded of shipping and fitting these parts, in one statement, or none."""
    if not parts:
        return {}
    asked = sorted(set(parts))
    return {row.part_id: row for row in _handling(len(asked)).rows(dealer.pk, *asked)}


@lru_cache(maxsize=STATEMENTS_KEPT)
def _handling(parts: int) -> WrittenRows[PartHandling]:
    return written_rows(PartHandling.objects.filter(dealer=UUID(int=0), part__in=range(parts)), 1 + parts)


def sheets_sent(customer: Customer | None, parts: Collection[int]) -> tuple[Sent, ...]:
    """The safety sheets of these parts that the customer has had; one statement, or none without either."""
    if customer is None or not parts:
        return ()
    rows = SheetSent.objects.filter(customer=customer, part__in=sorted(parts))
    found = rows.values_list("part__maker__code", "part__number", "revision")
    return tuple(Sent(str(customer.pk), (maker, number), revision) for maker, number, revision in found)


@dataclass(frozen=True, slots=True)
class BoxedKit:
    """A boxed kit of the catalogue with what it holds: pieces by part."""

    id: int
    key: PartKey
    name: str
    holds: Mapping[int, int]


def boxed_kits(parts: Collection[int]) -> tuple[BoxedKit, ...]:
    """The living kits that hold any of these parts, each with all that it holds; one statement, or none."""
    if not parts:
        return ()
    holds: dict[int, dict[int, int]] = defaultdict(dict)
    boxes: dict[int, tuple[PartKey, str]] = {}
    for box, maker, number, name, part, pieces in _boxes(len(parts)).rows(*sorted(parts)):
        holds[box][part] = pieces
        boxes[box] = (maker, number), name
    return tuple(BoxedKit(box, key, name, holds[box]) for box, (key, name) in boxes.items())


@lru_cache(maxsize=STATEMENTS_KEPT)
def _boxes(parts: int) -> Written:
    holding = PartContent.objects.filter(part__in=range(parts)).values("container")
    rows = PartContent.objects.filter(container__in=holding).filter(container__status=Status.ACTIVE).order_by("pk")
    box = ("container", "container__maker__code", "container__number", "container__name")
    return written(rows.values_list(*box, "part", "quantity"), parts)


@dataclass(frozen=True, slots=True)
class PartPrice:
    """What a supplier asks for so many pieces, or containers of `content` microlitres, in ten-thousandths."""

    part_id: int
    key: PartKey
    content: int | None
    price: int
    currency: str
    price_for: int


def part_prices(dealer: Dealer, parts: Collection[int]) -> tuple[PartPrice, ...]:
    """What suppliers who are not withdrawn ask for these parts, in one statement, or none."""
    if not parts:
        return ()
    rows = _prices(len(parts)).rows(dealer.pk, *sorted(parts))
    return tuple(PartPrice(part, (maker, number), *price) for part, maker, number, *price in rows)


@lru_cache(maxsize=STATEMENTS_KEPT)
def _prices(parts: int) -> Written:
    # One filter after the other: the values are given in this order, and Django sorts the names of a single one.
    rows = SupplierPrice.objects.filter(supplier__dealer=UUID(int=0)).filter(part__in=range(parts))
    rows = rows.filter(supplier__status="active")
    columns = ("part", "part__maker__code", "part__number", "content", "price", "currency", "price_for")
    return written(rows.order_by("supplier__code", "pk").values_list(*columns), 1 + parts)


@dataclass(frozen=True, slots=True)
class KitSupply:
    """What suppliers ask for the parts of a kit, and for the boxed kits that hold any of them."""

    boxes: tuple[BoxedKit, ...]
    prices: tuple[PartPrice, ...]


def kit_supply(dealer: Dealer, parts: Collection[int]) -> KitSupply:
    """Two statements."""
    boxes = boxed_kits(parts)
    return KitSupply(boxes, part_prices(dealer, {*parts, *(box.id for box in boxes)}))
