"""The order plan as an integer programme in plain values, for whichever solver stands behind the port.

Pieces may flow in fractions, since with whole packs a whole flow exists wherever any does; packs and whether an offer
or a supplier is used are whole. Every bound on packs is of its own offer: a single large one for all would forbid
plans of large fleets.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

from kits.domain.order_plan.drafts import Draft
from kits.domain.order_plan.situation import Situation
from kits.domain.order_plan.wanting import Wanting


@dataclass(frozen=True, slots=True)
class Column:
    """A variable from 0 to `most`, with its cost in ticks."""

    most: int
    cost: int = 0
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """`least` <= the sum of the entries <= `most`; None is no limit. Entries are columns with factors."""

    least: int | None
    most: int | None
    entries: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Programme:
    """Minimise the cost of the columns. `packs` are the columns of packs, one for each offer in order."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    packs: tuple[int, ...]

    def cost(self, values: Sequence[int]) -> int:
        return sum(column.cost * value for column, value in zip(self.columns, values, strict=True))

    def broken(self, values: Sequence[int]) -> tuple[int, ...]:
        """The rows that whole values break, and the columns out of bounds after them, counted on from the rows."""
        rows = [index for index, row in enumerate(self.rows) if not _holds(row, values)]
        columns = enumerate(zip(self.columns, values, strict=True), start=len(self.rows))
        return (*rows, *(index for index, (column, value) in columns if not 0 <= value <= column.most))


@dataclass(frozen=True, slots=True)
class Solved:
    """What a solver found: the packs of its best plan, if any, and a cost in ticks that no plan can be below."""

    packs: tuple[int, ...] | None
    bound: float


class Solver(Protocol):
    """Whoever solves programmes. `start` is a plan that holds, to begin from."""

    def solve(self, programme: Programme, start: Sequence[int], seconds: float) -> Solved: ...

    def relaxed(self, programme: Programme) -> float:
        """A cost that no plan can be below: the least with fractions of packs allowed."""
        ...


@dataclass(slots=True)
class _Builder:
    found: Situation
    columns: list[Column] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)

    def column(self, most: int, cost: int = 0, *, whole: bool = False) -> int:
        self.columns.append(Column(most, cost, whole))
        return len(self.columns) - 1

    def row(self, least: int | None, most: int | None, *entries: tuple[int, int]) -> None:
        self.rows.append(Row(least, most, entries))


@dataclass(frozen=True, slots=True)
class Layout:
    """A programme with where its columns came from: one for each arc, for each demand that may go without, and so on.

    `used` is by offer, `ordered` by supplier; None where no column is needed to say it.
    """

    programme: Programme
    arcs: tuple[int, ...]
    without: tuple[int | None, ...]
    used: tuple[int | None, ...]
    ordered: tuple[int | None, ...]


def programme(found: Situation, least: Wanting) -> Layout:
    build = _Builder(found)
    arcs = tuple(build.column(found.demands[arc.demand].quantity) for arc in found.arcs)
    without = tuple(
        None if buying else build.column(demand.quantity)
        for demand, buying in zip(found.demands, found.buying, strict=True)
    )
    most = _most_packs(found)
    packs = tuple(
        build.column(count, entry.offer.pack_price.ticks, whole=True)
        for entry, count in zip(found.buyable, most, strict=True)
    )
    used = tuple(build.column(1, whole=True) if one.offer.least_packs > 1 else None for one in found.buyable)
    ordered = tuple(
        build.column(1, charge.ticks, whole=True) if charge.ticks or charge.minimum else None
        for charge in found.charges
    )
    _serve(build, arcs, without, packs)
    _limit_wanting(build, arcs, without, least)
    _order(build, packs, used, ordered)
    return Layout(Programme(tuple(build.columns), tuple(build.rows), packs), arcs, without, used, ordered)


