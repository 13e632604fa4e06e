"""Derived texts to frozen values. Equal texts are equal values, so the values are kept by text and never go stale."""

from __future__ import annotations

import json
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

from catalog.domain.answers import Basis, Source, SourceKind
from catalog.domain.applicability import Applicability
from catalog.domain.fuels import Fuel
from catalog.domain.parts import (
    Contained,
    MatchedSet,
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
from catalog.domain.serials import SerialRange
from catalog.domain.supersession_chains import Counted, Numbered, Supersession
from catalog.domain.supersessions import SupersessionKind
from catalog.domain.supply.line_building import StageRow
from catalog.domain.supply.stages import Known, StageKind
from catalog.domain.value_documents import unpack_value
from catalog.domain.values import Demand, Offer, Place
from catalog.models.facts import as_text

PARTS_KEPT = 4_096
POSITIONS_KEPT = 4_096
STATEMENTS_KEPT = 8_192
OFFERS_KEPT = 16_384
DEMANDS_KEPT = 8_192


@lru_cache(maxsize=PARTS_KEPT)
def part_from(text: str, number: int | None = None) -> Part:
    """The part a derived text says, with what it holds; `number` is its row's id, where it is known."""
    return _part(json.loads(text)) if number is None else replace(part_from(text), id=number)


def _part(document: dict[str, Any]) -> Part:
    offers: dict[Place, tuple[Offer, ...]] = {}
    for attribute, slot, packed, kind, citation in document["offers"]:
        place, stated = (attribute, slot), _offers(_frozen(packed), kind, citation)
        offers[place] = (*offers[place], *stated) if place in offers else stated
    supplied_as = document["supplied_as"]
    return Part(
        maker=document["maker"],
        number=document["number"],
        category=document["category"],
        offers=offers,
        name=document["name"],
        supplied_as=None if supplied_as is None else SuppliedAs(supplied_as),
        condition=PartCondition(document["condition"]),
        contains=tuple(Contained(_part(inner), count) for inner, count in document.get("contains", ())),
        member_of=_matched_set(document.get("member_of")),
        described=document.get("described", False),
        withdrawn=document.get("withdrawn", False),
    )


@lru_cache(maxsize=OFFERS_KEPT)
def _offers(packed: Hashable, kind: str, citation: str) -> tuple[Offer]:
    """One source's word; parts that say the same share it, so that what was found of one is found of the other."""
    return (Offer(unpack_value(packed), Source(SourceKind(kind), citation)),)


def _frozen(packed: object) -> Hashable:
    return tuple(map(_frozen, packed)) if isinstance(packed, list) else packed


def _matched_set(document: Sequence[Any] | None) -> MatchedSet | None:
    if document is None:
        return None
    number, pieces = document
    return MatchedSet(number, tuple(((maker, piece), count) for maker, piece, count in pieces))


@lru_cache(maxsize=POSITIONS_KEPT)
def position_from(text: str) -> Position:
    return _position(json.loads(text))


def _position(document: dict[str, Any]) -> Position:
    demands: dict[Place, tuple[Demand, ...]] = {}
    for attribute, slot, packed, kind, citation, basis in document["demands"]:
        demand = _demand(_frozen(packed), kind, citation, basis)
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
        media=_media(tuple(map(_frozen, document["media"]))),
        adapter_forbidden=document["adapter_forbidden"],
        inside=tuple(_position(entry) for entry in document["inside"]),
        as_built=document.get("as_built", False),
    )


@lru_cache(maxsize=DEMANDS_KEPT)
def _demand(packed: Hashable, kind: str, citation: str, basis: str) -> Demand:
    """Shared by the positions that ask the same, as `_offers` are."""
    return Demand(unpack_value(packed), Basis(basis), Source(SourceKind(kind), citation))


@lru_cache(maxsize=POSITIONS_KEPT)
def _media(packed: tuple[Any, ...]) -> tuple[Medium, ...]:
    return tuple(Medium(name, _window(window), dynamic, *slot) for name, window, dynamic, *slot in packed)


def _window(packed: object) -> Interval | None:
    payload = None if packed is None else unpack_value(packed).payload
    return payload if isinstance(payload, Interval) else None


def statement_from(part: tuple[str, int | None], specification: str, document: Sequence[Any]) -> Statement:
    """A statement about the part of this text and id from what `LoadedStatement.document` holds."""
    return _statement(*part, specification, as_text(document))


@lru_cache(maxsize=STATEMENTS_KEPT)
def _statement(part: str, number: int | None, specification: str, document: str) -> Statement:
    position, kind, by, source_kind, citation, serials, any_fuel, all_fuels, places = json.loads(document)
    return Statement(
        kind=StatementKind(kind),
        part=part_from(part, number),
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


def supersession_from(number: int, document: Sequence[Any], parts: Mapping[int, Numbered]) -> Supersession:
    """A replacement from both its sides and what `LoadedSupersession.document` holds."""
    old, new, kind, both_ways, model, spec, serials, any_fuel, all_fuels, places, source_kind, citation = document
    return Supersession(
        id=number,
        kind=SupersessionKind(kind),
        old=tuple(Counted(parts[part], count) for part, count in old),
        new=tuple(Counted(parts[part], count) for part, count in new),
        both_ways=both_ways,
        applicability=Applicability(
            specification=None if model is None else f"{model} {spec}",
            serials=tuple(SerialRange(entry["first"], entry["last"], entry["prefix"]) for entry in serials),
            any_fuel=fuels_from(any_fuel),
            all_fuels=fuels_from(all_fuels),
            places=tuple(places),
        ),
        source=Source(SourceKind(source_kind), citation),
    )


def fuels_from(texts: Iterable[str]) -> tuple[Fuel, ...]:
    return tuple(Fuel.parse(text) for text in texts)


def stage_from(document: Mapping[str, Any]) -> StageRow:
    """One stage of a supply line as its text says it."""
    return StageRow(
        kind=StageKind(document["kind"]),
        name=document["name"],
        position=document["position"],
        values={
            (attribute, slot): Known(unpack_value(packed), Basis.STATED, Source(SourceKind(kind), citation))
            for attribute, slot, packed, kind, citation in document["values"]
        },
    )
