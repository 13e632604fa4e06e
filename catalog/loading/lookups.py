"""Parts that may answer to what was typed or scanned: by indexes alone, in a number of statements that is fixed.

Lists that could be long are cut, and in the order in which hits are shown, so that whoever is cut stands behind
`MOST_OF_A_LIST` others. Withdrawn parts are loaded only where they may be the very part asked for, or lead on to it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.db import connection

from catalog.domain.lookup.judging import Candidate, Package
from catalog.domain.lookup.search_keys import FirstKeys, FurtherKeys
from catalog.loading import remembered
from catalog.loading.lookup_statements import Among, Listed, beginning, called, holding, packages_with, whose
from catalog.models import Maker, Side, Status


@dataclass(slots=True)
class Shelf:
    """The candidates loaded so far by id, and which of them are withdrawn."""

    rows: dict[int, Candidate] = field(default_factory=dict)
    withdrawn: set[int] = field(default_factory=set)


def makers(stamp: str) -> tuple[str, ...]:
    """The codes of all makers. One statement a version of the catalogue, else none."""
    kept = remembered.at(stamp)
    if "makers" not in kept:
        kept["makers"] = tuple(Maker.objects.order_by("code").values_list("code", flat=True))
    found: tuple[str, ...] = kept["makers"]
    return found


def by_first_keys(keys: FirstKeys) -> Shelf:
    """All that is sure or close. Two statements."""
    packages = _packages(keys.barcodes)
    lists = [
        *whose(Among.ID, sorted(packages)),
        *whose(Among.KEY, keys.keys),
        *whose(Among.NO_ZEROS, keys.no_zeros),
        *look_alikes(keys.look_alikes),
    ]
    shelf = _together([*lists, *map(beginning, keys.ranges)])
    for number, found in packages.items():
        if number in shelf.rows:
            shelf.rows[number] = replace(shelf.rows[number], packages=tuple(found))
    return shelf


def by_further_keys(keys: FurtherKeys, shelf: Shelf) -> None:
    """Add what is one slip away, holds the text, or is called so. One statement."""
    _add(shelf, _together([*by_slips(keys.one_edit), *map(holding, keys.inside), *map(called, keys.words)]))


def with_replacing(shelf: Shelf, sure: Collection[int]) -> None:
    """Add all that replaces these parts, directly or through others, and what leads there. Two statements, or one."""
    ways = _ways(sure)
    missing = {number for news in ways.values() for number in news} - shelf.rows.keys()
    if missing:
        _add(shelf, _together(whose(Among.ID, sorted(missing))))
    for old, news in ways.items():
        shelf.rows[old] = replace(shelf.rows[old], superseded_by=tuple(sorted(news)))


def by_slips(keys: Sequence[str]) -> list[Listed]:
    """Living parts whose keys are among these, whole or less a character; none for no keys."""
    return [*whose(Among.LIVING_KEY, keys), *whose(Among.SLIP, keys)]


def look_alikes(keys: Iterable[str]) -> list[Listed]:
    """Living parts with one of these look-alike keys; none for no keys."""
    return whose(Among.LOOK_ALIKE, sorted(set(keys)))


def candidates(lists: Sequence[Listed]) -> tuple[Candidate, ...]:
    """The parts of several lists, each once. One statement."""
    return tuple(_together(lists).rows.values())


def _packages(codes: Sequence[str]) -> dict[int, list[Package]]:
    found: dict[int, list[Package]] = {}
    asked = packages_with(codes)
    with connection.cursor() as cursor:
        cursor.execute(asked.text, asked.parameters)
        for part, code, count in cursor.fetchall():
            found.setdefault(part, []).append(Package(code, count))
    return found


def _together(lists: Sequence[Listed]) -> Shelf:
    """The rows of several lists by one statement, each with its own order and end, which Django's union has not."""
    shelf = Shelf()
    if lists:
        texts = (f"SELECT * FROM ({one.text}) AS list_{place}" for place, one in enumerate(lists))  # noqa: S608 - Django's
        with connection.cursor() as cursor:
            cursor.execute(" UNION ALL ".join(texts), [sent for one in lists for sent in one.parameters])
            _put(shelf, cursor.fetchall())
    return shelf


def _put(shelf: Shelf, rows: Iterable[Sequence[Any]]) -> None:
    for number, maker, printed, key, no_zeros, name, status in rows:
        shelf.rows[number] = Candidate(number, maker, printed, key, no_zeros, name)
        if status == Status.WITHDRAWN:
            shelf.withdrawn.add(number)


def _add(shelf: Shelf, more: Shelf) -> None:
    shelf.rows = more.rows | shelf.rows
    shelf.withdrawn |= more.withdrawn


# What replaces what, from some parts on; UNION and not UNION ALL, so that a loop is walked once.
_WAYS = """
WITH RECURSIVE steps(old, new) AS (
    SELECT o.part_id, n.part_id FROM {member} o JOIN {member} n ON n.supersession_id = o.supersession_id
    JOIN {supersession} s ON s.id = o.supersession_id
    WHERE s.status = %s AND o.side = %s AND n.side = %s AND o.part_id IN ({parts})
    UNION
    SELECT o.part_id, n.part_id FROM steps JOIN {member} o ON o.part_id = steps.new
    JOIN {member} n ON n.supersession_id = o.supersession_id JOIN {supersession} s ON s.id = o.supersession_id
    WHERE s.status = %s AND o.side = %s AND n.side = %s
)
SELECT old, new FROM steps
"""


def _ways(starts: Collection[int]) -> dict[int, set[int]]:
    """The new numbers directly behind each old one, for these parts and all that replaces them."""
    ways: dict[int, set[int]] = {}
    for old, new in _steps(sorted(starts)):
        ways.setdefault(old, set()).add(new)
    return ways


def _steps(starts: Sequence[int]) -> Iterator[tuple[int, int]]:
    tables = {"member": "catalog_supersessionmember", "supersession": "catalog_supersession"}
    sides = (Status.ACTIVE.value, Side.OLD.value, Side.NEW.value)
    with connection.cursor() as cursor:
        text = _WAYS.format(**tables, parts=", ".join(["%s"] * len(starts)))
        cursor.execute(text, [*sides, *starts, *sides])
        yield from cursor.fetchall()
