"""A paper drawn as PDF: its slabs laid on pages first, so that every page can say how many there are."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from threading import Lock

from service.papers.drawing.blocks import slabs_of
from service.papers.drawing.codes import MILLIMETRE, draw_qr, qr_side
from service.papers.drawing.fonts import Type
from service.papers.drawing.slabs import (
    QUIET,
    Canvas,
    Frame,
    Piece,
    Slab,
    draw_line,
    hairline,
    piece,
    row_slabs,
    space,
)
from service.papers.paper import Block, Heading, Paper, Paragraph

_drawing = Lock()  # what the library keeps of fonts is shared by all that is being drawn
_PAGE_WORDS = 7  # times the footer's type: room for "Page 100 of 100"
Page = tuple[Slab, ...]


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A size in points, with where its blocks and its footer stand."""

    width: float
    height: float
    margin: float
    frame: Frame
    footer: Piece

    @classmethod
    def of(cls, paper: Paper) -> _Sheet:
        width, height, margin = (side * MILLIMETRE for side in (paper.size.width, paper.size.height, paper.size.margin))
        inner, small = width - 2 * margin, Type(paper.size.text * 0.75)
        footer = piece(paper.footer, 0, inner - _PAGE_WORDS * small.size, small, shade=QUIET)
        below = len(footer.lines) * small.leading + small.size
        frame = Frame(inner, height - 2 * margin - below, Type(paper.size.text))
        return cls(width, height, margin, frame, footer)


def pdf_of(paper: Paper) -> bytes:
    """The same bytes for the same paper, whenever and wherever it is drawn: one at a time in a process."""
    with _drawing:
        return _drawn(paper)


def _drawn(paper: Paper) -> bytes:
    from reportlab.pdfgen.canvas import Canvas as Pdf  # noqa: PLC0415 - loaded on first use

    sheet, file = _Sheet.of(paper), BytesIO()
    canvas = Pdf(file, pagesize=(sheet.width, sheet.height), invariant=1, pageCompression=1, lang="en")
    canvas.setTitle(paper.title)
    canvas.setCreator("Gudgeon")
    pages = _laid(_slabs(paper, sheet.frame), sheet.frame.height)
    for number, page in enumerate(pages, start=1):
        _draw(canvas, sheet, page, f"Page {number} of {len(pages)}")
    canvas.save()
    return file.getvalue()


def _slabs(paper: Paper, frame: Frame) -> Iterator[Slab]:
    yield from _title(paper, frame)
    above: Block | None = None
    for block in paper.blocks:
        if not _close(above, block):
            yield space(frame.gap)
        yield from slabs_of(block, frame)
        above = block


def _close(above: Block | None, block: Block) -> bool:
    """A heading stands close above its block, and what is listed stands close together."""
    both_listed = all(isinstance(one, Paragraph) and one.listed for one in (above, block))
    return isinstance(above, Heading) or both_listed


def _title(paper: Paper, frame: Frame) -> Iterator[Slab]:
    """Title and subtitle, with the code in the corner beside them."""
    corner = paper.corner
    side = 0.0 if corner is None else qr_side(corner)
    room = frame.width - side - (frame.gap if side else 0)
    title = row_slabs((piece(paper.title, 0, room, Type(frame.type.size * 1.6, bold=True)),), lines_at_once=1)
    below = row_slabs((piece(paper.subtitle, 0, room, frame.type, shade=QUIET),), lines_at_once=1)
    lines = [*title, *(below if paper.subtitle else ())]
    if corner is None:
        yield from lines
        return

    def draw(canvas: Canvas, left: float, top: float) -> None:
        draw_qr(canvas, corner, left + frame.width - side, top)

    # Drawn first and without height, so that title and subtitle stand beside it.
    yield Slab(0, draw, keeps=True)
    yield from lines
    yield space(max(0.0, side - sum(slab.height for slab in lines)))


def _laid(slabs: Iterable[Slab], height: float) -> list[Page]:
    """The slabs by page: those that keep together move on together, and a space never opens a page."""
    pages: list[list[Slab]] = [[]]
    room = height
    for group in _groups(slabs, height):
        needed = sum(slab.height for slab in group)
        if needed > room and pages[-1]:
            again = group[0].again
            pages.append([] if again is None else [again])
            room = height - sum(slab.height for slab in pages[-1])
        if group[0].blank and not pages[-1]:
            continue
        pages[-1] += group
        room -= needed
    return [tuple(page) for page in pages]


def _groups(slabs: Iterable[Slab], height: float) -> Iterator[list[Slab]]:
    """Each slab with those it keeps to; more than a page holds is kept to nothing."""
    group: list[Slab] = []
    for slab in slabs:
        group.append(slab)
        if not slab.keeps:
            yield from _divided(group, height)
            group = []
    yield from _divided(group, height)


def _divided(group: list[Slab], height: float) -> Iterator[list[Slab]]:
    if sum(slab.height for slab in group) > height:
        yield from ([slab] for slab in group)
    elif group:
        yield group


def _draw(canvas: Canvas, sheet: _Sheet, page: Sequence[Slab], words: str) -> None:
    at = sheet.height - sheet.margin
    for slab in page:
        slab.draw(canvas, sheet.margin, at)
        at -= slab.height
    _draw_footer(canvas, sheet, words)
    canvas.showPage()


def _draw_footer(canvas: Canvas, sheet: _Sheet, words: str) -> None:
    footer, left, right = sheet.footer, sheet.margin, sheet.width - sheet.margin
    top = sheet.margin + len(footer.lines) * footer.type.leading
    hairline(canvas, left, right, top + 2)
    for place, line in enumerate(footer.lines):
        draw_line(canvas, line, footer, left, top - place * footer.type.leading)
    number = Piece((words,), 0, right - left, footer.type, to_the_right=True, shade=QUIET)
    draw_line(canvas, words, number, left, top)
