"""Which line gets which pieces from where; a line may be split."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from catalog.domain.parts import PartKey
from kits.domain.order_plan.drafts import Draft
from kits.domain.order_plan.situation import Demand, Situation


@dataclass(frozen=True, slots=True)
class Serving:
    """Pieces of a part for a line: from an offer, or from stock where `offer` is None. None comes: it is here."""

    line: str
    part: PartKey
    quantity: int
    shelf: date
    offer: str | None
    comes: date | None
    days_late: int


def servings(draft: Draft, found: Situation) -> tuple[Serving, ...]:
    """By demand and line; the pieces that are here first go to the lines that are due first."""
    late = {(arc.demand, arc.source): arc.days_late for arc in found.arcs}
    given: list[Serving] = []
    for index, (demand, sent) in enumerate(zip(found.demands, draft.sent, strict=True)):
        sources = sorted(sent, key=lambda source: (late[index, source], source))
        given.extend(
            _shared_out(demand, [_serving(source, sent[source], late[index, source], found) for source in sources])
        )
    return tuple(given)


def _serving(source: int, pieces: int, days_late: int, found: Situation) -> Serving:
    """From that source, for whichever line: `line` and `shelf` are filled in when it is shared out."""
    if source < len(found.lots):
        lot = found.lots[source]
        return Serving("", lot.part, pieces, date.min, None, lot.comes, days_late)
    entry = found.buyable[source - len(found.lots)]
    return Serving("", entry.offer.part, pieces, date.min, entry.offer.id, entry.arrives, days_late)


def _shared_out(demand: Demand, pieces: list[Serving]) -> list[Serving]:
    shared = []
    wanted = {need.id: need.quantity for need in demand.needs}
    shelves = {need.id: need.shelf for need in demand.needs}
    for serving in pieces:
        left = serving.quantity
        for line, open_still in wanted.items():
            given = min(left, open_still)
            if given:
                shared.append(
                    Serving(line, serving.part, given, shelves[line], serving.offer, serving.comes, serving.days_late)
                )
                wanted[line] -= given
                left -= given
    return shared
