"""Ordered goods that are meant for a kit's use, and what becomes of them when the kit needs them no longer."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import F

from kits.models import Allocation, Incoming, Order, OrderLine
from service.operations.changes import NewChange, append_all, lock_feed


@dataclass(frozen=True, slots=True)
class Freed:
    """Goods that stay ordered and are meant for no job any more. `pieces` is 0 for a share of a container."""

    order: Order
    line: OrderLine
    use: int
    pieces: int
    volume: int | None  # microlitres of a container shared with other kits

    @property
    def expected(self) -> date | None:
        return self.line.expected

    @property
    def warning(self) -> str | None:
        """What to say of goods that cannot go back; None where they can."""
        if self.line.returnable:
            return None
        number, part = self.order.number, self.line.part.shown
        if self.line.returnable is None:
            return f"Order {number}, {part}: it is not recorded whether the supplier takes it back; ask."
        return f"Order {number}, {part}: the supplier does not take it back; it comes and is free for the next job."

    def document(self) -> dict[str, Any]:
        return {
            "order": str(self.order.pk),
            "order_number": self.order.number,
            "line": self.line.line,
            "part": {"maker": self.line.part.maker.code, "number": self.line.part.number},
            "pieces": self.pieces,
            "volume": self.volume,
            "expected": None if self.expected is None else self.expected.isoformat(),
            "warning": self.warning,
        }


def free_allocations(uses: Collection[int], *, now: datetime) -> tuple[Freed, ...]:
    """Take what is on its way from these uses (ids of KitUse); it stays ordered and is free to the next job.

    For whoever cancels a kit or releases a line, inside that transaction, the feed's lock taken first. What has come
    already is reserved in the shelf's batches and is released there. The orders' changes are told here, the kits'
    events by the caller, from what is answered.
    """
    lock_feed()
    rows = Allocation.objects.filter(use__in=uses).select_related("line__order__dealer", "line__part__maker")
    freed = [
        Freed(row.line.order, row.line, row.use_id, row.open, row.volume)
        for row in rows.order_by("line__order__number", "line__line", "pk")
        if row.open or row.volume
    ]
    rows.filter(kept=0).delete()
    Allocation.objects.filter(use__in=uses).update(quantity=F("kept"))
    recount({one.line.pk for one in freed})
    _tell({one.order.pk: one.order for one in freed}.values(), now)
    return tuple(freed)


def recount(lines: Collection[int]) -> None:
    """Bring what is counted as assigned of the lines' goods on their way into step with their allocations."""
    rows = OrderLine.objects.filter(pk__in=lines, incoming__isnull=False)
    for line in rows.select_related("incoming").prefetch_related("allocations"):
        meant = assigned_of(line)
        incoming = line.incoming
        if incoming is not None and incoming.assigned != meant:
            Incoming.objects.filter(pk=incoming.pk).update(assigned=meant)


def assigned_of(line: OrderLine) -> int:
    """Pieces on their way that are meant for somebody; of shared containers whole ones."""
    allocations = line.allocations.all()
    containers = shared_containers(sum(row.volume or 0 for row in allocations), line.content)
    return min(line.pieces - line.received, sum(row.open for row in allocations) + containers)


def shared_containers(volume: int, content: int | None) -> int:
    """Whole containers that hold what several kits share, in microlitres."""
    return -(-volume // content) if content else 0


def _tell(orders: Iterable[Order], now: datetime) -> None:
    told = list(orders)
    Order.objects.filter(pk__in=[order.pk for order in told]).update(version=F("version") + 1)
    append_all(
        [NewChange("order.changed", "order", order.pk, order.dealer, {"number": order.number}) for order in told], now
    )
