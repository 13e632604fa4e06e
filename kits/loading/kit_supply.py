"""What a branch has of the parts of a kit, with the rows that a reservation is made on, and how they are shipped."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from catalog.models import Customer, Part, PartContent, Status
from kits.domain.packing import SheetSent as Sent
from kits.domain.stock import Batch, Incoming, StockItem
from kits.domain.supply_prices import counted
from kits.loading.stock import PartSize
from kits.models import PartHandling, SheetSent
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


def kit_shelves(branch: Branch, parts: Collection[int]) -> dict[PartSize, KitShelf]:
    """What is recorded at the branch of these parts, in three statements. What is not recorded is not known."""
    rows = ItemRow.objects.filter(branch=branch, part__in=sorted(parts)).select_related("part__maker")
    rows = rows.prefetch_related("batches", "incoming").defer("part__facts").order_by("pk")
    return {(row.part_id, row.content): _shelf(row) for row in rows}


def _shelf(row: ItemRow) -> KitShelf:
    rows = tuple(row.batches.all())
    batches = []
    for one in rows:
        held = min(one.reserved, one.on_hand)
        batches.append((Batch(one.bin, one.on_hand, held, one.date_code, one.expires), one.reserved - held))
    incoming = tuple(Incoming(one.quantity, one.promised_latest, one.assigned) for one in row.incoming.all())
    key = (row.part.maker.code, row.part.number)
    item = StockItem(key, counted(batches, ages=row.ages), incoming, row.ages)
    return KitShelf(item, {(one.bin, one.date_code): one.pk for one in rows})


def handling_of(dealer: Dealer, parts: Collection[int]) -> dict[int, PartHandling]:
    """What is recorded of shipping and fitting these parts, in one statement."""
    rows = PartHandling.objects.visible_to(dealer).filter(part__in=sorted(parts))
    return {row.part_id: row for row in rows}


def sheets_sent(customer: Customer | None, parts: Collection[int]) -> tuple[Sent, ...]:
    """The safety sheets of these parts that the customer has had; one statement, or none without a customer."""
    if customer is None:
        return ()
    rows = SheetSent.objects.filter(customer=customer, part__in=sorted(parts)).select_related("part__maker")
    return tuple(Sent(str(customer.pk), (row.part.maker.code, row.part.number), row.revision) for row in rows)


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
