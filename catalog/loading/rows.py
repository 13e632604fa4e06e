"""Rows by what a question names, in a number of statements that does not grow with the catalogue.

Statements of makers are loaded for the position asked about, not for the whole engine: an engine lists hundreds of
parts, each with its facts, and a decision reads only those at one position. Where no position is given, those at
every position that could be meant are loaded, which is decided inside the same statement.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.db.models import Q

from catalog.domain.parts import SPECIFIES, StatementKind
from catalog.domain.serials import SerialScheme
from catalog.loading import remembered
from catalog.models import EngineSpecification, Part, Statement, Status
from catalog.models.facts import as_text

SPECIFICATIONS_KEPT = 256
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
        wanted = Q(number_no_zeros__in=[name for name in chunk if isinstance(name, str)])
        wanted |= Q(id__in=[name for name in chunk if isinstance(name, int)])
        for row in Part.objects.filter(wanted).order_by("id").values_list(*_PART_COLUMNS):
            part = _part(row)
            names_of_it: tuple[str | int, ...] = (part.no_zeros, part.id)
            for name in names_of_it:
                if ("part", name) in found:
                    found["part", name] = (*found["part", name], part)
    return found


def _part(row: Sequence[Any]) -> LoadedPart:
    number, maker, printed, key, no_zeros, name, category, status, in_chain, text, held = row
    return LoadedPart(
        number, maker, printed, key, no_zeros, name, category, status == Status.WITHDRAWN, in_chain, text, held
    )


def specifications(stamp: str, pairs: Iterable[Pair]) -> dict[Pair, LoadedSpecification]:
    """Specifications by model and number: one statement, or none; what is not there is left out."""
    kept = remembered.at(stamp)
    wanted = set(pairs)
    new = {pair for pair in wanted if ("specification", pair) not in kept}
    if new:
        found: dict[tuple[str, Pair], LoadedSpecification | None] = {("specification", pair): None for pair in new}
        rows = EngineSpecification.objects.filter(
            model__in=sorted({model for model, _ in new}), spec__in=sorted({spec for _, spec in new})
        ).values_list("id", "status", "model", "spec", "facts")
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
        rows = (
            Statement.objects.filter(
                _needed(new), specification__in=sorted({one.specification for one in new}), status=Status.ACTIVE
            )
            .exclude(kind=StatementKind.THIRD_PARTY.value)
            .order_by("id")
            .values_list(*_STATEMENT_COLUMNS, *(f"part__{column}" for column in _PART_COLUMNS))
        )
        found = tuple(_statement(row) for row in rows)
        kept.update({one: _needed_by(one, found) for one in new})
    return {one: kept[one] for one in asked}


def _needed(asked: Sequence[Wanted]) -> Q:
    needed = Q(position__code__in=sorted({one.position for one in asked if one.position is not None}))
    by_name = [one for one in asked if one.naming]
    if by_name:
        naming = Statement.objects.filter(
            specification__in=sorted({one.specification for one in by_name}),
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
