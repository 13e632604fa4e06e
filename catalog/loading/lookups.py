"""Parts that may answer to what was typed or scanned: by indexes alone, in a number of statements that is fixed.

Lists that could be long are cut, and in the order in which hits are shown, so that whoever is cut stands behind
`MOST_OF_A_LIST` others. Withdrawn parts are loaded only where they may be the very part asked for, or lead on to it.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from django.db import connection
from django.db.models import Q, QuerySet
from django.db.models.expressions import RawSQL

from catalog.domain.lookup.judging import Candidate, Package
from catalog.domain.lookup.pieces import LONGEST_PIECE
from catalog.domain.lookup.search_keys import FirstKeys, FurtherKeys, Inside, KeyRange, Words, after_prefix
from catalog.loading import remembered
from catalog.models import Barcode, Maker, Part, PartPiece, Side, Status
from catalog.models.lookup import ByCodePoint, PieceKind

MOST_OF_A_LIST = 60
MOST_SIGNS = 100  # each adds two keys a character to what one slip is asked by
_COLUMNS = ("id", "maker__code", "number", "number_key", "number_no_zeros", "name", "status")
_IN_ORDER = ("number_key", ByCodePoint("number"), ByCodePoint("maker__code"), "id")
_LIVE = Q(status=Status.ACTIVE)


@dataclass(frozen=True, slots=True)
class Listed:
    """A statement for some parts, written by Django, with its parameters."""

    text: str
    parameters: tuple[Any, ...]


@dataclass(slots=True)
class Shelf:
    """The candidates loaded so far by id, and which of them are withdrawn."""

    rows: dict[int, Candidate] = field(default_factory=dict)
    withdrawn: set[int] = field(default_factory=set)


def makers_and_signs(stamp: str) -> tuple[tuple[str, ...], str]:
    """The codes of all makers, and the characters besides the usual ones that keys are made of.

    Two statements a version of the catalogue, else none.
    """
    kept = remembered.at(stamp)
    if "makers and signs" not in kept:
        makers = tuple(Maker.objects.order_by("code").values_list("code", flat=True))
        signs = PartPiece.objects.filter(kind=PieceKind.SIGN).order_by("text").values_list("text", flat=True)
        kept["makers and signs"] = makers, "".join(signs.distinct()[:MOST_SIGNS])
    found: tuple[tuple[str, ...], str] = kept["makers and signs"]
    return found


def by_first_keys(keys: FirstKeys) -> Shelf:
    """All that is sure or close. Two statements."""
    packages = _packages(keys.barcodes)
    wanted = [
        Q(pk__in=sorted(packages)) if packages else None,
        Q(number_key__in=keys.keys) if keys.keys else None,
        _LIVE & Q(number_no_zeros__in=keys.no_zeros) if keys.no_zeros else None,
        _LIVE & Q(number_look_alike__in=keys.look_alikes) if keys.look_alikes else None,
    ]
    lists = [_listed(Part.objects.filter(one)) for one in wanted if one is not None]
    shelf = _together([*lists, *map(_beginning, keys.ranges)])
    for number, found in packages.items():
        if number in shelf.rows:
            shelf.rows[number] = replace(shelf.rows[number], packages=tuple(found))
    return shelf


def by_further_keys(keys: FurtherKeys, shelf: Shelf) -> None:
    """Add what is one slip away, holds the text, or is called so. One statement."""
    slips = [one_of_keys(keys.one_edit)] if keys.one_edit else []
    _add(shelf, _together([*slips, *map(_holding, keys.inside), *map(_called, keys.words)]))


def with_replacing(shelf: Shelf, sure: Collection[int]) -> None:
    """Add all that replaces these parts, directly or through others, and what leads there. Two statements, or one."""
    ways = _ways(sure)
    missing = {number for news in ways.values() for number in news} - shelf.rows.keys()
    if missing:
        _add(shelf, _together([_listed(Part.objects.filter(pk__in=sorted(missing)))]))
    for old, news in ways.items():
        shelf.rows[old] = replace(shelf.rows[old], superseded_by=tuple(sorted(news)))


def one_of_keys(keys: Sequence[str]) -> Listed:
    """Living parts with one of hundreds of keys, sent as one parameter so that the text is written once."""
    written = _living_by_keys(connection.vendor)
    sent = list(keys) if connection.vendor == "postgresql" else json.dumps(keys)
    return Listed(written.text, (sent, *written.parameters[1:]))


@cache
def _living_by_keys(vendor: str) -> Listed:
    """Its first parameter stands for the keys."""
    if vendor != "postgresql":
        return _listed(Part.objects.filter(Q(number_key__in=RawSQL("SELECT value FROM json_each(%s)", [None])), _LIVE))
    one = _listed(Part.objects.filter(_LIVE, number_key=RawSQL("asked.key", [])))
    # Left to choose, PostgreSQL walks all parts instead; OFFSET keeps it to the index, key by key.
    asked = "SELECT found.* FROM unnest(%s::varchar[]) AS asked(key) CROSS JOIN LATERAL "
    return Listed(f"{asked}({one.text} OFFSET 0) AS found", (None, *one.parameters))


def look_alikes(keys: Iterable[str]) -> Listed:
    return _listed(Part.objects.filter(_LIVE, number_look_alike__in=sorted(set(keys))))


def candidates(lists: Sequence[Listed]) -> tuple[Candidate, ...]:
    """The parts of several lists, each once. One statement."""
    return tuple(_together(lists).rows.values())


def _packages(codes: Iterable[str]) -> dict[int, list[Package]]:
    found: dict[int, list[Package]] = {}
    rows = Barcode.objects.filter(code__in=codes).order_by(ByCodePoint("code"))
    for part, code, count in rows.values_list("part", "code", "pack_quantity"):
        found.setdefault(part, []).append(Package(code, count))
    return found


def _beginning(wanted: KeyRange) -> Listed:
    return _cut(Part.objects.filter(_between("number_key", wanted.first, wanted.below)), wanted.maker)


def _holding(wanted: Inside) -> Listed:
    """Those whose keys begin with the text are found by the key itself."""
    return _cut(Part.objects.filter(_piece(PieceKind.ENDING, wanted.text)), wanted.maker)


def _called(wanted: Words) -> Listed:
    rows = Part.objects.all()
    for word in wanted.words:
        rows = rows.filter(_piece(PieceKind.WORD, word))
    return _cut(rows, wanted.maker)


def _piece(kind: PieceKind, text: str) -> Q:
    kept = text[:LONGEST_PIECE]
    rows = PartPiece.objects.filter(_between("text", kept, after_prefix(kept)), kind=kind)
    return Q(pk__in=rows.values("part"))


def _between(column: str, first: str, below: str | None) -> Q:
    since = Q((f"{column}__gte", first))
    return since if below is None else since & Q((f"{column}__lt", below))


def _cut(rows: QuerySet[Part], maker: str | None) -> Listed:
    own = rows if maker is None else rows.filter(maker__code=maker)
    return _listed(own.filter(_LIVE).order_by(*_IN_ORDER)[:MOST_OF_A_LIST])


def _listed(rows: QuerySet[Part]) -> Listed:
    text, parameters = rows.values_list(*_COLUMNS).query.sql_with_params()
    return Listed(text, tuple(parameters))


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
