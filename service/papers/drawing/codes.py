"""QR codes, black on white with the quiet zone their readers need."""

from __future__ import annotations

from itertools import groupby

from service.papers.drawing.slabs import Canvas
from service.papers.paper import QrCode

MILLIMETRE = 72 / 25.4
_QUIET_DOTS = 4  # modules around a QR code (ISO/IEC 18004, from memory)
_FINEST = 0.5 * MILLIMETRE  # of a module that every hand reader takes (common practice, no source)
_QR = 24 * MILLIMETRE


def qr_side(block: QrCode) -> float:
    """How wide and high a code is drawn: as large as the eye likes, and no module finer than a reader takes."""
    return max(_QR, (len(_dots(block.text)) + 2 * _QUIET_DOTS) * _FINEST)


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


def _dots(text: str) -> list[list[bool]]:
    from reportlab.graphics.barcode.qr import QrCode as Drawn  # noqa: PLC0415 - loaded on first use
    from reportlab.graphics.barcode.qrencoder import QR8bitByte  # noqa: PLC0415

    # Left to choose, it writes a text all of kanji in another encoding than the rest.
    drawn = Drawn(text if text.isascii() else [QR8bitByte(text)], qrLevel="M")
    drawn.qr.make()
    return [list(row) for row in drawn.qr.modules]
