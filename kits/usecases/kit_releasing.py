"""Taking back what the shelf promised to a kit, and what is on order for it."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any

from catalog.usecases.one_version import Asking
from kits.loading.kits import LoadedKit, LoadedLine
from kits.models import Reservation, ReservationState, StockBatch
from kits.usecases.allocations import free_allocations
from kits.usecases.kit_shelves import bin_documents, held_of


def release_lines(lines: Iterable[LoadedLine], asking: Asking) -> list[dict[str, Any]]:
    """Release everything that is held for these lines, and say what and from where.

    Belongs in the transaction of what it is released for.
    """
    found = []
    for line in lines:
        for use, kept in line.uses:
            held = held_of(kept)
            if not held:
                continue
            release(held, asking)
            part = {"maker": use.part.maker.code, "number": use.part.number}
            found.append({"line": line.row.line, "part": part, "bins": _released(held)})
    return found


def release(held: Collection[Reservation], asking: Asking) -> None:
    """Give these pieces back to their bins. A batch that was counted lower keeps what is still promised of it."""
    for one in sorted(held, key=lambda row: row.batch_id):
        StockBatch.objects.release(one.batch_id, one.quantity)
        one.state = ReservationState.RELEASED
    numbers = [one.pk for one in held]
    Reservation.objects.filter(pk__in=numbers, state=ReservationState.HELD).update(
        state=ReservationState.RELEASED, ended_at=asking.now, ended_by=asking.asked_by
    )


def free_orders(lines: Iterable[LoadedLine], asking: Asking) -> list[dict[str, Any]]:
    """Goods on order for these lines stay ordered and are free to the next job; each with its warning."""
    uses = [use.pk for line in lines for use, _ in line.uses]
    return [one.document() for one in free_allocations(uses, now=asking.now)] if uses else []


def let_go(loaded: LoadedKit, asking: Asking) -> dict[str, Any]:
    """All that is held and ordered for a kit."""
    return {"released": release_lines(loaded.lines, asking), "ordered": free_orders(loaded.lines, asking)}


def _released(held: Collection[Reservation]) -> list[dict[str, Any]]:
    rows = bin_documents(tuple(held))
    return [{name: row[name] for name in ("bin", "date_code", "quantity")} for row in rows]
