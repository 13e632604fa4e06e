"""Rows by what a question names, in a number of statements that does not grow with the catalogue.

Statements of makers are loaded for the position asked about, not for the whole engine: an engine lists hundreds of
parts, each with its facts, and a decision reads only those at one position. Where no position is given, those at
every position that could be meant are loaded, which is decided inside the same statement.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.db import connection
from django.db.models import Q, QuerySet

from catalog.domain.parts import SPECIFIES, StatementKind
from catalog.domain.serials import SerialScheme
from catalog.loading import remembered
from catalog.models import EngineSpecification, Part, Statement, Status
from catalog.models.facts import as_text

SPECIFICATIONS_KEPT = 256
STATEMENTS_KEPT = 32
NAMES_A_STATEMENT = 5_000  # more parameters than this some builds of SQLite do not take
Pair = tuple[str, str]  # model and specification number


@dataclass(frozen=True, slots=True)
class LoadedPart:
    """A part's row as found: how it is numbered, `text`, all that a decision reads of it, and its open holds."""

    id: int
    maker: str
    number: str
    key: str
    no_zeros: str
    name: str
    category: str
    withdrawn: bool
    in_chain: bool  # whether any replacement names it
    text: str
    held: str = ""


@dataclass(frozen=True, slots=True)
class PositionText:
    code: str
    category: str
    text: str


@dataclass(frozen=True, slots=True)
class LoadedSpecification:
    id: int
    withdrawn: bool
    key: str
    fuels: tuple[str, ...]
    scheme: SerialScheme
    positions: tuple[PositionText, ...]
    stages: tuple[str, ...] = ()  # of supply lines, each as its text


