"""Goods that come: onto the shelf, off what is on its way, and kept for the kits they were ordered for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import F, Prefetch

from catalog.usecases.refusals import Gathered
from kits.domain.stock import Batch
from kits.models import (
    Allocation,
    Incoming,
    KitUse,
    Order,
    OrderLine,
    OrderState,
    Reservation,
    ReservationState,
    StockBatch,
    StockItem,
)
from kits.models.kit import ENDED
from kits.usecases.allocations import assigned_of
from kits.usecases.kit_notes import KitNote, tell_kits
from kits.usecases.order_documents import order_document, order_of
from kits.usecases.order_refusals import OrderEnded
from service.errors import Invalid
from service.operations.changes import NewChange, append, lock_feed
from service.operations.idempotency import Claim
from service.operations.models import Dealer

Body = Mapping[str, Any]


@dataclass(slots=True)
class _Receipt:
    """What is being received, and what came of it so far."""

    order: Order
    by: str
    now: datetime
    notes: list[str] = field(default_factory=list)
    kits: dict[UUID, KitNote] = field(default_factory=dict)


def receive(number: UUID, body: Body, *, dealer: Dealer, by: str, now: datetime, claim: Claim) -> None:
    """Take in what came, in one transaction, and complete the claim with the order.

    Pieces meant for a kit are reserved for it at once, those for the earliest service first. Raises UnknownOrder,
    OrderEnded, and all that is wrong with the lines at once: no such line, more than is still to come, and a last day
    other than that of the same goods in the bin.
    """
    with transaction.atomic():
        lock_feed()
        order = order_of(dealer, number)
        refuse_ended(order)
        lines = {line.line: line for line in order.lines.all()}
        _check(body["lines"], lines)
        receipt = _Receipt(order, by, now)
        for row in body["lines"]:
            _take_in(row, lines[row["line"]], receipt)
        for line in {row["line"]: lines[row["line"]] for row in body["lines"]}.values():
            _settle(line)
        _end_where_complete(order, receipt)
        tell_kits(receipt.kits.values(), dealer=dealer, by=by, now=now)
        payload = {"number": order.number, "lines": sorted({row["line"] for row in body["lines"]})}
        append(NewChange("order.received", "order", order.pk, dealer, payload), now)
        claim.complete(200, order_document(order, notes=receipt.notes))


def refuse_ended(order: Order) -> None:
    if order.state != OrderState.PLACED:
        words = f"Order {order.number} is {order.state}, which is for good; place another."
        raise OrderEnded(words, state=order.state)


def _check(rows: Sequence[Body], lines: Mapping[int, OrderLine]) -> None:
    problems, checking = Gathered(), _Checking(lines)
    for place, row in enumerate(rows):
        with problems.each():
            checking.row(row, f"/lines/{place}")
    problems.tell()


class _Checking:
    """What the rows of a receipt say so far: pieces still to come by line, and last days by place on the shelf."""

    def __init__(self, lines: Mapping[int, OrderLine]) -> None:
        self.lines = lines
        self.left = {number: line.pieces - line.received for number, line in lines.items()}
        self.good_until: dict[tuple[int, str, date | None], date | None] = {}

    def row(self, row: Body, pointer: str) -> None:
        number, pieces = row["line"], row["pieces"]
        if number not in self.lines:
            known = ", ".join(str(one) for one in sorted(self.lines))
            words = f"The order has no line {number}; its lines: {known}."
            raise Invalid(words, pointer=f"{pointer}/line", code="no_line")
        if pieces > self.left[number]:
            words = f"{self.left[number]} pieces of line {number} are still to come, not {pieces}; count again."
            raise Invalid(words, pointer=f"{pointer}/pieces", code="more_than_ordered")
        self.left[number] -= pieces
        self._same_last_day(row, pointer)

    def _same_last_day(self, row: Body, pointer: str) -> None:
        place = row["line"], row["bin"], row.get("date_code")
        if place not in self.good_until:
            item = _item(self.lines[row["line"]])
            batch = StockBatch.objects.filter(item=item, bin=row["bin"], date_code=row.get("date_code")).first()
            self.good_until[place] = batch.expires if batch is not None and batch.on_hand else row.get("expires")
        known = self.good_until[place]
        if known != row.get("expires"):
            words = (
                f"The same goods in bin {row['bin']} are good until {known or 'a day nobody recorded'}; say the same "
            )
            raise Invalid(f"{words}day, or use another bin.", pointer=f"{pointer}/expires", code="expires_otherwise")


def _item(line: OrderLine) -> StockItem:
    if line.incoming is None:
        raise RuntimeError("A line that is still to come has nothing on its way.")
    return line.incoming.item


def _take_in(row: Body, line: OrderLine, receipt: _Receipt) -> None:
    item, pieces = _item(line), row["pieces"]
    batch, _ = StockBatch.objects.get_or_create(
        item=item, bin=row["bin"], date_code=row.get("date_code"), defaults={"expires": row.get("expires")}
    )
    StockBatch.objects.filter(pk=batch.pk).update(on_hand=F("on_hand") + pieces, expires=row.get("expires"))
    StockItem.objects.filter(pk=item.pk).update(version=F("version") + 1)
    batch.refresh_from_db()
    OrderLine.objects.filter(pk=line.pk).update(received=F("received") + pieces)
    line.received += pieces
    _keep_for_kits(line, batch, item, pieces, receipt)


def _keep_for_kits(line: OrderLine, batch: StockBatch, item: StockItem, pieces: int, receipt: _Receipt) -> None:
    """Reserve what came for the uses it was ordered for, as far as they have not been served from elsewhere since.

    What is too old for a service stays free and is told, and so is what follows a kit that has been handed out.
    """
    came = Batch(batch.bin, pieces, 0, batch.date_code, batch.expires)
    for meant in _meant(line):
        kit = meant.use.line.kit
        count = min(meant.open, pieces, _wanted(meant.use))
        if not count:
            continue
        why = "handed out already" if kit.state in ENDED else came.refusal(kit.fitted_on, ages=item.ages)
        receipt.kits.setdefault(kit.pk, KitNote(kit.pk, "goods_came", receipt.order)).add(line, count)
        if why is not None or not StockBatch.objects.reserve(batch.pk, count):
            words = f"{count} of {line.part.shown} in bin {batch.bin} are not kept for kit {kit.number}"
            receipt.notes.append(f"{words}{'' if why is None else f' ({why})'}.")
            continue
        Reservation.objects.create(use=meant.use, batch=batch, quantity=count, made_at=receipt.now, made_by=receipt.by)
        Allocation.objects.filter(pk=meant.pk).update(kept=F("kept") + count)
        pieces -= count


def _meant(line: OrderLine) -> list[Allocation]:
    rows = Allocation.objects.filter(line=line, volume=None).select_related("use__line__kit")
    kept = Reservation.objects.exclude(state=ReservationState.RELEASED)
    rows = rows.prefetch_related(Prefetch("use__reservations", kept))
    return sorted(rows, key=lambda row: (row.use.line.kit.fitted_on, row.use.line.kit.number, row.pk))


def _wanted(use: KitUse) -> int:
    """Pieces of a use that the shelf does not hold for it yet; its reservations are loaded."""
    return max(0, use.quantity - sum(entry.quantity for entry in use.reservations.all()))


def _settle(line: OrderLine) -> None:
    """Bring what is on its way into step. Once all has come nothing is meant for anybody that is not kept for them."""
    left = line.pieces - line.received
    coming = Incoming.objects.filter(ordered=line)
    if not left:
        line.allocations.filter(kept=0).delete()
        line.allocations.update(quantity=F("kept"))
        coming.delete()
        return
    meant = OrderLine.objects.prefetch_related("allocations").get(pk=line.pk)
    coming.update(quantity=left, assigned=assigned_of(meant))


def _end_where_complete(order: Order, receipt: _Receipt) -> None:
    ended: dict[str, Any] = {}
    if not order.lines.filter(received__lt=F("packs") * F("pack")).exists():
        ended = {"state": OrderState.RECEIVED, "ended_at": receipt.now, "ended_by": receipt.by}
    Order.objects.filter(pk=order.pk).update(version=F("version") + 1, **ended)
