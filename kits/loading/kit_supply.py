"""What a branch has of the parts of a kit, with the rows that a reservation is made on, and how they are shipped."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from catalog.domain.parts import PartKey
from catalog.models import Customer, Part, PartContent, Status
from kits.domain.packing import SheetSent as Sent
from kits.domain.stock import Batch, Incoming, StockItem, still_promised
from kits.domain.supply_prices import counted
from kits.loading.stock import PartSize, prices
from kits.models import Incoming as IncomingRow
from kits.models import PartHandling, SheetSent, StockBatch, SupplierPrice
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
    """What is recorded at the branch of these parts, in three statements. What is not recorded is not known.

    What is on its way and was promised for a day before `today` has no promise.
    """
    items = {"item__branch": branch, "item__part__in": sorted(parts)}
    batches: dict[int, list[Any]] = defaultdict(list)
    columns = ("item", "bin", "on_hand", "reserved", "date_code", "expires", "pk")
    for item, *batch in StockBatch.objects.filter(**items).order_by("pk").values_list(*columns):
        batches[item].append(batch)
    incoming: dict[int, list[Incoming]] = defaultdict(list)
    promised = ("item", "quantity", "promised_latest", "assigned")
    for item, pieces, latest, assigned in IncomingRow.objects.filter(**items).order_by("pk").values_list(*promised):
        incoming[item].append(Incoming(pieces, still_promised(latest, today), assigned))
    rows = ItemRow.objects.filter(branch=branch, part__in=sorted(parts)).order_by("pk")
    found = rows.values_list("pk", "part", "content", "ages", "part__maker__code", "part__number")
    return {
        (part, content): _shelf((maker, number), batches[pk], tuple(incoming[pk]), ages=ages)
        for pk, part, content, ages, maker, number in found
    }


def _shelf(part: PartKey, rows: Sequence[Any], incoming: tuple[Incoming, ...], *, ages: bool) -> KitShelf:
    batches = []
    for place, on_hand, reserved, date_code, expires, _ in rows:
        held = min(reserved, on_hand)
        batches.append((Batch(place, on_hand, held, date_code, expires), reserved - held))
    item = StockItem(part, counted(batches, ages=ages), incoming, ages)
    return KitShelf(item, {(place, date_code): pk for place, _, _, date_code, _, pk in rows})


def handling_of(dealer: Dealer, parts: Collection[int]) -> dict[int, PartHandling]:
    """What is recorded of shipping and fitting these parts, in one statement."""
    rows = PartHandling.objects.visible_to(dealer).filter(part__in=sorted(parts))
    return {row.part_id: row for row in rows}


def sheets_sent(customer: Customer | None, parts: Collection[int]) -> tuple[Sent, ...]:
    """The safety sheets of these parts that the customer has had; one statement, or none without a customer."""
    if customer is None:
        return ()
    rows = SheetSent.objects.filter(customer=customer, part__in=sorted(parts))
    found = rows.values_list("part__maker__code", "part__number", "revision")
    return tuple(Sent(str(customer.pk), (maker, number), revision) for maker, number, revision in found)


@dataclass(frozen=True, slots=True)
class BoxedKit:
    """A boxed kit of the catalogue with what it holds: pieces by part."""

    part: Part
    holds: Mapping[int, int]


def boxed_kits(parts: Collection[int]) -> tuple[BoxedKit, ...]:
    """The living kits that hold any of these parts, each with all that it holds; two statements, or one."""
    holding = PartContent.objects.filter(part__in=sorted(parts), container__status=Status.ACTIVE)
    containers = sorted(set(holding.values_list("container", flat=True)))
    if not containers:
        return ()
    rows = PartContent.objects.filter(container__in=containers).select_related("container__maker")
    holds: dict[int, dict[int, int]] = defaultdict(dict)
    boxes: dict[int, Any] = {}
    for row in rows.defer("container__facts").order_by("pk"):
        holds[row.container_id][row.part_id] = row.quantity
        boxes[row.container_id] = row.container
    return tuple(BoxedKit(box, holds[number]) for number, box in boxes.items())


@dataclass(frozen=True, slots=True)
class KitSupply:
    """What suppliers ask for the parts of a kit, and for the boxed kits that hold any of them."""

    boxes: tuple[BoxedKit, ...]
    prices: tuple[SupplierPrice, ...]


def kit_supply(dealer: Dealer, parts: Collection[int]) -> KitSupply:
    """Two or three statements."""
    boxes = boxed_kits(parts)
    return KitSupply(boxes, prices(dealer, sorted({*parts, *(box.part.pk for box in boxes)})))
