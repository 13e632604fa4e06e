"""Picking a kit from its bins, handing it out, and cancelling it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any
from uuid import UUID

from django.db import transaction

from catalog.usecases.one_version import Asking
from catalog.usecases.refusals import Gathered
from kits.domain.kit_steps import KitState, Step, refuse_unless_open
from kits.loading.kits import LoadedKit, LoadedLine, with_lines
from kits.models import Kit, KitLine, Reservation, ReservationState, SheetSent, StockBatch
from kits.usecases.kit_documents import kit_document, settled
from kits.usecases.kit_events import moved_on, tell
from kits.usecases.kit_packing import packing_document, packing_of
from kits.usecases.kit_redeciding import Redecided, decided_again, kit_of
from kits.usecases.kit_refusals import KitIncomplete, NoSuchLine, StockGone
from kits.usecases.kit_releasing import free_orders, let_go, release
from kits.usecases.kit_reserving import to_be_reviewed
from kits.usecases.kit_serviced import record_service
from kits.usecases.kit_shelves import bin_documents, held_of
from service.errors import Invalid
from service.operations.changes import lock_feed
from service.operations.idempotency import Claim

Body = Mapping[str, Any]


def pick_kit(number: UUID, body: Body, asking: Asking, claim: Claim) -> None:
    """Confirm that what is reserved was taken from its bins, but for what is named in `short`.

    Pieces that were not there are promised no more. Raises UnknownKit, WrongState, NoSuchLine, Invalid.
    """
    loaded = kit_of(asking.dealer, number)
    kit = loaded.row
    refuse_unless_open(Step.PICK, KitState(kit.state))
    short = _short(loaded, body.get("short") or ())
    with transaction.atomic():
        lock_feed()
        moved_on(kit, state=KitState.PICKED.value)
        for line, entry in short:
            _let_off(line, entry["quantity"], asking)
        picked = _bins(with_lines(kit))
        left = [{"line": line.row.line, "quantity": entry["quantity"], "reason": entry["reason"],
                 "hint": "Count the bin; its stock record is wrong."} for line, entry in short]  # fmt: skip
        tell(kit, "picked", asking, {"picked": picked, "short": left})
        claim.complete(200, {**kit_document(kit, asking.now), "picked": picked, "short": left})


def _short(loaded: LoadedKit, entries: Sequence[Body]) -> list[tuple[LoadedLine, Body]]:
    by_number = {line.row.line: line for line in loaded.lines}
    problems, found = Gathered(), []
    for at, entry in enumerate(entries):
        with problems.each():
            line = by_number.get(entry["line"])
            if line is None:
                raise NoSuchLine(f"The kit has no line {entry['line']}.", pointer=f"/short/{at}/line")
            held = sum(one.quantity for _, kept in line.uses for one in held_of(kept))
            if entry["quantity"] > held:
                words = f"{held} are reserved for line {entry['line']}, so no more can be short."
                raise Invalid(words, pointer=f"/short/{at}/quantity", code="more_than_reserved")
            found.append((line, entry))
    problems.tell()
    return found


def _let_off(line: LoadedLine, pieces: int, asking: Asking) -> None:
    """Release so many pieces of a line, the youngest first; what is left of a reservation stays held."""
    held = [one for _, kept in line.uses for one in held_of(kept)]
    for one in reversed(held):
        gone = min(pieces, one.quantity)
        if not gone:
            return
        pieces -= gone
        left = one.quantity - gone
        release([one], asking)
        Reservation.objects.filter(pk=one.pk).update(quantity=gone)
        if left and StockBatch.objects.reserve(one.batch_id, left):
            Reservation.objects.create(
                use=one.use, batch_id=one.batch_id, quantity=left, made_at=asking.now, made_by=asking.asked_by
            )


def _bins(loaded: LoadedKit) -> list[dict[str, Any]]:
    return [
        {"line": line.row.line, "part": {"maker": use.part.maker.code, "number": use.part.number}, **row}
        for line in loaded.lines
        for use, kept in line.uses
        for row in bin_documents(held_of(kept))
    ]


def fulfil_kit(number: UUID, body: Body, asking: Asking, claim: Claim) -> None:
    """Hand out what is reserved: stock goes down by it, and the safety sheets that go with it are on record.

    Raises UnknownKit, WrongState, KitIncomplete while open lines are not named in `to_follow`, StockGone, and what
    recording the service is refused for. Where a line would be decided otherwise now, the kit is to be reviewed.
    """

    def save(found: Redecided) -> None:
        if to_be_reviewed(found, asking):
            claim.complete(200, kit_document(found.kit, asking.now))
            return
        follow = _following(found.loaded, body.get("to_follow") or ())
        _hand_out(found.loaded, follow, body.get("record_service"), asking)
        claim.complete(200, kit_document(found.kit, asking.now))

    decided_again(number, Step.FULFIL, asking, save)


def _following(loaded: LoadedKit, entries: Sequence[Body]) -> dict[int, str]:
    """By line why it follows later. Raises KitIncomplete with every open line that is not named."""
    open_lines = {line.row.line: line for line in loaded.lines if is_open(line)}
    problems = Gathered()
    for at, entry in enumerate(entries):
        if entry["line"] not in open_lines:
            with problems.each():
                raise NoSuchLine(f"Line {entry['line']} is not open.", pointer=f"/to_follow/{at}/line")
    problems.tell()
    follow = {entry["line"]: entry["reason"] for entry in entries}
    missing = [number for number in open_lines if number not in follow]
    if missing:
        listed = ", ".join(map(str, missing))
        words = f"Lines {listed} are open: settle and reserve them, or name each in to_follow with the reason."
        raise KitIncomplete(words, pointer="/to_follow", lines=missing)
    return follow


def is_open(line: LoadedLine) -> bool:
    """Not settled, or not reserved in full, or sold in containers that nobody knows."""
    if not settled(line.row) or (not line.uses and line.row.missing):
        return True
    return any(sum(one.quantity for one in held_of(kept)) < use.quantity for use, kept in line.uses)


def _hand_out(loaded: LoadedKit, follow: Mapping[int, str], service: Body | None, asking: Asking) -> None:
    kit = loaded.row
    held = [(line, use, one) for line in loaded.lines for use, kept in line.uses for one in held_of(kept)]
    pieces: dict[int, int] = {}
    for _, use, one in held:
        pieces[use.pk] = pieces.get(use.pk, 0) + one.quantity
    uses = [(use, pieces.get(use.pk, 0)) for line in loaded.lines for use, _ in line.uses]
    packing = packing_of(kit, uses)
    bins = _bins(loaded)
    moved_on(kit, state=KitState.FULFILLED.value, packing=packing_document(packing))
    _take_out([one for _, _, one in held], asking)
    _follow(loaded.lines, follow)
    sheets = _sheets(kit, packing.sheets, uses, asking)
    served = None if service is None else record_service(kit, service, uses, _undone(loaded, follow), asking)
    ordered = free_orders([line for line in loaded.lines if line.row.line not in follow], asking)
    tell(kit, "fulfilled", asking, {
        "taken": bins, "to_follow": [{"line": line, "reason": why} for line, why in follow.items()],
        "sheets": sheets, "service": served, "ordered": ordered,
    })  # fmt: skip


def _undone(loaded: LoadedKit, follow: Mapping[int, str]) -> frozenset[str]:
    """The tasks of which a part follows, or was left out: nobody can say from the kit that they were done."""
    following = {task for line in loaded.lines if line.row.line in follow for task in line.row.tasks}
    return frozenset(following | {task for entry in loaded.row.left_out for task in entry["tasks"]})


def _take_out(held: Iterable[Reservation], asking: Asking) -> None:
    """Raises StockGone, and nothing is taken, where a count says that less is there."""
    taken = sorted(held, key=lambda one: one.batch_id)
    for one in taken:
        if not StockBatch.objects.take_out(one.batch_id, one.quantity):
            where = one.batch.bin or "no bin"
            words = (
                f"{one.quantity} were to be taken from {where}, and fewer are there now; count it, or cancel the kit."
            )
            raise StockGone(words, bin=one.batch.bin)
    Reservation.objects.filter(pk__in=[one.pk for one in taken], state=ReservationState.HELD).update(
        state=ReservationState.TAKEN, ended_at=asking.now, ended_by=asking.asked_by
    )


def _follow(lines: Iterable[LoadedLine], follow: Mapping[int, str]) -> None:
    rows = [line.row for line in lines if line.row.line in follow]
    for row in rows:
        row.to_follow, row.to_follow_why = True, follow[row.line]
    KitLine.objects.bulk_update(rows, ["to_follow", "to_follow_why"])


def _sheets(kit: Kit, sheets: Any, uses: Any, asking: Asking) -> list[dict[str, Any]]:
    """Keep which safety sheets go with it; of a machine without a customer nobody can say who has them."""
    customer = kit.machine.customer
    ids = {(use.part.maker.code, use.part.number): use.part_id for use, _ in uses}
    if customer is not None:
        SheetSent.objects.bulk_create(
            [
                SheetSent(
                    dealer=kit.dealer, customer=customer, part_id=ids[sheet.part], revision=sheet.revision,
                    sent_on=kit.branch.today(asking.now),
                )
                for sheet in sheets
            ],
            ignore_conflicts=True,
        )  # fmt: skip
    return [
        {"part": {"maker": sheet.part[0], "number": sheet.part[1]}, "revision": sheet.revision,
         "customer": None if customer is None else customer.name}
        for sheet in sheets
    ]  # fmt: skip


def cancel_kit(number: UUID, reason: str | None, asking: Asking, claim: Claim) -> None:
    """Give back what is held and free what is on order. Raises UnknownKit and WrongState."""
    loaded = kit_of(asking.dealer, number)
    kit = loaded.row
    refuse_unless_open(Step.CANCEL, KitState(kit.state))
    with transaction.atomic():
        lock_feed()
        moved_on(kit, state=KitState.CANCELLED.value)
        gone = let_go(loaded, asking)
        tell(kit, "cancelled", asking, {"reason": reason, **gone})
        claim.complete(200, {**kit_document(kit, asking.now), **gone})
