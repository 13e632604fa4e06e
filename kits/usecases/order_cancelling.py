"""An order that is called off: nothing more of it is on its way, and the kits it was for are told."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import F

from kits.models import Allocation, Incoming, Order, OrderLine, OrderState
from kits.usecases.kit_notes import KitNote, tell_kits
from kits.usecases.order_documents import order_document, order_of
from kits.usecases.order_receiving import refuse_ended
from service.operations.changes import NewChange, append, lock_feed
from service.operations.idempotency import Claim
from service.operations.models import Dealer


def cancel(number: UUID, reason: str, *, dealer: Dealer, by: str, now: datetime, claim: Claim) -> None:
    """For good; what has come already stays. Raises UnknownOrder and OrderEnded.

    The answer's notes name the goods that the supplier does not take back, and those of which nobody knows.
    """
    with transaction.atomic():
        lock_feed()
        order = order_of(dealer, number)
        refuse_ended(order)
        lines = list(order.lines.all())
        notes = [words for line in lines if (words := _warning(line)) is not None]
        freed = _free(order, lines, by=by, now=now)
        Incoming.objects.filter(ordered__order=order).delete()
        Order.objects.filter(pk=order.pk).update(
            state=OrderState.CANCELLED, ended_at=now, ended_by=by, version=F("version") + 1, note=_noted(order, reason)
        )
        append(NewChange("order.cancelled", "order", order.pk, dealer, {"number": order.number}), now)
        claim.complete(200, order_document(order, notes=notes, freed=freed))


def _warning(line: OrderLine) -> str | None:
    left = line.pieces - line.received
    if not left or line.returnable:
        return None
    goods = f"Line {line.line}, {left} of {line.part.shown}"
    if line.returnable is None:
        return f"{goods}: it is not recorded whether the supplier takes it back; ask before you call it off."
    return f"{goods}: the supplier does not take it back; it may come and be charged all the same."


def _free(order: Order, lines: list[OrderLine], *, by: str, now: datetime) -> list[dict[str, Any]]:
    """What is still open of its allocations, by kit; those kits are told."""
    notes: dict[UUID, KitNote] = {}
    for line in lines:
        for row in line.allocations.all():
            if row.open or row.volume:
                kit = row.use.line.kit
                notes.setdefault(kit.pk, KitNote(kit.pk, "order_cancelled", order)).add(line, row.open, row.volume)
    rows = Allocation.objects.filter(line__order=order)
    rows.filter(kept=0).delete()
    rows.update(quantity=F("kept"))
    tell_kits(notes.values(), dealer=order.dealer, by=by, now=now)
    return [{"kit": str(note.kit), "goods": note.goods} for note in notes.values()]


def _noted(order: Order, reason: str) -> str:
    """The reason beside what was noted before, cut to what the column holds."""
    return "\n".join(words for words in (order.note, f"Called off: {reason}") if words)[:1_000]
