"""What an order tells the kits that its goods are for: an event of each, and a change in the feed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import F

from kits.models import Kit, KitEvent, Order, OrderLine
from kits.usecases.amounts import day
from kits.usecases.order_goods import litres
from service.operations.changes import NewChange, append_all
from service.operations.models import Dealer


@dataclass(slots=True)
class KitNote:
    """What happened to goods of an order that are meant for one kit; `what` is the event's word."""

    kit: UUID
    what: str
    order: Order
    goods: list[dict[str, Any]] = field(default_factory=list)

    def add(self, line: OrderLine, pieces: int, volume: int | None = None) -> None:
        self.goods.append(
            {
                "line": line.line,
                "part": {"maker": line.part.maker.code, "number": line.part.number},
                "pieces": pieces,
                "volume": None if volume is None else litres(volume),
                "expected": day(line.expected),
            }
        )


def tell_kits(notes: Iterable[KitNote], *, dealer: Dealer, by: str, now: datetime) -> None:
    """Belongs in the transaction of what happened, the feed's lock taken first."""
    told = list(notes)
    if not told:
        return
    KitEvent.objects.bulk_create(
        KitEvent(
            kit_id=note.kit, at=now, by=by, what=note.what,
            detail={"order": str(note.order.pk), "number": note.order.number, "goods": note.goods},
        )
        for note in told
    )  # fmt: skip
    Kit.objects.filter(pk__in={note.kit for note in told}).update(version=F("version") + 1)
    append_all(
        [NewChange(f"kit.{note.what}", "kit", note.kit, dealer, {"order": note.order.number}) for note in told], now
    )
