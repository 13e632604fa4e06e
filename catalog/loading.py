"""Rows to frozen values, in a number of statements that does not grow with the catalogue.

Statements of makers are loaded for the position asked about, not for the whole engine: an engine lists hundreds of
parts, each with its facts, and a decision reads only those at one position. Where no position is given, those at
every position that could be meant are loaded, which is decided inside the same statement.

What a part or a position says is derived text, and equal texts are equal values; so the values are kept by text, and
a changed row can never be answered from an older one.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.db.models import Q

from catalog.domain.answers import Basis, Source, SourceKind
from catalog.domain.applicability import Applicability
from catalog.domain.fuels import Fuel
from catalog.domain.parts import (
    SPECIFIES,
    Medium,
    Part,
    PartCondition,
    PortClasses,
    Position,
    Statement,
    StatementKind,
    SuppliedAs,
)
from catalog.domain.quantities import Interval
from catalog.domain.rulebook_document import rulebook_from_document
from catalog.domain.rules import Rulebook
from catalog.domain.serials import SerialRange, SerialScheme
from catalog.domain.value_documents import unpack_value
from catalog.domain.values import Demand, Offer, Place
from catalog.models import CatalogueState, EngineSpecification, RulebookVersion, Status
from catalog.models import Part as PartRow
from catalog.models import Statement as StatementRow
from catalog.models.facts import as_text

PARTS_KEPT = 4_096
POSITIONS_KEPT = 4_096
SPECIFICATIONS_KEPT = 256
RULEBOOKS_KEPT = 4


@dataclass(frozen=True, slots=True)
class Standing:
    """What holds now: the catalogue's version and the published rulebook; number 0 while none is published."""

    version: int = 0
    rulebook: int = 0
    digest: str = ""


@dataclass(frozen=True, slots=True)
class LoadedPart:
    """A part's row as found: how it is numbered, and `text`, all that a decision reads of it."""

    id: int
    maker: str
    number: str
    key: str
    no_zeros: str
    name: str
    category: str
    withdrawn: bool
    text: str


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


@dataclass(frozen=True, slots=True)
class LoadedStatement:
    """A statement's row; `document` is all of it but its part and its specification."""

    specification: int
    position: str
    kind: StatementKind
    part: LoadedPart
    document: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which statements of one specification a question needs: at a position, or wherever these parts could go."""

    specification: int
    position: str | None
    parts: tuple[int, ...]
    categories: tuple[str, ...]


def standing() -> Standing:
    """One statement."""
    columns = ("version", "rulebook__number", "rulebook__digest")
    row = CatalogueState.objects.values_list(*columns).first()
    return Standing() if row is None else Standing(row[0], row[1] or 0, row[2] or "")


def load_rulebook(number: int, digest: str) -> Rulebook:
    """The compiled rulebook; one statement the first time a process asks for it. Raises DoesNotExist."""
    return _rulebook(number, digest)


def load_rulebook_numbered(number: int) -> Rulebook:
    """The rulebook an old check was decided by: one statement more than `load_rulebook`."""
    return _rulebook(number, RulebookVersion.objects.values_list("digest", flat=True).get(number=number))


# The digest is part of the key: a number alone says too little where a database was replaced under a running process.
@lru_cache(maxsize=RULEBOOKS_KEPT)
def _rulebook(number: int, digest: str) -> Rulebook:
    row = RulebookVersion.objects.only("document").get(number=number, digest=digest)
    return rulebook_from_document(row.document, number=number, digest=digest)


_PART_COLUMNS = ("id", "maker__code", "number", "number_key", "number_no_zeros", "name", "category", "status", "facts")


def parts_answering(no_zeros: Iterable[str], ids: Iterable[int]) -> tuple[LoadedPart, ...]:
    """Every part with one of these keys (leading zeros aside) or ids, in one statement.

    The key without zeros finds exact, normalised and near-twin numbers alike, by one index.
    """
    wanted = Q(number_no_zeros__in=sorted(set(no_zeros))) | Q(id__in=sorted(set(ids)))
    return tuple(_part(row) for row in PartRow.objects.filter(wanted).order_by("id").values_list(*_PART_COLUMNS))


def _part(row: Sequence[Any]) -> LoadedPart:
    number, maker, printed, key, no_zeros, name, category, status, text = row
    return LoadedPart(number, maker, printed, key, no_zeros, name, category, status == Status.WITHDRAWN, text)


def specifications(pairs: Iterable[tuple[str, str]]) -> dict[tuple[str, str], LoadedSpecification]:
    """Specifications by (model, specification number), in one statement; what is not there is left out."""
    wanted = set(pairs)
    if not wanted:
        return {}
    rows = EngineSpecification.objects.filter(
        model__in=sorted({model for model, _ in wanted}), spec__in=sorted({spec for _, spec in wanted})
    ).values_list("id", "status", "model", "spec", "facts")
    return {
        (model, spec): _specification(number, status == Status.WITHDRAWN, text)
        for number, status, model, spec, text in rows
        if (model, spec) in wanted
    }


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
    )


def statements(wanted: Iterable[Wanted]) -> tuple[LoadedStatement, ...]:
    """The statements these questions need, with their parts, in one statement of SQL; a third party's never count."""
    asked = tuple(wanted)
    if not asked:
        return ()
    rows = (
        StatementRow.objects.filter(_needed(asked), specification__in=sorted({w.specification for w in asked}))
        .exclude(kind=StatementKind.THIRD_PARTY.value)
        .order_by("id")
        .values_list(*_STATEMENT_COLUMNS, *(f"part__{column}" for column in _PART_COLUMNS))
    )
    return tuple(_statement(row) for row in rows)


