"""Tables on paper: the header again on every page, figures to the right, boxes to tick and to write in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from service.papers.drawing.fonts import Type
from service.papers.drawing.slabs import (
    INK,
    QUIET,
    RULE,
    Canvas,
    Draw,
    Frame,
    Piece,
    Slab,
    box,
    hairline,
    piece,
    row_slabs,
)
from service.papers.tables import ON_PAPER_ALONE, Cell, Column, ColumnKind, Table


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a column stands."""

    column: Column
    left: float
    width: float


def table_slabs(table: Table, frame: Frame) -> Iterator[Slab]:
    type_ = Type(frame.type.size * 0.9)
    places = _places(table.columns, frame.width, type_.size * 0.8)
    header = _header(places, frame, type_)
    yield header
    lines_at_once = max(1, int((frame.height * 0.8 - header.height) // type_.leading))
    for number, row in enumerate(table.rows):
        set_in = replace(type_, bold=number in table.marked)
        for slab in _row(row, places, set_in, frame.width, lines_at_once=lines_at_once):
            yield replace(slab, again=header)


def shown(cell: Cell) -> str:
    """A cell as it is read; what is not known is a dash."""
    if cell is None:
        return "\u2013"
    return cell if isinstance(cell, str) else format(cell, "f" if not isinstance(cell, int) else "d")


def _places(columns: Sequence[Column], width: float, gutter: float) -> tuple[_Place, ...]:
    whole = sum(column.share for column in columns)
    room = width - gutter * (len(columns) - 1)
    left = 0.0
    found = []
    for column in columns:
        found.append(_Place(column, left, room * column.share / whole))
        left += found[-1].width + gutter
    return tuple(found)


def _header(places: Sequence[_Place], frame: Frame, type_: Type) -> Slab:
    names = tuple(_set(place.column.name, place, replace(type_, bold=True), shade=QUIET) for place in places)
    lines = max(len(name.lines) for name in names)
    (text,) = row_slabs(names, lines_at_once=lines, padding=2)
    return replace(text, draw=_ruled(text, frame.width, weight=0.9, shade=INK), keeps=True)


def _row(
    cells: Sequence[Cell], places: Sequence[_Place], type_: Type, width: float, *, lines_at_once: int
) -> Iterator[Slab]:
    written = tuple(
        _set("" if place.column.kind in ON_PAPER_ALONE else shown(cell), place, type_)
        for cell, place in zip(cells, places, strict=True)
    )
    slabs = list(row_slabs(written, lines_at_once=lines_at_once, padding=3))
    for number, slab in enumerate(slabs):
        draw = slab.draw if number < len(slabs) - 1 else _ruled(slab, width)
        yield replace(slab, draw=_boxed(draw, places, type_) if number == 0 else draw)


def _set(text: str, place: _Place, type_: Type, *, shade: float = INK) -> Piece:
    to_the_right = place.column.kind is ColumnKind.NUMBER
    return piece(text, place.left, place.width, type_, to_the_right=to_the_right, shade=shade)


def _ruled(slab: Slab, width: float, *, weight: float = 0.4, shade: float = RULE) -> Draw:
    """With a line below it."""

    def draw(canvas: Canvas, left: float, top: float) -> None:
        slab.draw(canvas, left, top)
        hairline(canvas, left, left + width, top - slab.height, weight=weight, shade=shade)

    return draw


def _boxed(drawn: Draw, places: Sequence[_Place], type_: Type) -> Draw:
    """With the boxes of its columns."""

    def draw(canvas: Canvas, left: float, top: float) -> None:
        drawn(canvas, left, top)
        for place in places:
            if place.column.kind is ColumnKind.TICK:
                box(canvas, left + place.left, top - 3, type_.size, type_.size)
            if place.column.kind is ColumnKind.SPACE:
                box(canvas, left + place.left, top - 2.5, place.width, type_.leading, weight=0.4)

    return draw
