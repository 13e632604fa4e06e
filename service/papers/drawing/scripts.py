"""Text of any script made ready to be drawn glyph by glyph from left to right.

First `prepared`, which keeps the order it is read in and so can be broken into lines; then each line `as_drawn`.
What no font here has a glyph for is said in words in its place, never drawn as an empty box.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from functools import cache
from itertools import groupby
from typing import Any

from service.papers.drawing.fonts import drawable

_RIGHT_TO_LEFT = frozenset({"R", "AL"})
# Explicit directions would let one name turn the digits of another around.
_DIRECTIONS = dict.fromkeys([*range(0x202A, 0x202F), *range(0x2066, 0x206A)])
_VARIANTS = dict.fromkeys(range(0xFE00, 0xFE10))
_MARKS_FIRST = re.compile("([\u0591-\u05bd\u05bf\u05c1\u05c2\u05c4\u05c5\u05c7\u064b-\u0652\u0670]+)(.)", re.DOTALL)


def prepared(text: str) -> str:
    """One paragraph in logical order: composed, without control characters, Arabic letters joined, gaps told."""
    plain = unicodedata.normalize("NFC", text).translate(_DIRECTIONS | _VARIANTS)
    plain = "".join(" " if unicodedata.category(character) == "Cc" else character for character in plain)
    joined = _joined(plain) if _holds_arabic(plain) else plain
    return _with_gaps_told("".join(character for character in joined if unicodedata.category(character) != "Cf"))


def as_drawn(line: str) -> str:
    """The line of a paragraph read from left to right, with what reads from right to left put in its place."""
    if not any(unicodedata.bidirectional(character) in _RIGHT_TO_LEFT for character in line):
        return line
    from bidi.algorithm import get_display  # noqa: PLC0415 - loaded on first use

    return _MARKS_FIRST.sub(r"\2\1", str(get_display(line, base_dir="L")))


def _holds_arabic(text: str) -> bool:
    return any(unicodedata.bidirectional(character) == "AL" for character in text)


def _joined(text: str) -> str:
    return str(_joining().reshape(text))


@cache
def _joining() -> Any:
    from arabic_reshaper import ArabicReshaper  # noqa: PLC0415 - loaded on first use

    return ArabicReshaper()


def _with_gaps_told(text: str) -> str:
    if all(character < "\u0250" or drawable(character) for character in text):
        return text
    return "".join(_told(kind, "".join(characters)) for kind, characters in groupby(text, _kind))


def _kind(character: str) -> str:
    """Empty for what can be drawn; else what the character is called here, the same for letters of one script."""
    if drawable(character):
        return ""
    name = unicodedata.name(character, f"U+{ord(character):04X}")
    if unicodedata.category(character)[0] not in "LMN" or name.startswith("U+"):
        return name if name.startswith("U+") else name.lower()
    script = name.split()[0]
    return script if script == "CJK" else script.capitalize()


def _told(kind: str, characters: str) -> str:
    if not kind:
        return characters
    if kind[0].islower() or kind.startswith("U+"):
        return f"[{kind}]" * len(characters)
    return f"[{len(characters)} {kind} character{'' if len(characters) == 1 else 's'}]"


def paragraphs(text: str) -> Iterator[str]:
    """The lines somebody typed, each made ready."""
    for line in text.splitlines() or [""]:
        yield prepared(line)
