"""Lines that are late or go without, and what may be done about each. Nothing is done here: a person decides."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from catalog.domain.parts import PartKey
from kits.domain.order_plan.question import Need, Offer
from kits.domain.order_plan.servings import Serving
from kits.domain.order_plan.situation import Situation


class Way(StrEnum):
    """What a shop does about a line that is late (common practice, no source)."""

    MOVE_JOB = "move_job"
    DO_THE_REST = "do_the_rest"
    CHECKED_SUBSTITUTE = "checked_substitute"
    OTHER_BRANCH = "other_branch"
    ASK_SUPPLIER = "ask_supplier"
    OTHER_CURRENCY = "other_currency"
    SETTLE_LINE = "settle_line"
    FIND_SUPPLIER = "find_supplier"


@dataclass(frozen=True, slots=True)
class MayBeDone:
    way: Way
    words: str
    part: PartKey | None = None


@dataclass(frozen=True, slots=True)
class LateLine:
    """A line with the pieces that come late, or that nothing serves where `arrives` is None.

    `promised_from` is the near end of a back-order's range.
    """

    line: str
    part: PartKey
    quantity: int
    shelf: date
    arrives: date | None
    promised_from: date | None
    ways: tuple[MayBeDone, ...]


def late_lines(served: tuple[Serving, ...], found: Situation) -> tuple[LateLine, ...]:
    offers = {entry.offer.id: entry.offer for entry in found.buyable}
    got: dict[str, int] = {}
    late: dict[tuple[str, date | None, date | None], int] = {}
    for serving in served:
        got[serving.line] = got.get(serving.line, 0) + serving.quantity
        if serving.days_late:
            promise = offers[serving.offer].promise if serving.offer is not None else None
            key = serving.line, serving.comes, promise.earliest if promise else None
            late[key] = late.get(key, 0) + serving.quantity
    needs = {need.id: need for demand in found.demands for need in demand.needs}
    without = {(line, None, None): need.quantity - got.get(line, 0) for line, need in needs.items()}
    return tuple(
        LateLine(
            line, needs[line].part, pieces, needs[line].shelf, arrives, earliest, _ways(needs[line], arrives, found)
        )
        for (line, arrives, earliest), pieces in (*late.items(), *without.items())
        if pieces
    )


def _ways(need: Need, arrives: date | None, found: Situation) -> tuple[MayBeDone, ...]:
    if not need.serves:
        words = "No part is settled for this line; settle its check, or have it approved, before anything is ordered."
        return (MayBeDone(Way.SETTLE_LINE, words), *_substitutes(need, found))
    ways = [MayBeDone(Way.MOVE_JOB, f"Move the job to after {arrives}.")] if arrives else []
    rest = MayBeDone(Way.DO_THE_REST, f"Do the rest now; {' '.join(need.part)} to follow.")
    ways += [rest, *_substitutes(need, found), *_elsewhere(need, found), *_unknown_days(need, found)]
    if not any(offer.part in need.serves for offer in found.question.offers):
        ways.append(MayBeDone(Way.FIND_SUPPLIER, "No supplier has a price for it; record one.", need.part))
    return tuple(ways)


def _substitutes(need: Need, found: Situation) -> list[MayBeDone]:
    """Parts that passed their check on this machine and can be there in time, if somebody decides for one."""
    ways = []
    for part in need.alternatives:
        items = [item for item in found.question.stock if item.part == part]
        free = sum(item.free(need.fitted_on) + item.incoming_by(need.shelf) for item in items)
        offered = any(entry.offer.part == part and entry.arrives <= need.shelf for entry in found.buyable)
        if free or offered:
            there = f"{free} free or here in time" if free else "can be ordered in time"
            words = f"{' '.join(part)} passed its check for {need.machine}: {there}. Not taken unless you decide so."
            ways.append(MayBeDone(Way.CHECKED_SUBSTITUTE, words, part))
    return ways


def _elsewhere(need: Need, found: Situation) -> list[MayBeDone]:
    return [
        MayBeDone(Way.OTHER_BRANCH, f"{entry.free} of {' '.join(entry.part)} are free at {entry.branch}.", entry.part)
        for entry in found.question.elsewhere
        if entry.part in need.serves and entry.free > 0
    ]


def _unknown_days(need: Need, found: Situation) -> Iterable[MayBeDone]:
    for offer in found.question.offers:
        if offer.part not in need.serves:
            continue
        if offer.pack_price.currency != found.question.currency:
            yield MayBeDone(Way.OTHER_CURRENCY, _other_currency(offer, found.question.currency), offer.part)
        elif offer.arrives(found.question.placed) is None:
            part = " ".join(offer.part)
            words = (
                f"Ask {offer.supplier} when {part} comes; it has no promise that holds and no lead time to reckon with."
            )
            yield MayBeDone(Way.ASK_SUPPLIER, words, offer.part)


def _other_currency(offer: Offer, currency: str) -> str:
    price = offer.pack_price.shown
    return f"{offer.supplier} offers {' '.join(offer.part)} at {price}, which a plan in {currency} cannot weigh."
