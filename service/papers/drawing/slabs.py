"""What is put on pages from top to bottom: slabs that are never cut. A block is as many as it may break into.

All measures are points; a slab is drawn with its left and upper corner given, upwards as PDF counts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from service.papers.drawing.fonts import Type, runs, width
from service.papers.drawing.wrapping import wrapped

Canvas = Any  # reportlab ships no types
Draw = Callable[[Canvas, float, float], None]
INK, QUIET, RULE = 0.0, 0.35, 0.75  # shades of grey: text, names of things, hairlines
_ASCENT = 0.95  # of the type's size, from the top of a line to its baseline


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a paper's blocks are drawn: width and height between the margins, and the type of running text."""

    width: float
    height: float
    type: Type

    @property
    def gap(self) -> float:
        return self.type.size * 0.6


@dataclass(frozen=True, slots=True)
class Slab:
    """`keeps` stays on one page with the slab below it; `again` is drawn first where this one opens a page.

    A `blank` one is left out where it would open a page.
    """

    height: float
    draw: Draw
    keeps: bool = False
    again: Slab | None = None
    blank: bool = False


@dataclass(frozen=True, slots=True)
class Piece:
    """Text in a row: its lines as they are drawn, where it starts, how wide its place is, and how it is set."""

    lines: tuple[str, ...]
    left: float
    width: float
    type: Type
    to_the_right: bool = False
    shade: float = INK


def piece(
    text: str, left: float, width: float, type_: Type, *, to_the_right: bool = False, shade: float = INK
) -> Piece:  # fmt: skip
    return Piece(wrapped(text, width, type_), left, width, type_, to_the_right, shade)


def space(height: float) -> Slab:
    return Slab(height, lambda _canvas, _left, _top: None, blank=True)


def text_slabs(text: str, frame: Frame, type_: Type, *, indent: float = 0.0, shade: float = INK) -> Iterator[Slab]:
    """Running text, which may break between any two of its lines."""
    yield from row_slabs((piece(text, indent, frame.width - indent, type_, shade=shade),), lines_at_once=1)


def row_slabs(pieces: Sequence[Piece], *, lines_at_once: int, padding: float = 0.0) -> Iterator[Slab]:
    """Pieces beside each other in slabs of at most so many lines, so that no row is higher than a page."""
    leading = max(one.type.leading for one in pieces)
    most = max(len(one.lines) for one in pieces)
    for start in range(0, most, lines_at_once):
        part = tuple(replace(one, lines=one.lines[start : start + lines_at_once]) for one in pieces)
        lines = max(len(one.lines) for one in part)
        yield Slab(lines * leading + 2 * padding, _drawing(part, leading, padding))


def _drawing(pieces: Sequence[Piece], leading: float, padding: float) -> Draw:
    def draw(canvas: Canvas, left: float, top: float) -> None:
        for one in pieces:
            for place, line in enumerate(one.lines):
                draw_line(canvas, line, one, left, top - padding - place * leading)

    return draw


def draw_line(canvas: Canvas, line: str, set_as: Piece, left: float, top: float) -> None:
    """One line at the top given, in as many fonts as its characters need."""
    at = left + set_as.left
    if set_as.to_the_right:
        at += set_as.width - width(line, set_as.type)
    canvas.setFillGray(set_as.shade)
    for run in runs(line, bold=set_as.type.bold):
        canvas.setFont(run.font, set_as.type.size)
        canvas.drawString(at, top - _ASCENT * set_as.type.size, run.text)
        at += width(run.text, set_as.type)


def hairline(canvas: Canvas, left: float, right: float, at: float, *, weight: float = 0.5, shade: float = RULE) -> None:
    canvas.setStrokeGray(shade)
    canvas.setLineWidth(weight)
    canvas.line(left, at, right, at)


def box(canvas: Canvas, left: float, top: float, width: float, height: float, *, weight: float = 0.7) -> None:
    """An empty box."""
    canvas.setStrokeGray(INK)
    canvas.setLineWidth(weight)
    canvas.rect(left, top - height, width, height, stroke=1, fill=0)