def values_of(draft: Draft, layout: Layout, found: Situation) -> tuple[int, ...]:
    """The draft as values of the programme's columns."""
    values = [0] * len(layout.programme.columns)
    for arc, column in zip(found.arcs, layout.arcs, strict=True):
        values[column] = draft.sent[arc.demand].get(arc.source, 0)
    for index, gap in enumerate(layout.without):
        if gap is not None:
            values[gap] = found.demands[index].quantity - sum(draft.sent[index].values())
    for index, count in enumerate(draft.packs):
        values[layout.programme.packs[index]] = count
        used = layout.used[index]
        if used is not None:
            values[used] = int(count > 0)
    for charge, order in zip(found.charges, layout.ordered, strict=True):
        rows = zip(found.buyable, draft.packs, strict=True)
        if order is not None:
            values[order] = int(any(count for entry, count in rows if entry.offer.supplier == charge.supplier))
    return tuple(values)


def _holds(row: Row, values: Sequence[int]) -> bool:
    amount = sum(factor * values[column] for column, factor in row.entries)
    return (row.least is None or amount >= row.least) and (row.most is None or amount <= row.most)


def _most_packs(found: Situation) -> list[int]:
    """The most packs of each offer worth buying: all it could serve, its minimum, and the supplier's least value."""
    could_serve = dict.fromkeys(found.offer_sources, 0)
    for arc in found.arcs:
        if arc.source in could_serve:
            could_serve[arc.source] += found.demands[arc.demand].quantity
    minimum = {charge.supplier: charge.minimum for charge in found.charges}
    most = []
    for source, pieces in could_serve.items():
        offer = found.offer(source)
        for_value = -(-minimum[offer.supplier] // offer.pack_price.ticks)
        most.append(max(offer.least_packs, -(-pieces // offer.pack)) + for_value)
    return most


def _serve(build: _Builder, arcs: tuple[int, ...], without: tuple[int | None, ...], packs: tuple[int, ...]) -> None:
    """Each demand is served or goes without; no source gives more than it has."""
    found = build.found
    to: list[list[tuple[int, int]]] = [[] for _ in found.demands]
    out: list[list[tuple[int, int]]] = [[] for _ in range(len(found.lots) + len(found.buyable))]
    for arc, column in zip(found.arcs, arcs, strict=True):
        to[arc.demand].append((column, 1))
        out[arc.source].append((column, 1))
    for demand, entries, gap in zip(found.demands, to, without, strict=True):
        build.row(demand.quantity, demand.quantity, *entries, *([(gap, 1)] if gap is not None else []))
    for lot, entries in zip(found.lots, out, strict=False):
        build.row(None, lot.quantity, *entries)
    for source, column in zip(found.offer_sources, packs, strict=True):
        build.row(None, 0, *out[source], (column, -found.offer(source).pack))


def _limit_wanting(build: _Builder, arcs: tuple[int, ...], without: tuple[int | None, ...], least: Wanting) -> None:
    gaps = [(column, 1) for column in without if column is not None]
    late = [(column, arc.days_late) for arc, column in zip(build.found.arcs, arcs, strict=True) if arc.days_late]
    if gaps:
        build.row(None, least.without, *gaps)
    if late:
        build.row(None, least.piece_days, *late)


def _order(
    build: _Builder, packs: tuple[int, ...], used: tuple[int | None, ...], ordered: tuple[int | None, ...]
) -> None:
    """Each offer its minimum or nothing, and nothing without an order to its supplier that comes to enough."""
    suppliers = {charge.supplier: column for charge, column in zip(build.found.charges, ordered, strict=True)}
    for entry, column, flag in zip(build.found.buyable, packs, used, strict=True):
        most = build.columns[column].most
        order = suppliers[entry.offer.supplier]
        if flag is not None:
            build.row(0, None, (column, 1), (flag, -entry.offer.least_packs))
            build.row(None, 0, (column, 1), (flag, -most))
        if order is not None:
            build.row(None, 0, *(((flag, 1), (order, -1)) if flag is not None else ((column, 1), (order, -most))))
    for charge, bought in zip(build.found.charges, ordered, strict=True):
        if bought is not None and charge.minimum:
            goods = [
                (pack, entry.offer.pack_price.ticks)
                for entry, pack in zip(build.found.buyable, packs, strict=True)
                if entry.offer.supplier == charge.supplier
            ]
            build.row(0, None, *goods, (bought, -charge.minimum))
