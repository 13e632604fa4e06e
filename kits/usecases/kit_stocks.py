"""What each use of a kit finds on the shelf, and where too little lies there, what else does that may be used."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from catalog.domain.answers import Verdict
from catalog.usecases.checking import Decided, weigh_batch
from kits.domain.kit_lines import Unit
from kits.domain.kit_settling import SETTLED, LineState
from kits.domain.kit_steps import ENDED
from kits.loading.kit_needs import earlier_numbers
from kits.loading.kit_supply import kit_shelves
from kits.loading.kits import LoadedLine
from kits.models import Kit
from kits.usecases.kit_shelves import OldStock, OtherSize, Shelves, UseStock, held_of
from service.errors import DomainError

Stocks = list[list[UseStock]]
ASKED_BY = "kit"  # of checks that nothing is recorded of


def stocks_of(lines: Iterable[LoadedLine], kit: Kit, shelves: Shelves, meant: Mapping[int, int]) -> Stocks:
    """Of each line its uses in order. `meant` is what is on its way for a use, by its key."""
    return [
        [
            UseStock(
                use, held_of(kept), shelves.get((use.part_id, use.content)), kit.fitted_on, meant.get(use.pk, 0),
                _other_sizes(use.part_id, use.content, shelves, kit),
            )
            for use, kept in line.uses
        ]
        for line in lines
    ]  # fmt: skip


def _other_sizes(part: int, content: int | None, shelves: Shelves, kit: Kit) -> tuple[OtherSize, ...]:
    """Containers of other sizes that lie free: of a fluid, also where somebody has put it in by the piece."""
    sizes = (
        OtherSize(size, shelf.item.free(kit.fitted_on))
        for (other, size), shelf in shelves.items()
        if other == part and size not in (None, content)
    )
    return tuple(sorted((one for one in sizes if one.free), key=lambda one: one.content or 0))


def with_old_stock(lines: Sequence[LoadedLine], kit: Kit, stocks: Stocks, now: datetime) -> Stocks:
    """The same, with earlier numbers that lie free and may be used up, where too little lies of the part itself.

    Each is asked about on the kit's machine, as itself; nothing is recorded and nothing swapped (a dealer's stock is
    used up first only where somebody decides so: trade notes, section 1.5, common practice). No statement where
    nothing is short, one for each step of a chain that is looked along.
    """
    short = {use.use.part_id: use.use.pk for line, of_line in zip(lines, stocks, strict=True)
             for use in of_line if _may_be_another(line, of_line) and use.lacks}  # fmt: skip
    if kit.state in ENDED or not short:
        return stocks
    earlier = earlier_numbers(short)
    there = kit_shelves(kit.branch, {old for numbers in earlier.values() for old in numbers}, kit.branch.today(now))
    free = {part: shelf.item.free(kit.fitted_on) for (part, size), shelf in there.items() if size is None}
    asked = [
        (line.row.position, stock, old)
        for line, of_line in zip(lines, stocks, strict=True)
        for stock in of_line
        if _may_be_another(line, of_line) and stock.lacks
        for old in sorted(earlier[stock.use.part_id])
        if free.get(old)
    ]
    if not asked:
        return stocks
    bodies = [
        {"machine": kit.machine_id, "position": position,
         "candidate": [{"part": {"id": old}, "quantity": stock.use.quantity}]}
        for position, stock, old in asked
    ]  # fmt: skip
    weighed = weigh_batch(bodies, dealer=kit.dealer, asked_by=ASKED_BY, now=now)
    found: dict[int, tuple[OldStock, ...]] = {}
    for (_, stock, old), outcome in zip(asked, weighed.outcomes, strict=True):
        told = _old_stock(outcome, old, free[old])
        if told is not None:
            found[stock.use.pk] = (*found.get(stock.use.pk, ()), told)
    return [[replace(stock, old_stock=found.get(stock.use.pk, ())) for stock in of_line] for of_line in stocks]


def _may_be_another(line: LoadedLine, of_line: Sequence[UseStock]) -> bool:
    """A line of one part at a position; a set is replaced as a whole, which its own check says."""
    settled = LineState(line.row.state) in SETTLED
    return settled and len(of_line) == 1 and bool(line.row.position) and line.row.unit == Unit.EACH


def _old_stock(outcome: Decided | DomainError, old: int, free: int) -> OldStock | None:
    if isinstance(outcome, DomainError) or outcome.decision.verdict is not Verdict.ACCEPTED:
        return None
    used = outcome.decision.use
    if [use.part.id for use in used] != [old]:
        return None
    return OldStock(old, used[0].part.key, free, outcome.decision.headline)
