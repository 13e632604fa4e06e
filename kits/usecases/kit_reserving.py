"""Reserving what a kit takes: settled lines whole or not at all, the oldest date codes first."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db import transaction

from catalog.usecases.one_version import Asking
from kits.domain.kit_settling import complete
from kits.domain.kit_steps import KitState, Step
from kits.loading.kit_supply import kit_shelves, meant_for
from kits.loading.kits import LoadedLine
from kits.loading.stock import prices
from kits.models import Reservation, StockBatch
from kits.usecases.kit_documents import kit_document, settled
from kits.usecases.kit_events import moved_on, tell
from kits.usecases.kit_redeciding import Redecided, decided_again, not_settled_any_more
from kits.usecases.kit_releasing import release_lines
from kits.usecases.kit_shelves import UseStock, held_of, not_bought_document, short_document
from kits.usecases.kit_stocks import stocks_of
from service.operations.idempotency import Claim


class _TakenMeanwhile(Exception):
    """Somebody else was promised the pieces between reading the shelf and reserving."""


def reserve_kit(number: UUID, asking: Asking, claim: Claim) -> None:
    """Reserve what is settled and free; answers the kit with what is short and what to order.

    Where any line would be decided otherwise now, nothing is reserved and the kit is to be reviewed.
    Raises UnknownKit and WrongState.
    """

    def save(found: Redecided) -> None:
        if to_be_reviewed(found, asking):
            short: list[dict[str, Any]] = []
        else:
            short = _reserve(found, asking)
        claim.complete(200, {**kit_document(found.kit, asking.now), "short": short})

    decided_again(number, Step.RESERVE, asking, save)


def to_be_reviewed(found: Redecided, asking: Asking) -> bool:
    """Put a kit aside whose lines have changed, and release those that are not settled any more."""
    changed = found.changed
    if not changed:
        return False
    kit = found.kit
    released = release_lines(not_settled_any_more(found), asking)
    whole = complete(one.settled.state for one in found.lines)
    moved_on(kit, state=KitState.NEEDS_REVIEW.value, review=changed, complete=whole)
    tell(kit, "needs_review", asking, {"changed": changed, "released": released})
    return True


def _reserve(found: Redecided, asking: Asking) -> list[dict[str, Any]]:
    kit = found.kit
    parts = {use.part_id for line in found.loaded.lines for use, _ in line.uses}
    today = kit.branch.today(asking.now)
    shelves, meant = kit_shelves(kit.branch, parts, today), meant_for(kit, today)
    asked = prices(kit.dealer, sorted(parts))
    made: list[dict[str, Any]] = []
    short: list[dict[str, Any]] = []
    for line in found.loaded.lines:
        if not settled(line.row):
            continue
        # Line by line: of what one takes the shelf has less for the next.
        (stocks,) = stocks_of([line], kit, shelves, meant)
        if not stocks and line.row.missing:
            short.append(not_bought_document(line.row))
        elif not _line_reserved(line, stocks, asking, made):
            lacking = [stock for stock in stocks if stock.lacks]
            short += [short_document(stock, asked, kit.branch.currency) for stock in lacking or stocks]
    held = bool(made) or any(held_of(kept) for line in found.loaded.lines for _, kept in line.uses)
    moved_on(kit, state=(KitState.RESERVED if held else KitState.BUILT).value)
    tell(kit, "reserved", asking, {"reserved": made, "short": short})
    return short


def _line_reserved(line: LoadedLine, stocks: list[UseStock], asking: Asking, made: list[dict[str, Any]]) -> bool:
    """All pieces of the line, or none of them."""
    if any(stock.lacks for stock in stocks):
        return False
    try:
        with transaction.atomic():
            kept = [one for stock in stocks for one in _pieces_reserved(stock, asking)]
    except _TakenMeanwhile:
        return False
    made.extend({"line": line.row.line, **one} for one in kept)
    return True


def _pieces_reserved(stock: UseStock, asking: Asking) -> list[dict[str, Any]]:
    taking, shelf = stock.taking, stock.shelf
    if taking is None or shelf is None:
        return []
    rows, made = [], []
    for one in taking.taken:
        batch = shelf.batches[one.bin, one.date_code]
        if not StockBatch.objects.reserve(batch, one.quantity):
            raise _TakenMeanwhile
        shelf.promise((one.bin, one.date_code), one.quantity)
        rows.append(
            Reservation(
                use=stock.use, batch_id=batch, quantity=one.quantity, made_at=asking.now, made_by=asking.asked_by
            )
        )
        day = None if one.date_code is None else one.date_code.isoformat()
        part = {"maker": stock.use.part.maker.code, "number": stock.use.part.number}
        made.append({"part": part, "bin": one.bin, "date_code": day, "quantity": one.quantity})
    Reservation.objects.bulk_create(rows)
    return made
