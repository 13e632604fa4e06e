"""One part beside one reading: the surest way in which it answers, or none."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.domain import gtin
from catalog.domain.lookup import match_words as words
from catalog.domain.lookup.attempts import Attempt
from catalog.domain.lookup.edits import is_one_edit
from catalog.domain.lookup.look_alikes import look_alike_key
from catalog.domain.lookup.match_words import PLACES, MatchedBy
from catalog.domain.lookup.reading import Reading
from catalog.domain.lookup.search_keys import LEAST_FOR_INSIDE, LEAST_FOR_PREFIX, slips_asked, words_of
from catalog.domain.part_numbers import without_zeros


@dataclass(frozen=True, slots=True)
class Package:
    """A code on a package as it was recorded, and how many pieces are in it."""

    code: str
    pack_quantity: int


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part as it was loaded: maker's code, number as printed, its keys, its name, its packages.

    `superseded_by` are the ids of the parts that stand directly on the new side of its supersessions.
    """

    id: int
    maker: str
    number: str
    key: str
    no_zeros: str
    name: str = ""
    packages: tuple[Package, ...] = ()
    superseded_by: tuple[int, ...] = ()

    @property
    def shown(self) -> str:
        return f"{self.maker} {self.number}"


@dataclass(frozen=True, slots=True)
class Match:
    """Why a part answers. `step` is how much was taken off the text; see `Attempt`."""

    kind: MatchedBy
    note: str
    step: int = 0
    other_maker: bool = False
    pack_quantity: int | None = None


def judged(candidate: Candidate, attempts: Iterable[Attempt]) -> Match | None:
    """The surest match of a part by its number or name; of equal ones that of the earlier attempt."""
    matches = [match for attempt in attempts if (match := _by_attempt(candidate, attempt))]
    return min(matches, key=lambda match: (PLACES[match.kind], match.step, match.other_maker), default=None)


def judged_by_barcode(candidate: Candidate, reading: Reading) -> Match | None:
    """The match of a part by a code on one of its packages.

    A pack whose own code is nobody's is known by its digits to hold the item; how many it holds is not.
    """
    for package in candidate.packages:
        if _is_code(package.code, reading):
            said = words.barcode_of(package.code, package.pack_quantity)
            return Match(MatchedBy.BARCODE, said, pack_quantity=package.pack_quantity)
    if reading.item is not None and gtin.is_pack(reading.item):
        held = gtin.item_in_pack(reading.item)
        if any(_fourteen(package.code) == held for package in candidate.packages):
            return Match(MatchedBy.BARCODE, words.PACK_UNKNOWN)
    return None


def _is_code(code: str, reading: Reading) -> bool:
    return code == reading.code or (reading.item is not None and _fourteen(code) == reading.item)


def _fourteen(code: str) -> str | None:
    return gtin.as_fourteen(code) if gtin.is_gtin_long(code) else None


def _by_attempt(candidate: Candidate, attempt: Attempt) -> Match | None:
    own = attempt.is_of(candidate.maker)
    by_number = _number_match(candidate, attempt, own=own)
    if by_number is None and own and not attempt.only_whole:
        by_number = _likeness(candidate, attempt)
    if by_number is None:
        return None
    kind, why = by_number
    return Match(kind, "; ".join((why, *attempt.notes)), attempt.step, not own)


def _number_match(candidate: Candidate, attempt: Attempt, *, own: bool) -> tuple[MatchedBy, str] | None:
    """Whether it is this number, or this number but for zeros in front."""
    if candidate.key == attempt.key:
        if not own:
            return MatchedBy.CONTAINS, words.OTHER_MAKER
        if candidate.number == attempt.number:
            return MatchedBy.EXACT, words.THIS_NUMBER
        return MatchedBy.NORMALISED, words.same_number(attempt.number, candidate.number)
    if candidate.no_zeros == without_zeros(attempt.key) and not attempt.only_whole:
        return MatchedBy.NEAR_TWIN, words.LOST_ZERO if own else words.LOST_ZERO_OTHER_MAKER
    return None


def _likeness(candidate: Candidate, attempt: Attempt) -> tuple[MatchedBy, str] | None:
    key, typed = candidate.key, attempt.key
    if len(typed) >= LEAST_FOR_PREFIX and key.startswith(typed):
        return MatchedBy.PREFIX, words.BEGINS
    if look_alike_key(key) == look_alike_key(typed):
        return MatchedBy.LOOK_ALIKE, words.looks_alike(typed, key)
    if slips_asked(typed) and is_one_edit(key, typed):
        return MatchedBy.ONE_EDIT, words.ONE_SLIP
    if len(typed) >= LEAST_FOR_INSIDE and typed in key:
        return MatchedBy.CONTAINS, words.HOLDS
    return (MatchedBy.TEXT, words.IN_NAME) if _in_name(candidate.name, attempt.number) else None


def _in_name(name: str, text: str) -> bool:
    asked, held = words_of(text), words_of(name)
    return bool(asked) and all(any(word.startswith(one) for word in held) for one in asked)
