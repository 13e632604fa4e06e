"""Which of the loaded parts answer to a reading, why, and in which order. Nothing is picked: all that answer are there.

Number beats barcode beats suggestion (common practice, no source). Digits with a wrong check digit are refused only
here, where it is known that no part has that very number: most part numbers of eight digits, were they barcodes, would
have a wrong one, and a number on the shelf must be found. No suggestion is made for such digits.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from catalog.domain import gtin
from catalog.domain.lookup import match_words as words
from catalog.domain.lookup.judging import Candidate, Match, judged, judged_by_barcode
from catalog.domain.lookup.match_words import GUESSES, PLACES, SURE, MatchedBy
from catalog.domain.lookup.reading import Reading

PAGE = 20


@dataclass(frozen=True, slots=True)
class Hit:
    """One part of the answer. `rank` counts from 1; `note` says why it is there and what was left out to find it.

    `pack_quantity` is how many pieces the scanned package holds; None where no package was scanned, or where it is not
    recorded.
    """

    candidate: Candidate
    matched_by: MatchedBy
    note: str
    rank: int
    pack_quantity: int | None = None


def found(reading: Reading, candidates: Iterable[Candidate]) -> tuple[Hit, ...]:
    """Every candidate that answers, in one order, whatever order they came in.

    Among the candidates must be those that replace a number asked for, else they are not in the answer. Raises Invalid
    for digits with a wrong check digit that are no part's number.
    """
    rows = {candidate.id: candidate for candidate in candidates}
    matches = _matches(reading, rows)
    if reading.wrong is not None and not any(match.kind in SURE for match in matches.values()):
        raise gtin.wrong_check_digit(reading.wrong, f"No part is numbered {reading.code}. ")
    matches |= _replacing(matches, rows)
    shown = sorted(_worth_showing(matches), key=lambda id_: in_order(rows[id_], matches[id_]))
    return tuple(
        Hit(rows[id_], matches[id_].kind, matches[id_].note, rank, matches[id_].pack_quantity)
        for rank, id_ in enumerate(shown, start=1)
    )


def first_page(hits: tuple[Hit, ...]) -> tuple[tuple[Hit, ...], bool]:
    """The hits to show, and whether there are more."""
    return hits[:PAGE], len(hits) > PAGE


def in_order(candidate: Candidate, match: Match) -> tuple[int, int, bool, str, str, str, int]:
    """Where a hit stands: a total order, since ids differ. Texts are compared by code points."""
    kind, step, other = PLACES[match.kind], match.step, match.other_maker
    return kind, step, other, candidate.key, candidate.number, candidate.maker, candidate.id


def _matches(reading: Reading, rows: Mapping[int, Candidate]) -> dict[int, Match]:
    coded = {id_: match for id_, row in rows.items() if (match := judged_by_barcode(row, reading))}
    if any(match.pack_quantity is not None for match in coded.values()):
        # What a record says of a pack's own code leaves nothing to conclude from its digits.
        coded = {id_: match for id_, match in coded.items() if match.pack_quantity is not None}
    named = {id_: match for id_, row in rows.items() if (match := judged(row, reading.attempts))}
    both = {id_: _surer(named.get(id_), coded.get(id_)) for id_ in rows}
    return {id_: match for id_, match in both.items() if match is not None}


def _surer(named: Match | None, coded: Match | None) -> Match | None:
    """A part found both ways is shown once, with what is recorded of the package that was scanned."""
    if named is None or coded is None:
        return named or coded
    if PLACES[coded.kind] < PLACES[named.kind]:
        return coded
    return replace(named, pack_quantity=coded.pack_quantity)


def _replacing(matches: Mapping[int, Match], rows: Mapping[int, Candidate]) -> dict[int, Match]:
    """What replaces the sure hits, directly or through others."""
    replaced: dict[int, Match] = {}
    for start in sorted(id_ for id_, match in matches.items() if match.kind in SURE):
        for new, way in _ways_from(start, rows).items():
            known = matches.get(new)
            if known is None or PLACES[known.kind] > PLACES[MatchedBy.SUPERSEDED]:
                in_a_loop = start in _ways_from(new, rows)
                said = words.replaces(tuple(rows[id_].shown for id_ in way), in_a_loop=in_a_loop)
                replaced.setdefault(new, Match(MatchedBy.SUPERSEDED, said))
    return replaced


def _ways_from(start: int, rows: Mapping[int, Candidate]) -> dict[int, tuple[int, ...]]:
    """The shortest way to everything that replaces a part; each number is walked once, and round a loop to itself."""
    ways: dict[int, tuple[int, ...]] = {}
    waiting: list[tuple[int, ...]] = [(start,)]
    for way in waiting:  # grows while it is walked
        for new in sorted(rows[way[-1]].superseded_by):
            if new in rows and new not in ways:
                ways[new] = (*way, new)
                waiting.append(ways[new])
    return ways


def _worth_showing(matches: Mapping[int, Match]) -> list[int]:
    """With something sure in hand no guesses, and nothing that took more off the text than it needed to be sure."""
    sure = [match.step for match in matches.values() if match.kind in SURE]
    if not sure:
        return list(matches)
    return [id_ for id_, match in matches.items() if match.kind not in GUESSES and match.step <= min(sure)]