def _needed(asked: Sequence[Wanted]) -> Q:
    codes = sorted({w.position for w in asked if w.position is not None})
    open_ones = [w for w in asked if w.position is None]
    needed = Q(position__code__in=codes)
    if open_ones:
        parts = sorted({part for w in open_ones for part in w.parts})
        naming = StatementRow.objects.filter(
            specification__in=sorted({w.specification for w in open_ones}),
            part__in=parts,
            kind__in=sorted(kind.value for kind in SPECIFIES),
        )
        categories = sorted({category for w in open_ones for category in w.categories})
        needed |= Q(position__in=naming.values("position")) | Q(position__category__in=categories)
    return needed


_STATEMENT_COLUMNS = (
    "specification", "position__code", "kind", "by", "source_kind", "source_citation", "serials", "any_fuel",
    "all_fuels", "places",
)  # fmt: skip


def _statement(row: Sequence[Any]) -> LoadedStatement:
    width = len(_STATEMENT_COLUMNS)
    return LoadedStatement(row[0], row[1], StatementKind(row[2]), _part(row[width:]), tuple(row[1:width]))


@lru_cache(maxsize=PARTS_KEPT)
def part_from(text: str) -> Part:
    """The part a derived text says, without its id."""
    document = json.loads(text)
    offers: dict[Place, tuple[Offer, ...]] = {}
    for attribute, slot, packed, kind, citation in document["offers"]:
        place = (attribute, slot)
        offers[place] = (*offers.get(place, ()), Offer(unpack_value(packed), Source(SourceKind(kind), citation)))
    supplied_as = document["supplied_as"]
    return Part(
        maker=document["maker"],
        number=document["number"],
        category=document["category"],
        offers=offers,
        name=document["name"],
        supplied_as=None if supplied_as is None else SuppliedAs(supplied_as),
        condition=PartCondition(document["condition"]),
        described=document.get("described", False),
    )


@lru_cache(maxsize=POSITIONS_KEPT)
def position_from(text: str) -> Position:
    return _position(json.loads(text))


def _position(document: dict[str, Any]) -> Position:
    demands: dict[Place, tuple[Demand, ...]] = {}
    for attribute, slot, packed, kind, citation, basis in document["demands"]:
        demand = Demand(unpack_value(packed), Basis(basis), Source(SourceKind(kind), citation))
        demands[attribute, slot] = (*demands.get((attribute, slot), ()), demand)
    return Position(
        code=document["code"],
        category=document["category"],
        name=document["name"],
        quantity=document["quantity"],
        branch=document["branch"],
        ports=tuple(PortClasses(port, tuple(classes), fuel) for port, fuel, classes in document["ports"]),
        carries_fuel=document["carries_fuel"],
        demands=demands,
        media=tuple(Medium(name, _window(window), dynamic) for name, window, dynamic in document["media"]),
        adapter_forbidden=document["adapter_forbidden"],
        inside=tuple(_position(entry) for entry in document["inside"]),
    )


def _window(packed: object) -> Interval | None:
    payload = None if packed is None else unpack_value(packed).payload
    return payload if isinstance(payload, Interval) else None


def statement_from(part: Part, specification: str, document: Sequence[Any]) -> Statement:
    """A statement from what `LoadedStatement.document` holds."""
    position, kind, by, source_kind, citation, serials, any_fuel, all_fuels, places = document
    return Statement(
        kind=StatementKind(kind),
        part=part,
        position=position,
        applicability=Applicability(
            specification=specification,
            serials=tuple(SerialRange(entry["first"], entry["last"], entry["prefix"]) for entry in serials),
            any_fuel=fuels_from(any_fuel),
            all_fuels=fuels_from(all_fuels),
            places=tuple(places),
        ),
        by=by,
        source=Source(SourceKind(source_kind), citation),
    )


def fuels_from(texts: Iterable[str]) -> tuple[Fuel, ...]:
    return tuple(Fuel.parse(text) for text in texts)
