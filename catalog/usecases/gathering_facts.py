"""What was understood, and the statements loaded for it, put together as the facts the decision uses."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from catalog.loading import (
    LoadedPart,
    LoadedSpecification,
    LoadedStatement,
    PositionText,
    Wanted,
    positions_naming,
)
from catalog.usecases.facts_used import FactsUsed
from catalog.usecases.understanding import Understood


def facts_of(
    understood: Understood, statements: Sequence[LoadedStatement]
) -> tuple[FactsUsed, tuple[LoadedPart | None, ...]]:
    """The facts used, and the row of each part in them, in order. `statements` are those the question needs."""
    shelf = _Shelf()
    candidate = [
        {
            "part": shelf.put(item.text, item.row),
            "quantity": item.quantity,
            "with": [shelf.put(adapter.text, adapter) for adapter in item.adapters],
            "told": list(understood.told.candidate),
        }
        for item in understood.candidate
    ]
    replaces = understood.replaces and shelf.put(understood.replaces.text, understood.replaces)
    engine, positions = _engine(understood, statements, shelf)
    rest = {
        "candidate": candidate,
        "replaces": replaces,
        "position": understood.position,
        "application": {**understood.application, "told_as_plate": understood.told.as_plate},
        "engine": engine,
        "told_position": list(understood.told.position),
    }
    return FactsUsed(tuple(shelf.texts), positions, rest), tuple(shelf.rows)


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
    understood: Understood, statements: Sequence[LoadedStatement], shelf: _Shelf
) -> tuple[dict[str, Any] | None, tuple[str, ...]]:
    specification, wanted = understood.specification, understood.wanted
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
    if wanted.position is not None:
        return tuple(position for position in specification.positions if position.code == wanted.position)
    naming = positions_naming(wanted, statements)
    meant = tuple(p for p in specification.positions if p.code in naming or p.category in wanted.categories)
    return meant or specification.positions
