"""Sheets that papers are drawn on."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Size:
    """A sheet in millimetres, upright, with its margin; `text` is the height of its running text in points."""

    name: str
    width: int
    height: int
    margin: int
    text: float


A4 = Size("A4", 210, 297, 16, 9.5)  # ISO 216
LETTER = Size("Letter", 216, 279, 16, 9.5)  # 8 1/2 by 11 inches, to the millimetre
LABEL_100_150 = Size("label 100 x 150 mm", 100, 150, 5, 10)
LABEL_62_100 = Size("label 62 x 100 mm", 62, 100, 3, 7.5)
