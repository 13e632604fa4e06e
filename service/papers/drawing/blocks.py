"""Each kind of block as the slabs it is drawn in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import singledispatch

from service.papers.drawing.fonts import Type
from service.papers.drawing.slabs import (
    QUIET,
    Canvas,
    Draw,
    Frame,
    Slab,
    box,
    draw_line,
    piece,
    row_slabs,
    space,
    text_slabs,
)
from service.papers.drawing.table_slabs import table_slabs
from service.papers.paper import Banner, Entries, Heading, Paragraph, Ticks
from service.papers.tables import Table

_NAMES = 0.27  # of the width, for the names of entries
_HIGHEST_BANNER = 0.5  # of a page; words that take more are plain text


@singledispatch
def slabs_of(block: object, frame: Frame) -> Iterator[Slab]:
    raise TypeError(f"{type(block).__name__} is no block of a paper.")


@slabs_of.register
def _(block: Heading, frame: Frame) -> Iterator[Slab]:
    yield replace(space(frame.gap * 0.5), keeps=True, blank=False)
    heading = Type(frame.type.size * 1.12, bold=True)
    yield from (replace(slab, keeps=True) for slab in text_slabs(block.text, frame, heading))
    yield replace(space(2), keeps=True, blank=False)


@slabs_of.register
def _(block: Paragraph, frame: Frame) -> Iterator[Slab]:
    type_ = replace(frame.type, bold=block.strong)
    if not block.listed:
        yield from text_slabs(block.text, frame, type_)
        return
    indent = frame.type.size * 1.1
    dash, text = piece("\u2013", 0, indent, type_), piece(block.text, indent, frame.width - indent, type_)
    yield from row_slabs((dash, text), lines_at_once=1)


@slabs_of.register
def _(block: Entries, frame: Frame) -> Iterator[Slab]:
    start = frame.width * _NAMES
    for row in block.rows:
        name = piece(row.name, 0, start - frame.gap, frame.type, shade=QUIET)
        value = piece(row.value, start, frame.width - start, replace(frame.type, bold=row.strong))
        yield from row_slabs((name, value), lines_at_once=1, padding=0.8)


@slabs_of.register
def _(block: Banner, frame: Frame) -> Iterator[Slab]:
    words, sign = Type(frame.type.size * 1.7, bold=True), Type(frame.type.size * 2, bold=True)
    inset = frame.type.size
    start = inset + (sign.size * 1.4 if block.sign else 0)
    text = piece(block.text, start, frame.width - start - inset, words)
    mark = piece(block.sign, inset, sign.size * 1.4, sign)
    height = len(text.lines) * words.leading + inset
    if height > frame.height * _HIGHEST_BANNER:
        yield from text_slabs(block.text, frame, replace(frame.type, bold=True))
        return

    def draw(canvas: Canvas, left: float, top: float) -> None:
        box(canvas, left, top, frame.width, height, weight=1.6)
        draw_line(canvas, mark.lines[0], mark, left, top - (height - sign.leading) / 2)
        for place, line in enumerate(text.lines):
            draw_line(canvas, line, text, left, top - inset / 2 - place * words.leading)

    yield Slab(height, draw)


@slabs_of.register
def _(block: Ticks, frame: Frame) -> Iterator[Slab]:
    side = frame.type.size
    for label in block.labels:
        text = piece(label, side * 1.7, frame.width - side * 1.7, frame.type)
        first, *others = row_slabs((text,), lines_at_once=1, padding=1.5)
        yield replace(first, draw=_ticked(first, side))
        yield from others


def _ticked(slab: Slab, side: float) -> Draw:
    def draw(canvas: Canvas, left: float, top: float) -> None:
        slab.draw(canvas, left, top)
        box(canvas, left, top - 2, side, side)

    return draw


@slabs_of.register
def _(block: Table, frame: Frame) -> Iterator[Slab]:
    yield from table_slabs(block, frame)
