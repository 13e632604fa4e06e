"""The derived texts a part and a specification load from in one query: canonical JSON, built from their rows.

Canonical, so that equal facts are equal texts: a text is its own cache key, and goes into a check's digest as it is.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import orjson

from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.value_documents import pack_value
from catalog.domain.values import Value
from catalog.models.engine import EngineSpecification, Position, PositionDemand, PositionMedium, PositionPort
from catalog.models.part import Part, PartAttribute
from catalog.models.supply import StageValue, SupplyStage
from catalog.models.typed_values import TypedValue

_CANONICAL = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def as_text(document: object) -> str:
    """By the quick writer; by the library's own where a number is beyond 64 bits, as a typed serial number may be."""
    try:
        return orjson.dumps(document, option=orjson.OPT_SORT_KEYS).decode()
    except orjson.JSONEncodeError:
        return _CANONICAL.encode(document)


CONTAINS, MEMBER_OF = "contains", "member_of"


def part_text(part: Part, attributes: Iterable[PartAttribute]) -> str:
    """All that a decision reads of a part by itself, except its id; what it holds is put in by `with_contents`."""
    return as_text(
        {
            "maker": part.maker.code,
            "number": part.number,
            "name": part.name,
            "category": part.category,
            "supplied_as": part.supplied_as,
            "condition": part.condition,
            "offers": sorted((_stated(row) for row in attributes), key=as_text),
        }
    )


@dataclass(frozen=True, slots=True)
class Held:
    """A part inside another: its own text, and how many."""

    text: str
    maker: str
    number: str
    quantity: int
    withdrawn: bool = False


def by_itself(text: str) -> str:
    """A part's text without what it holds and what set it belongs to."""
    if f'"{CONTAINS}"' not in text and f'"{MEMBER_OF}"' not in text:
        return text
    document = json.loads(text)
    return as_text({name: found for name, found in document.items() if name not in (CONTAINS, MEMBER_OF)})


def with_contents(text: str, contents: Sequence[Held], matched_set: tuple[str, Sequence[Held]] | None) -> str:
    """A part's text with the texts of what it holds, and the matched set that the part itself is a piece of."""
    document = json.loads(by_itself(text))
    if contents:
        document[CONTAINS] = sorted(([_inside(one, contents), one.quantity] for one in contents), key=as_text)
    if matched_set is not None:
        number, pieces = matched_set
        document[MEMBER_OF] = [number, sorted([one.maker, one.number, one.quantity] for one in pieces)]
    return as_text(document)


def _inside(held: Held, contents: Sequence[Held]) -> dict[str, Any]:
    """The text as it stands inside: a set that is held whole is no longer one to ask for the rest of.

    There it says too that the part is withdrawn, which by itself it would answer no question about.
    """
    document: dict[str, Any] = json.loads(held.text)
    counts = {(one.maker, one.number): one.quantity for one in contents}
    _, pieces = document.get(MEMBER_OF, ("", ()))
    if all(counts.get((maker, number), 0) >= count for maker, number, count in pieces):
        document.pop(MEMBER_OF, None)
    if held.withdrawn:
        document["withdrawn"] = True
    return document


def specification_text(
    specification: EngineSpecification, positions: Iterable[Mapping[str, Any]], stages: Iterable[Mapping[str, Any]]
) -> str:
    """All that a decision reads of a specification, from `position_document` and `stage_document`."""
    return as_text(
        {
            "key": specification.shown,
            "maker": specification.maker.code,
            "fuels": specification.fuels,
            "serial_prefixes": specification.serial_prefixes,
            "positions": list(positions),
            "supply_stages": list(stages),
        }
    )


def stage_document(stage: SupplyStage, position: str, values: Iterable[StageValue]) -> dict[str, Any]:
    return {
        "fuel": stage.fuel,
        "kind": stage.kind,
        "name": stage.name,
        "position": position or None,
        "values": sorted((_stated(row) for row in values), key=as_text),
    }


def position_document(
    position: Position,
    *,
    ports: Iterable[PositionPort],
    demands: Iterable[PositionDemand],
    media: Iterable[PositionMedium],
    inside: Iterable[Mapping[str, Any]],
) -> dict[str, Any]:
    return {
        "code": position.code,
        "name": position.name,
        "category": position.category,
        "quantity": position.quantity,
        "branch": position.branch or None,
        "carries_fuel": position.carries_fuel,
        "adapter_forbidden": position.adapter_forbidden,
        "ports": sorted(([row.port, row.fuel or None, row.classes] for row in ports), key=as_text),
        "demands": sorted(([*_stated(row), row.basis] for row in demands), key=as_text),
        "media": sorted(([row.name, _window(row), row.dynamic, row.slot or None] for row in media), key=as_text),
        "inside": list(inside),
    }


def _stated(row: TypedValue) -> list[Any]:
    return [row.attribute, row.slot, pack_value(row.value), row.source_kind, row.source_citation]


def _window(row: PositionMedium) -> object:
    """The temperatures of a medium as a packed range; null where neither end is stated."""
    if row.lo is None and row.hi is None:
        return None
    low, high = (
        None if end is None else Quantity(end, Dimension.TEMPERATURE, row.unit) for end in (row.lo, row.hi)
    )  # fmt: skip
    return pack_value(Value(Interval(low, high)))