@dataclass(frozen=True, slots=True)
class LoadedStatement:
    """A statement's row; `document` is all of it but its part and its specification."""

    specification: int
    position: str
    category: str
    kind: StatementKind
    part: LoadedPart
    document: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which statements of one specification a question needs: at a position, or wherever these parts could go.

    `pieces` are parts that may be fitted at other positions beside the one asked about, and are asked about with it.
    """

    specification: int
    position: str | None
    parts: tuple[int, ...] = ()
    categories: tuple[str, ...] = ()
    pieces: tuple[int, ...] = ()

    @property
    def naming(self) -> tuple[int, ...]:
        """The parts by which a position is found."""
        return self.pieces if self.position is not None else self.parts


_PART_COLUMNS = (
    "id", "maker__code", "number", "number_key", "number_no_zeros", "name", "category", "status", "in_chain", "facts",
    "held",
)  # fmt: skip


def parts_answering(stamp: str, no_zeros: Iterable[str], ids: Iterable[int]) -> tuple[LoadedPart, ...]:
    """Every part with one of these keys (leading zeros aside) or ids.

    One statement for every `NAMES_A_STATEMENT` names that are not known yet, none where all are. The key without
    zeros finds exact, normalised and near-twin numbers alike, by one index.
    """
    kept = remembered.at(stamp)
    keys, numbers = sorted(set(no_zeros)), sorted(set(ids))
    new_keys = [key for key in keys if ("part", key) not in kept]
    new_ids = [number for number in numbers if ("part", number) not in kept]
    if new_keys or new_ids:
        # Kept only when complete: another thread must never find a name without its parts.
        kept.update(_parts(new_keys, new_ids))
    found = (part for name in (*keys, *numbers) for part in kept["part", name])
    return tuple(dict.fromkeys(found))


def _parts(keys: Sequence[str], ids: Sequence[int]) -> dict[tuple[str, str | int], tuple[LoadedPart, ...]]:
    names: tuple[str | int, ...] = (*keys, *ids)
    found: dict[tuple[str, str | int], tuple[LoadedPart, ...]] = {("part", name): () for name in names}
    for start in range(0, len(names), NAMES_A_STATEMENT):
        chunk = names[start : start + NAMES_A_STATEMENT]
        texts = sum(isinstance(name, str) for name in chunk)  # which come first, as in the statement
        for row in _rows(_parts_sql(texts, len(chunk) - texts), chunk):
            part = _part(row)
            names_of_it: tuple[str | int, ...] = (part.no_zeros, part.id)
            for name in names_of_it:
                if ("part", name) in found:
                    found["part", name] = (*found["part", name], part)
    return found


# Written by Django once for so many names: writing a statement takes longer than running it.
@lru_cache(maxsize=STATEMENTS_KEPT)
def _parts_sql(keys: int, ids: int) -> str:
    wanted = Q(number_no_zeros__in=[str(key) for key in range(keys)]) | Q(id__in=range(ids))
    return _sql(Part.objects.filter(wanted).order_by("id").values_list(*_PART_COLUMNS))


@lru_cache(maxsize=STATEMENTS_KEPT)
def _specifications_sql(models: int, specs: int) -> str:
    wanted = {"model__in": [str(one) for one in range(models)], "spec__in": [str(one) for one in range(specs)]}
    return _sql(EngineSpecification.objects.filter(**wanted).values_list("id", "status", "model", "spec", "facts"))


def _sql(rows: QuerySet[Any, Any]) -> str:
    sql, _ = rows.query.sql_with_params()
    return str(sql)


def _rows(sql: str, parameters: Sequence[str | int]) -> list[tuple[Any, ...]]:
    """Plain columns as the database gives them."""
    with connection.cursor() as cursor:
        cursor.execute(sql, parameters)
        found: list[tuple[Any, ...]] = cursor.fetchall()
    return found


def _part(row: Sequence[Any]) -> LoadedPart:
    number, maker, printed, key, no_zeros, name, category, status, in_chain, text, held = row
    return LoadedPart(
        number, maker, printed, key, no_zeros, name, category, status == Status.WITHDRAWN, bool(in_chain), text, held
    )


def specifications(stamp: str, pairs: Iterable[Pair]) -> dict[Pair, LoadedSpecification]:
    """Specifications by model and number: one statement, or none; what is not there is left out."""
    kept = remembered.at(stamp)
    wanted = set(pairs)
    new = {pair for pair in wanted if ("specification", pair) not in kept}
    if new:
        found: dict[tuple[str, Pair], LoadedSpecification | None] = {("specification", pair): None for pair in new}
        models, specs = sorted({model for model, _ in new}), sorted({spec for _, spec in new})
        rows = _rows(_specifications_sql(len(models), len(specs)), (*models, *specs))
        for number, status, model, spec, text in rows:
            found["specification", (model, spec)] = _specification(number, status == Status.WITHDRAWN, text)
        kept.update(found)
    return {pair: known for pair in wanted if (known := kept["specification", pair]) is not None}


def specification_numbers(models: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """The specification numbers known of each model, in one statement."""
    known: dict[str, tuple[str, ...]] = {}
    rows = EngineSpecification.objects.filter(model__in=sorted(set(models)), status=Status.ACTIVE)
    for model, spec in rows.order_by("model", "spec").values_list("model", "spec"):
        known[model] = (*known.get(model, ()), spec)
    return known


@lru_cache(maxsize=SPECIFICATIONS_KEPT)
def _specification(number: int, withdrawn: bool, text: str) -> LoadedSpecification:  # noqa: FBT001 - one private call
    document = json.loads(text)
    positions = tuple(PositionText(entry["code"], entry["category"], as_text(entry)) for entry in document["positions"])
    return LoadedSpecification(
        id=number,
        withdrawn=withdrawn,
        key=document["key"],
        fuels=tuple(document["fuels"]),
        scheme=SerialScheme(document["maker"], tuple(document["serial_prefixes"]) or ("",)),
        positions=positions,
        stages=tuple(as_text(entry) for entry in document["supply_stages"]),
    )


def statements(stamp: str, wanted: Iterable[Wanted]) -> Mapping[Wanted, tuple[LoadedStatement, ...]]:
    """For each question the statements it needs, with their parts: one statement of SQL for all, or none.

    A third party's list is no evidence and is left out.
    """
    kept = remembered.at(stamp)
    asked = tuple(dict.fromkeys(wanted))
    new = [one for one in asked if one not in kept]
    if new:
        at_positions = all(one.position is not None and not one.naming for one in new)
        rows = _at_positions(new) if at_positions else _said(_needed(new), _specifications_of(new))
        found = tuple(_statement(row) for row in rows)
        kept.update({one: _needed_by(one, found) for one in new})
    return {one: kept[one] for one in asked}


def _said(needed: Q, specifications: Iterable[int]) -> QuerySet[Any, Any]:
    return (
        Statement.objects.filter(needed, specification__in=specifications, status=Status.ACTIVE)
        .exclude(kind=StatementKind.THIRD_PARTY.value)
        .order_by("id")
        .values_list(*_STATEMENT_COLUMNS, *(f"part__{column}" for column in _PART_COLUMNS))
    )


def _at_positions(asked: Sequence[Wanted]) -> Iterator[tuple[Any, ...]]:
    """What is said at positions that are all given, which is what nearly every question needs."""
    positions, specifications = _positions_of(asked), _specifications_of(asked)
    sql, rest = _statements_sql(len(positions), len(specifications))
    first, last = _STATEMENT_COLUMNS.index("serials"), len(_STATEMENT_COLUMNS)
    for row in _rows(sql, (*positions, *specifications, *rest)):
        yield *row[:first], *(json.loads(text) for text in row[first:last]), *row[last:]


@lru_cache(maxsize=STATEMENTS_KEPT)
def _statements_sql(positions: int, specifications: int) -> tuple[str, tuple[Any, ...]]:
    """Written once, as `_parts_sql` is; with the parameters that follow positions and specifications."""
    needed = Q(position__code__in=[str(one) for one in range(positions)])
    sql, parameters = _said(needed, range(specifications)).query.sql_with_params()
    return str(sql), tuple(parameters[positions + specifications :])


def _positions_of(asked: Iterable[Wanted]) -> list[str]:
    return sorted({one.position for one in asked if one.position is not None})


def _specifications_of(asked: Iterable[Wanted]) -> list[int]:
    return sorted({one.specification for one in asked})


def _needed(asked: Sequence[Wanted]) -> Q:
    needed = Q(position__code__in=_positions_of(asked))
    by_name = [one for one in asked if one.naming]
    if by_name:
        naming = Statement.objects.filter(
            specification__in=_specifications_of(by_name),
            part__in=sorted({part for one in by_name for part in one.naming}),
            status=Status.ACTIVE,
            kind__in=sorted(kind.value for kind in SPECIFIES),
        )
        needed |= Q(position__in=naming.values("position"))
    categories = sorted({category for one in asked if one.position is None for category in one.categories})
    return needed | Q(position__category__in=categories) if categories else needed


def _needed_by(wanted: Wanted, rows: Sequence[LoadedStatement]) -> tuple[LoadedStatement, ...]:
    """Of statements loaded for several questions those that this one needs, whatever the others asked."""
    own = [row for row in rows if row.specification == wanted.specification]
    naming = positions_naming(wanted, own)
    if wanted.position is not None:
        return tuple(row for row in own if row.position == wanted.position or row.position in naming)
    return tuple(row for row in own if row.position in naming or row.category in wanted.categories)


def positions_naming(wanted: Wanted, rows: Iterable[LoadedStatement]) -> frozenset[str]:
    """The positions for which one of the parts that they are found by is specified."""
    return frozenset(row.position for row in rows if row.part.id in wanted.naming and row.kind in SPECIFIES)


_STATEMENT_COLUMNS = (
    "specification", "position__category", "position__code", "kind", "by", "source_kind", "source_citation", "serials",
    "any_fuel", "all_fuels", "places",
)  # fmt: skip


def _statement(row: Sequence[Any]) -> LoadedStatement:
    width = len(_STATEMENT_COLUMNS)
    specification, category, *document = row[:width]
    position, kind = document[0], StatementKind(document[1])
    return LoadedStatement(specification, position, category, kind, _part(row[width:]), tuple(document))
