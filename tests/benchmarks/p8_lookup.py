"""P8: a number found by an index against a dict; one slip away against a dict and against ranking by trigrams.

The statements are those of the catalogue's own tables, written once; the whole look-up (reading, every list, judging)
is printed beside them. Numbers are generated, so that many lie one slip from each other: the hard case for all sides.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from random import Random

from django.db import DatabaseError, connection, transaction
from django.db.backends.utils import CursorWrapper

from catalog import loading
from catalog.domain.lookup.edits import is_one_edit
from catalog.domain.lookup.search_keys import one_edit_keys
from catalog.domain.part_numbers import number_key
from catalog.usecases.looking_up import hits_of
from tests.benchmarks.measuring import Row, interleaved
from tests.benchmarks.shelves import shelf_of
from tests.domain.slips import slips

SIZES = (10_000, 100_000)
ASKED = 40
EXACT, SLIP, TRIGRAM = 12.0, 4.0, 0.1
SHOWN = 20
BY_KEY = "SELECT id FROM catalog_part WHERE number_key = %s"
Keys = Mapping[str, Sequence[int]]
Ask = Callable[[str], list[int]]


def measure() -> list[Row]:
    return [row for size in SIZES for row in _of_size(size)]


def _of_size(size: int) -> list[Row]:
    chance = Random(size)  # noqa: S311 - variety, no secret
    with shelf_of(size) as keys:
        sample = chance.sample(sorted(keys), ASKED)
        printed = [f"{key[:3]}-{key[3:]}" for key in sample]
        typed = [chance.choice(sorted(slips(key) - keys.keys())) for key in sample]
        return [_exact(size, printed, keys), *_one_slip(size, list(zip(sample, typed, strict=True)), keys)]


def _exact(size: int, printed: Sequence[str], keys: Keys) -> Row:
    taken = interleaved(
        {
            "dict": lambda: [keys.get(number_key(one)) for one in printed],
            "statement": lambda: _by_keys(printed),
            "whole look-up": lambda: [hits_of(one, "p8") for one in printed],
        },
        repeat=1,
    )
    return _row(f"P8 exact number, {size:,} parts", taken, "statement", "dict", EXACT)


def _one_slip(size: int, pairs: Sequence[tuple[str, str]], keys: Keys) -> list[Row]:
    typed = [slip for _, slip in pairs]
    ranked = _trigrams()
    sides: dict[str, Callable[[], object]] = {
        "dict": lambda: [[keys[one] for one in slips(slip) if one in keys] for slip in typed],
        "statement": lambda: [_by_slips(slip) for slip in typed],
        "whole look-up": lambda: [hits_of(slip, "p8") for slip in typed],
    }
    if ranked is not None:
        sides["trigrams"] = lambda: [ranked(slip) for slip in typed]
    taken = interleaved(sides, repeat=1)
    rows = [_row(f"P8 one slip away, {size:,} parts", taken, "statement", "dict", SLIP)]
    if ranked is not None:
        rows.append(_row(f"P8 one slip away, {size:,} parts", taken, "statement", "trigrams", TRIGRAM))
    return [*rows, _recall(size, pairs, keys, {"statement": _by_slips, **({"trigrams": ranked} if ranked else {})})]


def _recall(size: int, pairs: Sequence[tuple[str, str]], keys: Keys, sides: Mapping[str, Ask]) -> Row:
    """Of how many slips the number meant is among what is found; trigrams show their best twenty."""
    found = {
        f"{name} %": 100 * sum(keys[meant][0] in ask(slip) for meant, slip in pairs) / len(pairs)
        for name, ask in sides.items()
    }
    share = found["statement %"]
    return Row(f"P8 recall, {size:,} parts", share, "% of slips", "100", share == 100, found)


def _row(name: str, taken: Mapping[str, float], ours: str, theirs: str, aim: float) -> Row:
    ratio = taken[ours] / taken[theirs]
    beside = {f"{side} us": time / ASKED for side, time in taken.items()}
    return Row(name, ratio, f"of {theirs}", f"<= {aim}", ratio <= aim, beside)


def _by_keys(printed: Sequence[str]) -> list[list[int]]:
    """By one cursor: opening one takes as long as the statement, and a request opens one for many."""
    with connection.cursor() as cursor:
        return [_ids(cursor, BY_KEY, [number_key(one)]) for one in printed]


def _by_slips(typed: str) -> list[int]:
    loaded = loading.candidates(loading.by_slips(one_edit_keys([typed])))
    return [part.id for part in loaded if is_one_edit(part.key, typed)]


def _ids(cursor: CursorWrapper, sql: str, parameters: Sequence[str | int]) -> list[int]:
    cursor.execute(sql, parameters)
    return [number for (number,) in cursor.fetchall()]


def _trigrams() -> Ask | None:
    """Ranking by trigrams as the database brings it; None where it brings none."""
    making, ask = _OF_VENDOR[connection.vendor]
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            for statement in making:
                cursor.execute(statement)
    except DatabaseError:
        return None
    return ask


def _fts5(typed: str) -> list[int]:
    grams = " OR ".join(f'"{typed[at : at + 3]}"' for at in range(len(typed) - 2))
    with connection.cursor() as cursor:
        return _ids(cursor, "SELECT rowid FROM p8 WHERE p8 MATCH %s ORDER BY rank LIMIT %s", [grams, SHOWN])


def _pg_trgm(typed: str) -> list[int]:
    text = "SELECT id FROM p8 WHERE number_key %% %s ORDER BY similarity(number_key, %s) DESC, id LIMIT %s"
    with connection.cursor() as cursor:
        return _ids(cursor, text, [typed, typed, SHOWN])


_OF_VENDOR: Mapping[str, tuple[tuple[str, ...], Ask]] = {
    "sqlite": (
        (
            "CREATE VIRTUAL TABLE p8 USING fts5(number_key, tokenize='trigram')",
            "INSERT INTO p8(rowid, number_key) SELECT id, number_key FROM catalog_part",
        ),
        _fts5,
    ),
    "postgresql": (
        (
            "CREATE EXTENSION IF NOT EXISTS pg_trgm",
            # A table of its own: an index of trigrams on the catalogue's would be taken for equality too.
            "CREATE TABLE p8 AS SELECT id, number_key FROM catalog_part",
            "CREATE INDEX p8_trigrams ON p8 USING gin (number_key gin_trgm_ops)",
            "ANALYZE p8",
        ),
        _pg_trgm,
    ),
}
