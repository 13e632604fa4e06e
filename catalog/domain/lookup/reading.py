"""What was typed or scanned, read once: as a barcode, as numbers of one maker or any, as words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.domain.lookup.attempts import Attempt, attempts_of
from catalog.domain.lookup.elements import ReadElement
from catalog.domain.lookup.scans import scan_of
from service.errors import Invalid

LONGEST_QUERY = 200


@dataclass(frozen=True, slots=True)
class Reading:
    """`raw` as it came; `attempts` in the order in which they are heard, none where it can only be a barcode.

    `code` is what a package might carry as its own code; `item` is a trade item number in fourteen digits; `wrong` are
    digits of a trade item number with a wrong check digit, refused where no part has that very number.
    """

    raw: str
    code: str
    attempts: tuple[Attempt, ...] = ()
    item: str | None = None
    wrong: str | None = None
    notes: tuple[str, ...] = ()


def read_query(text: str, makers: Iterable[str], read_element: ReadElement) -> Reading:
    """Read what was typed or scanned. `makers` are the codes of all makers.

    Raises Invalid for a text too long or without letter or digit, and for a barcode with a wrong check digit, whose
    sentence names the right one. Digits that may as well be a part number are not refused here: see `hits.found`.
    """
    if len(text) > LONGEST_QUERY:
        raise Invalid(f"At most {LONGEST_QUERY} characters are searched for; {len(text)} came.", code="query_too_long")
    scan = scan_of(text, read_element)
    attempts = () if scan.only_barcode else attempts_of(scan.data, makers)
    if not attempts and not scan.only_barcode:
        raise Invalid(f"{text!r} holds no letter or digit to search for.", code="number_unreadable")
    return Reading(text, scan.data, attempts, scan.item, scan.wrong, scan.notes)


def tried(reading: Reading) -> tuple[str, ...]:
    """What was looked for, in words, for an answer that found nothing."""
    said = []
    if reading.item is not None:
        said.append(f"barcode {reading.item}")
    for attempt in reading.attempts:
        whose = f"{attempt.maker} " if attempt.maker is not None else ""
        said.append(f"number {whose}{attempt.number}" + "".join(f" ({note})" for note in attempt.notes))
    if reading.attempts:
        said.append("look-alikes, one character off, pieces of numbers, words of names")
    return tuple(f"Tried: {one}." for one in said)
