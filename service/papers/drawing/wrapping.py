"""Text broken into lines of a width: between words, between Chinese and Japanese signs, and else inside of a word."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from itertools import accumulate, takewhile

from service.papers.drawing.fonts import Type, width
from service.papers.drawing.scripts import as_drawn, paragraphs

_SIGN = "\u2e80-\u9fff\uf900-\ufaff\uff01-\uff60"
_CLOSING = "\u3001\u3002\u300d\u300f\u3011\uff01\uff09\uff0c\uff0e\uff1a\uff1b\uff1f\u30fc"
_PIECES = re.compile(rf"\s+|[{_SIGN}][{_CLOSING}]*|[^\s{_SIGN}]+")
_BREAKS_AFTER = "-/_.,;:"


def wrapped(text: str, available: float, type_: Type) -> tuple[str, ...]:
    """The lines as they are drawn, at least one; each at most `available` points wide."""
    lines = (line for paragraph in paragraphs(text) for line in _broken(paragraph, available, type_))
    return tuple(as_drawn(line) for line in lines)


def _broken(paragraph: str, available: float, type_: Type) -> Iterator[str]:
    line = ""
    for piece in _PIECES.findall(paragraph):
        if width((line + piece).rstrip(), type_) <= available:
            line += piece
            continue
        if line.strip():
            yield line.rstrip()
        line = piece.lstrip()
        while width(line, type_) > available and len(line) > 1:
            cut = _cut(line, available, type_)
            yield line[:cut]
            line = line[cut:]
    yield line.rstrip()


def _cut(word: str, available: float, type_: Type) -> int:
    """How many characters of a word fit, at least one: up to a hyphen where one is near, and never before a mark."""
    ends = accumulate(width(character, type_) for character in word)
    fitting = max(1, sum(1 for _ in takewhile(lambda end: end <= available, ends)))
    while fitting > 1 and fitting < len(word) and unicodedata.category(word[fitting]) == "Mn":
        fitting -= 1
    hyphen = max(word.rfind(mark, 0, fitting) for mark in _BREAKS_AFTER) + 1
    return hyphen if hyphen > fitting // 2 else fitting
