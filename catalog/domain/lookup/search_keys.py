"""Which keys a reading asks the catalogue for, so that rows are loaded by indexes and judged afterwards.

Two rounds: `first_keys` finds whatever is sure or close; `further_keys` is asked only where nothing sure was found.
Lists that may be cut short are cut in the order of `hits.in_order`: code points of key, number and maker, then id, as
columns of collation C give it on PostgreSQL and any column on SQLite.
"""

from __future__ import annotations

import re
import sys
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

from catalog.domain import gtin
from catalog.domain.lookup.attempts import Attempt
from catalog.domain.lookup.edits import shortened
from catalog.domain.lookup.look_alikes import look_alike_key
from catalog.domain.lookup.reading import Reading
from catalog.domain.part_numbers import without_zeros

LEAST_FOR_PREFIX = 3
LEAST_FOR_INSIDE = 5
LEAST_FOR_WORDS = 3
LEAST_FOR_ONE_EDIT = 3
# No printed number is longer, and every character adds a key and a row.
MOST_FOR_ONE_EDIT = 40
_LAST, _SURROGATES = chr(sys.maxunicode), (0xD800, 0xE000)


@dataclass(frozen=True, slots=True)
class KeyRange:
    """Keys from `first` on and before `below` (None: to the end), in order of code points; of one maker or any."""

    first: str
    below: str | None
    maker: str | None


@dataclass(frozen=True, slots=True)
class Inside:
    """Keys that hold a text anywhere; of one maker or any."""

    text: str
    maker: str | None


@dataclass(frozen=True, slots=True)
class Words:
    """Names in which each of these begins a word; of one maker or any."""

    words: tuple[str, ...]
    maker: str | None


@dataclass(frozen=True, slots=True)
class FirstKeys:
    """Equalities with the columns of keys, of keys without leading zeros, of look-alike keys, and of barcodes."""

    keys: tuple[str, ...]
    no_zeros: tuple[str, ...]
    look_alikes: tuple[str, ...]
    barcodes: tuple[str, ...]
    ranges: tuple[KeyRange, ...]


@dataclass(frozen=True, slots=True)
class FurtherKeys:
    """`one_edit` are keys and what is left of keys without one character, see `one_edit_keys`."""

    one_edit: tuple[str, ...]
    inside: tuple[Inside, ...]
    words: tuple[Words, ...]


def first_keys(reading: Reading) -> FirstKeys:
    wide = _wide(reading)
    return FirstKeys(
        keys=_once(attempt.key for attempt in reading.attempts),
        no_zeros=_once(without_zeros(attempt.key) for attempt in wide),
        look_alikes=_once(look_alike_key(attempt.key) for attempt in wide),
        barcodes=_barcodes(reading),
        ranges=tuple(
            KeyRange(one.key, after_prefix(one.key), one.maker) for one in wide if len(one.key) >= LEAST_FOR_PREFIX
        ),
    )


def further_keys(reading: Reading) -> FurtherKeys:
    wide = _wide(reading)
    return FurtherKeys(
        one_edit=one_edit_keys(attempt.key for attempt in wide),
        inside=tuple(Inside(one.key, one.maker) for one in wide if len(one.key) >= LEAST_FOR_INSIDE),
        words=tuple(Words(words, one.maker) for one in wide if (words := words_of(one.number))),
    )


def one_edit_keys(typed: Iterable[str]) -> tuple[str, ...]:
    """What a key that is one slip from any of these is, or is when one character is left out."""
    return _once(text for key in typed if slips_asked(key) for text in (key, *shortened(key)))


def slips_asked(key: str) -> bool:
    return LEAST_FOR_ONE_EDIT <= len(key) <= MOST_FOR_ONE_EDIT


def words_of(text: str) -> tuple[str, ...]:
    """The words of a text without their case, each once; none where all together are too short to mean anything."""
    found = _once(re.findall(r"\w+", unicodedata.normalize("NFKC", text).casefold()))
    return found if sum(map(len, found)) >= LEAST_FOR_WORDS else ()


def after_prefix(prefix: str) -> str | None:
    """The first text in order of code points behind all that begin so; None where there is no end to them."""
    bare = prefix.rstrip(_LAST)
    if not bare:
        return None
    point = ord(bare[-1]) + 1
    return bare[:-1] + chr(_SURROGATES[1] if _SURROGATES[0] <= point < _SURROGATES[1] else point)


def _wide(reading: Reading) -> tuple[Attempt, ...]:
    return tuple(attempt for attempt in reading.attempts if not attempt.only_whole)


def _barcodes(reading: Reading) -> tuple[str, ...]:
    """The code itself, and an item number in every length; of a pack the number of what it holds as well."""
    if reading.item is None:
        return (reading.code,)
    numbers = [reading.item, gtin.item_in_pack(reading.item)] if gtin.is_pack(reading.item) else [reading.item]
    return _once([reading.code, *(form for number in numbers for form in gtin.shorter_forms(number))])


def _once(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(texts))
