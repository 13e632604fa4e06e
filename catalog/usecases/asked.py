"""A question as it was sent, in types: its shape is known to be right, what it names is not looked up yet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

import orjson

from catalog.domain.values import How
from catalog.loading import LoadedMachine


@dataclass(frozen=True, slots=True)
class NamedPart:
    """A part by maker and number, by id, or (without a maker) by a bare number; `pointer` is where it was named."""

    pointer: str
    maker: str | None = None
    number: str | None = None
    id: int | None = None


@dataclass(frozen=True, slots=True)
class ToldFact:
    """A value given with the question, unread; `about` is candidate, position or application."""

    pointer: str
    about: str
    attribute: str
    slot: str | None
    value: object
    how: How | None


@dataclass(frozen=True, slots=True)
class DescribedPart:
    """Goods known only by what somebody wrote of them."""

    pointer: str
    category: str
    maker_text: str
    number_text: str
    supplied_as: str | None
    attributes: tuple[ToldFact, ...]


@dataclass(frozen=True, slots=True)
class AskedItem:
    part: NamedPart | DescribedPart
    quantity: int | None = None
    adapters: tuple[NamedPart, ...] = ()


@dataclass(frozen=True, slots=True)
class Asked:
    """`body` is the question as sent, to be kept with its answer.

    `machine_id` is the machine that stands for the application; `machine` is it once it is found.
    """

    body: Mapping[str, Any]
    candidate: tuple[AskedItem, ...]
    replaces: NamedPart | None
    position: str | None
    application: Mapping[str, Any] | None
    facts: tuple[ToldFact, ...]
    machine_id: UUID | None = None
    machine: LoadedMachine | None = None

    def names(self) -> Iterator[NamedPart]:
        """Every part named anywhere in the question."""
        for item in self.candidate:
            if isinstance(item.part, NamedPart):
                yield item.part
            yield from item.adapters
        if self.replaces is not None:
            yield self.replaces

    @property
    def specification(self) -> tuple[str, str] | None:
        """The (model, specification number) asked about."""
        spec = (self.application or {}).get("spec")
        return None if spec is None else (spec["model"], spec["spec"])

    def on(self, machine: LoadedMachine) -> Asked:
        """The same question with the machine as its application; what is to be replaced is what was found there."""
        part, found = machine.part_at(self.position), self.replaces
        if found is None and part is not None:
            found = NamedPart("/replaces", id=part)
        return replace(self, application=machine.application, machine=machine, replaces=found)


def sent_text(body: Mapping[str, Any]) -> str:
    """A question as it was sent, its members in their order, to be kept with its answer."""
    return orjson.dumps(body, default=str, option=orjson.OPT_PASSTHROUGH_DATETIME).decode()


def read_asked(body: Mapping[str, Any]) -> Asked:
    """Read a body whose shape has been checked."""
    replaces = body.get("replaces")
    return Asked(
        body=body,
        candidate=_items(body["candidate"]),
        replaces=None if replaces is None else named_part(replaces, "/replaces"),
        position=body.get("position"),
        application=body.get("application"),
        facts=tuple(_told(entry, f"/facts/{index}") for index, entry in enumerate(body.get("facts") or ())),
        machine_id=body.get("machine"),
    )


def _items(candidate: object) -> tuple[AskedItem, ...]:
    if isinstance(candidate, list):
        return tuple(_item(entry, f"/candidate/{index}") for index, entry in enumerate(candidate))
    return (_item(candidate, "/candidate"),)


def _item(entry: Any, pointer: str) -> AskedItem:
    if not isinstance(entry, Mapping):
        return AskedItem(_part(entry, pointer))
    inner, at = (entry["part"], f"{pointer}/part") if "part" in entry else (entry, pointer)
    adapters = enumerate(entry.get("with") or ())
    return AskedItem(
        part=_part(inner, at),
        quantity=entry.get("quantity"),
        adapters=tuple(named_part(adapter, f"{pointer}/with/{index}") for index, adapter in adapters),
    )


def _part(entry: Any, pointer: str) -> NamedPart | DescribedPart:
    if not isinstance(entry, Mapping) or "described" not in entry:
        return named_part(entry, pointer)
    described, at = entry["described"], f"{pointer}/described"
    return DescribedPart(
        pointer=at,
        category=described["category"],
        maker_text=described.get("maker_text") or "",
        number_text=described.get("number_text") or "",
        supplied_as=described.get("supplied_as"),
        attributes=tuple(
            _told({"about": "candidate", **attribute}, f"{at}/attributes/{index}")
            for index, attribute in enumerate(described.get("attributes") or ())
        ),
    )


def named_part(entry: Any, pointer: str) -> NamedPart:
    """A part as bodies name one: maker and number, an id, or a bare number."""
    if isinstance(entry, str):
        return NamedPart(pointer, number=entry)
    return NamedPart(pointer, entry.get("maker"), entry.get("number"), entry.get("id"))


def _told(entry: Mapping[str, Any], pointer: str) -> ToldFact:
    how = entry.get("how")
    return ToldFact(
        pointer=pointer,
        about=entry["about"],
        attribute=entry["attribute"],
        slot=entry.get("slot"),
        value=entry["value"],
        how=None if how is None else How(how),
    )
