"""Part numbers that a spreadsheet has made into something else: what stood there before cannot be told from it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from service.errors import Invalid

_POWER = re.compile(r"\d(?:[.,]\d+)?[eE]\+?\d{1,3}")
_MONTH = "(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
_DAY = re.compile(
    rf"\d{{1,2}}[-. /]{_MONTH}(?:[-. /]\d{{2,4}})?|{_MONTH}[-. /]\d{{1,4}}|\d{{1,2}}/\d{{1,2}}/\d{{2,4}}"
    r"|\d{4}-\d{2}-\d{2}(?:[ T]\d{2}:\d{2}(?::\d{2})?)?",
    re.IGNORECASE | re.ASCII,
)
# A spreadsheet keeps fifteen digits of a number and writes zeros for the rest.
_ROUNDED = re.compile(r"[1-9]\d{14}0+", re.ASCII)
# All of them at once, since nearly every number of a long file is none of them.
_ANY_TEXT = "|".join(f"(?:{one.pattern})" for one in (_POWER, _DAY, _ROUNDED))
_ANY = re.compile(_ANY_TEXT, re.IGNORECASE | re.ASCII)
_ANY_LINE = re.compile(f"^(?:{_ANY_TEXT})$", re.IGNORECASE | re.ASCII | re.MULTILINE)
_KEEP_AS_TEXT = "Keep the column as text and take the number from where it came."


def looks_damaged(text: str) -> bool:
    """Whether `refuse_damage` has to look at a number of a cell that is text; asked first of the rows of long files."""
    return _ANY.fullmatch(text) is not None


def any_looks_damaged(texts: Iterable[str]) -> bool:
    """Whether `looks_damaged` may be true of one of them: surely where it is, and of all rows of a file in one go."""
    return _ANY_LINE.search("\n".join(texts)) is not None


def refuse_damage(text: str, *, converted: bool, rounded: bool = False) -> None:
    """Raises Invalid for a number that is damaged.

    `converted` is that the sheet keeps the cell as a number or a date; `rounded` that more than fifteen digits ending
    in zeros are refused too.
    """
    if not converted and not looks_damaged(text):
        return
    if _POWER.fullmatch(text):
        words = "a number that a spreadsheet has turned into a power of ten; its digits are lost here"
        raise Invalid(f"{text!r} is {words}. {_KEEP_AS_TEXT}", code="e_notation")
    if _DAY.fullmatch(text):
        words = "a number that a spreadsheet has turned into a date"
        raise Invalid(f"{text!r} is {words}. {_KEEP_AS_TEXT}", code="turned_into_a_date")
    if rounded and _ROUNDED.fullmatch(text):
        words = "a number of more than fifteen digits that a spreadsheet has rounded"
        raise Invalid(f"{text!r} is {words}. {_KEEP_AS_TEXT}", code="digits_rounded")
    if converted:
        words = "kept as a number or a date in the spreadsheet, and zeros in front of it may have been lost"
        raise Invalid(f"{text!r} is {words}. {_KEEP_AS_TEXT}", code="number_not_text")
