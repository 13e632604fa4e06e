"""The fonts that papers are drawn in, embedded in each, and what they have no glyph for.

DejaVu Sans Condensed has Latin, Greek, Cyrillic, Hebrew and Arabic letters, WenQuanYi Micro Hei Chinese, Japanese and
Korean ones, in one weight alone. Both come as packages of which only the font files are read.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.metadata import distribution
from itertools import groupby
from threading import RLock
from typing import Any

WESTERN = "rinoh-typeface-dejavusans"
EASTERN = "paperang-p2-fonts-cjk"
FILES = {
    "paper": (WESTERN, "rinoh_typeface_dejavusans/DejaVuSansCondensed.ttf"),
    "paper-bold": (WESTERN, "rinoh_typeface_dejavusans/DejaVuSansCondensed-Bold.ttf"),
    "paper-east": (EASTERN, "paperang_p2_fonts_cjk/fonts/wqy-microhei.ttc"),
}
_loading = RLock()


@dataclass(frozen=True, slots=True)
class Type:
    """In which letters a text is set: their height in points, and whether they are heavy."""

    size: float
    bold: bool = False

    @property
    def leading(self) -> float:
        return self.size * 1.28


@dataclass(frozen=True, slots=True)
class Run:
    """A piece of a line that one font draws."""

    font: str
    text: str


def drawable(character: str) -> bool:
    return any(ord(character) in _glyphs(name) for name in ("paper", "paper-east"))


def runs(line: str, *, bold: bool) -> Iterator[Run]:
    """A line, in the order it is drawn, by the font that has its characters."""
    for font, characters in groupby(line, lambda character: _font_of(character, bold=bold)):
        yield Run(font, "".join(characters))


def width(text: str, type_: Type) -> float:
    """In points. The fonts are set without kerning, so a text is as wide as its characters together."""
    return type_.size * sum(_advance(character, bold=type_.bold) for character in text)


@lru_cache(maxsize=8_192)
def _advance(character: str, *, bold: bool) -> float:
    """How wide a character is in type of one point."""
    return float(_font(_font_of(character, bold=bold)).stringWidth(character, 1))


def _font_of(character: str, *, bold: bool) -> str:
    western = "paper-bold" if bold else "paper"
    if ord(character) in _glyphs(western):
        return western
    return "paper" if ord(character) in _glyphs("paper") else "paper-east"


def _glyphs(name: str) -> Any:
    return _font(name).face.charToGlyph


@cache
def _font(name: str) -> Any:
    """The font, made known to the library under that name, once: a second one would lose what was drawn so far."""
    with _loading:
        return _registered(name)


@cache
def _registered(name: str) -> Any:
    from reportlab.pdfbase import pdfmetrics  # noqa: PLC0415 - loaded on first use
    from reportlab.pdfbase.ttfonts import TTFont  # noqa: PLC0415

    package, file = FILES[name]
    font = TTFont(name, str(distribution(package).locate_file(file)))
    pdfmetrics.registerFont(font)
    return font
