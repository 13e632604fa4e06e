"""What may stand in a cell of a stock or price file. Each reader takes the text and the decimal mark of the file.

Every one raises Invalid, saying what to write. Amounts come out as ten-thousandths, days as ISO text.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from catalog.domain.quantities import Dimension, quantity, same_dimension
from kits.domain.money import decimals_of
from service.errors import Invalid

LARGEST_COUNT = 10_000_000
LARGEST_LEAD = 1_000
_PLACES = 4  # of the ten-thousandths that amounts are kept in
_AMOUNTS = {
    ".": re.compile(r"(\d{1,10}|\d{1,3}(?:,\d{3}){1,3})(?:\.(\d+))?", re.ASCII),
    ",": re.compile(r"(\d{1,10}|\d{1,3}(?:\.\d{3}){1,3})(?:,(\d+))?", re.ASCII),
}
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_SIZE = re.compile(r"(\d{1,9}(?:[.,]\d{1,6})?)\s*([^\d\s].*)", re.ASCII)
_GROUPS = {".": ",", ",": "."}  # between thousands, by the decimal mark
_MARKS = {".": "point", ",": "comma"}


def amount(text: str, decimal: str) -> int:
    """`1.234,50` where a comma is declared, `1234.50` or `1,234.50` where a point is."""
    whole, _, fraction = text.partition(decimal)
    # As nearly every amount of a long file is written.
    if text.isascii() and whole.isdigit() and fraction.isdigit() and len(whole) <= 10 and len(fraction) <= _PLACES:
        return int(whole + fraction.ljust(_PLACES, "0"))
    found = _AMOUNTS[decimal].fullmatch(text)
    if found is None:
        words = f"{text[:40]!r} is no amount with a decimal {_MARKS[decimal]}"
        code = "wrong_decimal_mark" if _AMOUNTS["," if decimal == "." else "."].fullmatch(text) else "not_an_amount"
        raise Invalid(f"{words}; write digits alone, or declare the decimal mark of the file.", code=code)
    fraction = (found[2] or "").rstrip("0")
    if len(fraction) > _PLACES:
        raise Invalid(
            f"{text[:40]!r} has more than {_PLACES} decimals; amounts are kept to {_PLACES}.", code="too_fine"
        )
    return int(found[1].replace(_GROUPS[decimal], "") + fraction.ljust(_PLACES, "0"))


def price(text: str, decimal: str) -> int:
    ticks = amount(text, decimal)
    if not ticks:
        raise Invalid("A price of nothing was given; leave out what has no price.", code="price_of_nothing")
    return ticks


def currency(text: str, _decimal: str) -> str:
    decimals_of(text)
    return text


def count(text: str, _decimal: str) -> int:
    """Whole pieces, none among them."""
    return _whole(text, 0, LARGEST_COUNT)


def at_least_one(text: str, _decimal: str) -> int:
    return _whole(text, 1, LARGEST_COUNT)


def lead_days(text: str, _decimal: str) -> int:
    return _whole(text, 0, LARGEST_LEAD)


def flag(text: str, _decimal: str) -> bool:
    found = {"yes": True, "no": False}.get(text.lower())
    if found is None:
        raise Invalid(f"{text[:40]!r} was given; write yes or no.", code="not_a_flag")
    return found


def day(text: str, _decimal: str) -> str:
    """A date in one form only: in every other, day and month could be either."""
    wrong = Invalid(f"{text[:40]!r} is no date; write it like 2026-04-22.", code="not_a_date")
    if not _DAY.fullmatch(text):
        raise wrong
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise wrong from None


def size(text: str, decimal: str) -> int:
    """The microlitres in one container: `5 L`."""
    found = _SIZE.fullmatch(text)
    if found is None:
        raise Invalid(f"{text[:40]!r} is no volume; write a number and its unit, like 5 L.", code="not_a_volume")
    measured = quantity(found[1].replace(decimal, "."), found[2].strip())
    same_dimension(measured, Dimension.VOLUME)
    if measured.amount < 1:
        raise Invalid("A container of nothing was given; write what one holds, like 5 L.", code="not_a_volume")
    return measured.amount


class Text:
    """A text of at most so many characters."""

    def __init__(self, most: int) -> None:
        self.most = most

    def __call__(self, text: str, _decimal: str) -> str:
        if len(text) > self.most:
            raise Invalid(f"{len(text)} characters were given; at most {self.most} are kept.", code="text_too_long")
        return text

    def keeps(self, texts: Sequence[str]) -> bool:
        """Whether each of them is kept just as it is, blanks at its ends too."""
        return max(map(len, texts), default=0) <= self.most and list(map(str.strip, texts)) == texts


def _whole(text: str, least: int, most: int) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 9 and least <= int(text) <= most):
        raise Invalid(
            f"{text[:40]!r} was given; write a whole number from {least} to {most}.", code="not_a_whole_number"
        )
    return int(text)
