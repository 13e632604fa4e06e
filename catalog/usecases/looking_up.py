"""Finding parts by what was typed or scanned: read, loaded by keys, judged; what nothing answers to is written down."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db.models import F, Value
from django.db.models.functions import Greatest

from catalog import loading
from catalog.domain.lookup import match_words
from catalog.domain.lookup.hits import Hit, found
from catalog.domain.lookup.match_words import GUESSES, SURE
from catalog.domain.lookup.reading import LONGEST_QUERY, Reading, read_query, tried
from catalog.domain.lookup.search_keys import first_keys, further_keys
from catalog.domain.part_numbers import number_key
from catalog.element_strings import first_element
from catalog.loading import Shelf
from catalog.models import LookupMiss, Part
from catalog.usecases.reading import Published, part_head
from catalog.usecases.refusals import below
from service.operations.models import Dealer

# Beyond this many a hit need not stand where it would among all parts, see `loading.MOST_OF_A_LIST`.
MOST_HITS = 50


@dataclass(frozen=True, slots=True)
class Looked:
    """What was found, as it is given out; `more` says that further hits were left out."""

    asked: str
    results: tuple[dict[str, Any], ...]
    notes: tuple[str, ...]
    more: bool

    @property
    def document(self) -> dict[str, Any]:
        return {"asked": self.asked, "results": list(self.results), "notes": list(self.notes), "more": self.more}


def look_up(text: str, now: Published, dealer: Dealer | None, at: datetime, *, most: int) -> Looked:
    """The first `most` hits for a text, at most `MOST_HITS`; nothing found is written down as the dealer's miss.

    Raises Invalid for a text that cannot be searched for and for a wrong check digit, with `?q` as its pointer.
    """
    with below("?q"):
        reading, hits = hits_of(text, now.standing.stamp)
    if not hits and dealer is not None:
        _write_down(text, dealer, at)
    notes = reading.notes if hits else (*reading.notes, *tried(reading))
    return Looked(text, tuple(_shown(hits[:most])), notes, more=len(hits) > most)


def hits_of(text: str, stamp: str) -> tuple[Reading, tuple[Hit, ...]]:
    """The text as it was read, and its hits: the first `MOST_HITS` are those that judging all parts there are gives.

    Withdrawn parts are among them only where they are what was asked for.
    """
    reading = read_query(text, loading.makers(stamp), first_element)
    shelf = loading.by_first_keys(first_keys(reading))
    hits = found(reading, shelf.rows.values())
    sure = [hit.candidate.id for hit in hits if hit.matched_by in SURE]
    if sure:
        loading.with_replacing(shelf, sure)
        hits = found(reading, shelf.rows.values())
    elif sum(hit.matched_by not in GUESSES for hit in _living(hits, shelf)) <= MOST_HITS:
        # Guesses stand behind all others: with enough of those none would be seen.
        loading.by_further_keys(further_keys(reading), shelf)
        hits = found(reading, shelf.rows.values())
    ranked = enumerate(_living(hits, shelf), start=1)
    return reading, tuple(replace(hit, rank=rank) for rank, hit in ranked)


def _living(hits: Iterable[Hit], shelf: Shelf) -> Iterator[Hit]:
    """The hits without withdrawn parts, except those that are the very part asked for: those say what replaces them."""
    for hit in hits:
        if hit.candidate.id not in shelf.withdrawn:
            yield hit
        elif hit.matched_by in SURE:
            instead = tuple(shelf.rows[new].shown for new in hit.candidate.superseded_by)
            yield replace(hit, note=f"{hit.note}; {match_words.withdrawn(instead)}")


def _shown(hits: Iterable[Hit]) -> Iterator[dict[str, Any]]:
    """The hits with their parts as lists show parts. One statement."""
    listed = tuple(hits)
    rows = Part.objects.select_related("maker").defer("facts").in_bulk([hit.candidate.id for hit in listed])
    for hit in listed:
        yield {
            "part": part_head(rows[hit.candidate.id]),
            "matched_by": hit.matched_by.value,
            "note": hit.note,
            "rank": hit.rank,
            "pack_quantity": hit.pack_quantity,
        }


def _write_down(text: str, dealer: Dealer, at: datetime) -> None:
    """Count a miss once for each dealer and number, whoever else writes the same one down just now."""
    bare = unicodedata.normalize("NFKC", text)
    # A scan keeps the separators between its elements, which no column has to hold.
    words = " ".join("".join(one if one.isprintable() else " " for one in bare).split())[:LONGEST_QUERY]
    key = number_key(text)[:LONGEST_QUERY]
    seen = LookupMiss.objects.filter(dealer=dealer, key=key)
    counted = {"count": F("count") + 1, "last_seen": Greatest(F("last_seen"), Value(at))}
    if not seen.update(**counted):
        new = LookupMiss(dealer=dealer, key=key, text=words or key, first_seen=at, last_seen=at)
        LookupMiss.objects.bulk_create([new], ignore_conflicts=True)
        seen.update(**counted)


def miss_document(row: LookupMiss) -> dict[str, Any]:
    return {
        "id": row.pk,
        "text": row.text,
        "count": row.count,
        "first_seen": row.first_seen,
        "last_seen": row.last_seen,
    }
