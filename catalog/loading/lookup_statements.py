"""The statements by which parts are looked for, written by Django once for each shape: that takes longer than running.

Lists that could be long are cut in the order in which hits are shown.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum, auto
from functools import cache, lru_cache
from typing import Any

from django.db import connection
from django.db.models import Q, QuerySet
from django.db.models.expressions import RawSQL

from catalog.domain.lookup.pieces import LONGEST_PIECE
from catalog.domain.lookup.search_keys import Inside, KeyRange, Words, after_prefix
from catalog.models import Barcode, Part, PartPiece, Status
from catalog.models.lookup import ByCodePoint, PieceKind

MOST_OF_A_LIST = 60
SHAPES_KEPT = 64  # of statements with pieces; they differ by how many words are asked for
_COLUMNS = ("id", "maker__code", "number", "number_key", "number_no_zeros", "name", "status")
_IN_ORDER = ("number_key", ByCodePoint("number"), ByCodePoint("maker__code"), "id")
_LIVE = Q(status=Status.ACTIVE)
# What stands in a statement for what is given each time it is asked.
_KEYS, _FIRST, _BELOW, _MAKER = "?keys", "?first", "?below", "?maker"


class Among(Enum):
    """What of a part is among the values given: of any part that may be the very one asked for, else of living ones."""

    ID = auto()
    KEY = auto()
    LIVING_KEY = auto()
    NO_ZEROS = auto()
    LOOK_ALIKE = auto()
    SLIP = auto()


_WHATEVER_ITS_STATUS = frozenset({Among.ID, Among.KEY})
_COLUMN = {
    Among.KEY: "number_key",
    Among.LIVING_KEY: "number_key",
    Among.NO_ZEROS: "number_no_zeros",
    Among.LOOK_ALIKE: "number_look_alike",
}


@dataclass(frozen=True, slots=True)
class Listed:
    """A statement with its parameters. Django writes it, once for each shape: writing takes longer than running."""

    text: str
    parameters: tuple[Any, ...]

    def given(self, values: Mapping[str, Any]) -> Listed:
        """The same with values in place of what stands for them."""
        return replace(self, parameters=tuple(values.get(one, one) for one in self.parameters))


def packages_with(codes: Sequence[str]) -> Listed:
    """The packages with one of these barcodes: part, code, pack quantity."""
    return _packages_with(connection.vendor).given({_KEYS: _sent(codes)})


def whose(among: Among, values: Sequence[str] | Sequence[int]) -> list[Listed]:
    """The parts of which that is among some values; no list for no values."""
    return [_whose(among, connection.vendor).given({_KEYS: _sent(values)})] if values else []


def beginning(wanted: KeyRange) -> Listed:
    """The first living parts whose keys begin so."""
    shape = _keys_between(maker=wanted.maker is not None, ends=wanted.below is not None)
    return shape.given({_FIRST: wanted.first, _BELOW: wanted.below, _MAKER: wanted.maker})


def holding(wanted: Inside) -> Listed:
    """The first living parts in whose keys the text stands behind the beginning."""
    return _with_pieces(PieceKind.ENDING, (wanted.text,), wanted.maker)


def called(wanted: Words) -> Listed:
    """The first living parts in whose names all these begin words."""
    return _with_pieces(PieceKind.WORD, wanted.words, wanted.maker)


def _sent(values: Sequence[str] | Sequence[int]) -> str | list[str | int]:
    """Any number of values as one parameter, so that the statement is the same for all."""
    return list(values) if connection.vendor == "postgresql" else json.dumps(values)


def _values(vendor: str, kind: str = "varchar") -> RawSQL:
    text = f"SELECT unnest(%s::{kind}[])" if vendor == "postgresql" else "SELECT value FROM json_each(%s)"
    return RawSQL(text, [_KEYS])  # noqa: S611 - no text of a user's is in it


@cache
def _packages_with(vendor: str) -> Listed:
    rows = Barcode.objects.filter(code__in=_values(vendor)).order_by(ByCodePoint("code"))
    return _listed(rows.values_list("part", "code", "pack_quantity"))


@cache
def _whose(among: Among, vendor: str) -> Listed:
    if among == Among.ID:
        asked = Q(pk__in=_values(vendor, "bigint"))
    elif among == Among.SLIP:
        asked = Q(pk__in=PartPiece.objects.filter(kind=PieceKind.SLIP, text__in=_values(vendor)).values("part"))
    else:
        asked = Q((f"{_COLUMN[among]}__in", _values(vendor)))
    rows = Part.objects.filter(asked)
    return _listed((rows if among in _WHATEVER_ITS_STATUS else rows.filter(_LIVE)).values_list(*_COLUMNS))


def _with_pieces(kind: PieceKind, texts: Sequence[str], maker: str | None) -> Listed:
    kept = [text[:LONGEST_PIECE] for text in texts]
    ends = [after_prefix(text) for text in kept]
    given: dict[str, Any] = {_MAKER: maker}
    for place, (text, end) in enumerate(zip(kept, ends, strict=True)):
        given |= {f"{_FIRST}{place}": text, f"{_BELOW}{place}": end}
    shape = _pieces_between(kind, maker=maker is not None, ends=tuple(end is not None for end in ends))
    return shape.given(given)


@lru_cache(maxsize=SHAPES_KEPT)
def _keys_between(*, maker: bool, ends: bool) -> Listed:
    return _cut(Part.objects.filter(_between("number_key", _FIRST, _BELOW, ends=ends)), maker=maker)


@lru_cache(maxsize=SHAPES_KEPT)
def _pieces_between(kind: PieceKind, *, maker: bool, ends: tuple[bool, ...]) -> Listed:
    """`ends` says of each piece whether there is an end to what begins with it."""
    rows = Part.objects.all()
    for place, end in enumerate(ends):
        begins = _between("text", f"{_FIRST}{place}", f"{_BELOW}{place}", ends=end)
        rows = rows.filter(pk__in=PartPiece.objects.filter(begins, kind=kind).values("part"))
    return _cut(rows, maker=maker)


def _between(column: str, first: str, below: str, *, ends: bool) -> Q:
    since = Q((f"{column}__gte", first))
    return since & Q((f"{column}__lt", below)) if ends else since


def _cut(rows: QuerySet[Part], *, maker: bool) -> Listed:
    own = rows.filter(maker__code=_MAKER) if maker else rows
    return _listed(own.filter(_LIVE).order_by(*_IN_ORDER).values_list(*_COLUMNS)[:MOST_OF_A_LIST])


def _listed(rows: QuerySet[Any, Any]) -> Listed:
    text, parameters = rows.query.sql_with_params()
    return Listed(text, tuple(parameters))
