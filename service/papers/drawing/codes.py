"""Bar codes and QR codes, black on white with the quiet zones their readers need."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import Any

from service.papers.drawing.fonts import Type
from service.papers.drawing.slabs import Canvas, Frame, Slab, draw_line, piece
from service.papers.paper import Barcode, QrCode

MILLIMETRE = 72 / 25.4
_QUIET_BARS = 10  # modules on either side of a Code 128 (ISO/IEC 15417, from memory)
_QUIET_DOTS = 4  # modules around a QR code (ISO/IEC 18004, from memory)
_FINEST, _WIDEST = 0.25 * MILLIMETRE, 0.5 * MILLIMETRE  # of a module that a hand reader takes (common practice)
_BAR_HEIGHT = 13 * MILLIMETRE
_QR = 24 * MILLIMETRE


def barcode_slabs(block: Barcode, frame: Frame) -> Iterator[Slab]:
    """The bars with their text below; a text whose bars would be too fine to read stands as a QR code."""
    module = min(_WIDEST, frame.width / (_modules(block.text) + 2 * _QUIET_BARS))
    if module < _FINEST:
        yield from qr_slabs(QrCode(block.text), frame)
        return
    caption = piece(block.text, _QUIET_BARS * module, frame.width - _QUIET_BARS * module, frame.type)

    def draw(canvas: Canvas, left: float, top: float) -> None:
        canvas.setFillGray(0)
        _bars(block.text, barWidth=module).drawOn(canvas, left + _QUIET_BARS * module, top - _BAR_HEIGHT)
        for place, line in enumerate(caption.lines):
            draw_line(canvas, line, caption, left, top - _BAR_HEIGHT - 2 - place * frame.type.leading)

    yield Slab(_BAR_HEIGHT + 2 + len(caption.lines) * frame.type.leading, draw)


def qr_slabs(block: QrCode, frame: Frame) -> Iterator[Slab]:
    """The code with its text beside it."""
    side = qr_side(block)
    caption = piece(block.text, side, frame.width - side, Type(frame.type.size * 0.85), shade=0.35)
    lines = caption.lines[: max(1, int(side // caption.type.leading))]

    def draw(canvas: Canvas, left: float, top: float) -> None:
        draw_qr(canvas, block, left, top)
        for place, line in enumerate(lines):
            draw_line(canvas, line, caption, left, top - 4 * side / 40 - place * caption.type.leading)

    yield Slab(side, draw)


def qr_side(block: QrCode) -> float:
    """How wide and high a code is drawn: as large as the eye likes, and no module finer than a reader takes."""
    return max(_QR, (len(_dots(block.text)) + 2 * _QUIET_DOTS) * _WIDEST)


def draw_qr(canvas: Canvas, block: QrCode, left: float, top: float) -> None:
    """Row by row, dark modules beside each other as one bar, so that no reader sees seams."""
    dots = _dots(block.text)
    side = qr_side(block) / (len(dots) + 2 * _QUIET_DOTS)
    canvas.setFillGray(0)
    for row, modules in enumerate(dots, start=_QUIET_DOTS):
        at = _QUIET_DOTS
        for dark, group in groupby(map(bool, modules)):
            many = len(list(group))
            if dark:
                canvas.rect(left + at * side, top - (row + 1) * side, many * side, side * 1.02, stroke=0, fill=1)
            at += many


def _bars(text: str, **drawn: float) -> Any:
    from reportlab.graphics.barcode.code128 import Code128  # noqa: PLC0415 - loaded on first use

    return Code128(text, quiet=0, barHeight=_BAR_HEIGHT, **drawn)


def _modules(text: str) -> float:
    return float(_bars(text, barWidth=1.0).width)


def _dots(text: str) -> list[list[bool]]:
    from reportlab.graphics.barcode.qr import QrCode as Drawn  # noqa: PLC0415 - loaded on first use

    drawn = Drawn(text, qrLevel="M")
    drawn.qr.make()
    return [list(row) for row in drawn.qr.modules]
