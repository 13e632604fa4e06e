"""What was understood, and the statements loaded for it, put together as the facts the decision uses."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any
from uuid import UUID

from catalog.loading import (
    LoadedPart,
    LoadedSpecification,
    LoadedStatement,
    PositionText,
    Wanted,
    holds_inside,
    holds_on,
    positions_naming,
)
from catalog.usecases.chaining import NOT_CHAINED, Chained
from catalog.usecases.facts_used import FactsUsed, hold_document
from catalog.usecases.understanding import Understood


def facts_of(
    understood: Understood,
    dealer: UUID,
    *,
    wanted: Wanted | None = None,
    statements: Sequence[LoadedStatement] = (),
    replaced: Chained = NOT_CHAINED,
) -> tuple[FactsUsed, tuple[LoadedPart | None, ...]]:
    """The facts used, and the row of each part in them, in order.

    `statements` are those that are `wanted` for the question, `replaced` the chains of the parts in both. What is on
    hold is among the facts, as `dealer` sees it, and nothing is said where nothing is on hold.
    """
    shelf = _Shelf()
    pieces = {number for step in replaced.steps if len(step.new) > 1 for number, _ in step.new}
    candidate = [
        {
            "part": shelf.put(item.text, item.row),
            "quantity": item.quantity,
            "with": [shelf.put(adapter.text, adapter) for adapter in item.adapters],
            "told": list(understood.told.candidate),
            **_held({"holds": _holds(item.row, understood, dealer, anywhere=bool(item.row and item.row.id in pieces))}),
        }
        for item in understood.candidate
    ]
    replaces = understood.replaces and shelf.put(understood.replaces.text, understood.replaces)
    engine, positions = _engine(understood, wanted, statements, shelf)
    rest: dict[str, Any] = {
        "candidate": candidate,
        "replaces": replaces,
        "position": understood.position,
        "application": {**understood.application, "told_as_plate": understood.told.as_plate},
        "engine": engine,
        "told_position": list(understood.told.position),
    }
    if replaced.steps and understood.specification is not None:
        rest["blocks"] = list(understood.specification.scheme.prefixes)
        rows = {row.id: row for row in replaced.parts}
        at = {number: shelf.put(row.text, row) for number, row in rows.items()}
        rest["supersessions"] = [
            [*([[at[number], count] for number, count in side] for side in (step.old, step.new)), *step.document]
            for step in replaced.steps
        ]
        rest["withdrawn"] = sorted(at[row.id] for row in replaced.parts if row.withdrawn)
        held = ([at[row.id], _holds(row, understood, dealer, anywhere=row.id in pieces)] for row in replaced.parts)
        rest |= _held({"held": [[index, holds] for index, holds in held if holds]})
    rest |= _held({"reported": _reported(understood, replaced, dealer)})
    return FactsUsed(tuple(shelf.texts), positions, rest), tuple(shelf.rows)


def _reported(understood: Understood, replaced: Chained, dealer: UUID) -> list[list[Any]]:
    """The open reports about adapters, and about what the parts hold that may be judged, each part with its own."""
    adapters = [row for item in understood.candidate for row in item.adapters if row.held]
    holding = [row for row in (*(item.row for item in understood.candidate), *replaced.parts) if row and row.held]
    specification, position = understood.specification, understood.position
    if specification is None or not (adapters or holding):
        return []
    anywhere, heard = {row.id for row in replaced.parts}, places_of(specification, position)
    found = {((row.maker, row.number), hold) for row in adapters for hold in holds_on(row, specification.id, dealer)
             if position in (None, hold.position)}  # fmt: skip
    found |= {(one.part, one.hold) for row in holding for one in holds_inside(row, specification.id, dealer)
              if row.id in anywhere or position is None or one.hold.position in heard}  # fmt: skip
    return [[*part, hold_document(hold)] for part, hold in sorted(found)]


def places_of(specification: LoadedSpecification, position: str | None) -> frozenset[str]:
    """A position and all those inside it, which a kit fills."""
    found = {position} if position is not None else set()
    inside = [json.loads(place.text)["inside"] for place in specification.positions if place.code == position]
    while inside:
        for place in inside.pop():
            found.add(place["code"])
            inside.append(place["inside"])
    return frozenset(found)


def _holds(row: LoadedPart | None, understood: Understood, dealer: UUID, *, anywhere: bool = False) -> list[list[str]]:
    """The open reports about a part on this specification, at the position asked about or anywhere.

    A piece of a set may have a place of its own beside the position asked about.
    """
    if row is None or understood.specification is None:
        return []
    return [
        hold_document(hold)
        for hold in holds_on(row, understood.specification.id, dealer)
        if anywhere or understood.position in (None, hold.position)
    ]


def _held(member: dict[str, Any]) -> dict[str, Any]:
    """Nothing where nothing is on hold, so that the facts of most questions are as short as they were."""
    return member if any(member.values()) else {}


class _Shelf:
    """Each part once, by its index; two of one row are one part."""

    def __init__(self) -> None:
        self.texts: list[str] = []
        self.rows: list[LoadedPart | None] = []
        self._at: dict[int, int] = {}

    def put(self, text: str, row: LoadedPart | None) -> int:
        if row is not None and row.id in self._at:
            return self._at[row.id]
        self.texts.append(text)
        self.rows.append(row)
        if row is not None:
            self._at[row.id] = len(self.texts) - 1
        return len(self.texts) - 1


def _engine(
    understood: Understood, wanted: Wanted | None, statements: Sequence[LoadedStatement], shelf: _Shelf
) -> tuple[dict[str, Any] | None, tuple[str, ...]]:
    specification = understood.specification
    if specification is None or wanted is None:
        return None, ()
    positions = _positions(specification, statements, wanted)
    said = [
        {"part": shelf.put(statement.part.text, statement.part), "says": list(statement.document)}
        for statement in statements
    ]
    engine = {
        "key": specification.key,
        "fuels": list(specification.fuels),
        "statements": said,
    }
    return engine, tuple(position.text for position in positions)


def _positions(
    specification: LoadedSpecification, statements: Sequence[LoadedStatement], wanted: Wanted
) -> tuple[PositionText, ...]:
    """The position asked about, else those that could be meant, else all of them to choose from."""
    naming = positions_naming(wanted, statements)
    if wanted.position is not None:
        return tuple(p for p in specification.positions if p.code == wanted.position or p.code in naming)
    meant = tuple(p for p in specification.positions if p.code in naming or p.category in wanted.categories)
    return meant or specification.positions
