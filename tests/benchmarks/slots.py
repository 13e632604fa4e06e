"""The same search in SQL: a million parts as rows of typed slots, of which forty thousand are of the category.

Values are kept as the prototypes measured best: a column for each code and for each end of a number, null where it is
not recorded, and an index on category and first slot. `x = need OR x IS NULL` is what keeps the unknown ones in.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence

from catalog.domain.columnar.open_questions import OpenQuestion
from catalog.domain.parts import FUELS, Part
from catalog.domain.quantities import Interval, Quantity
from catalog.domain.rules import ComparisonKind as K
from catalog.domain.values import Value
from tests.benchmarks.pairs import BAND, KINDS

CATEGORIES = 25
NOTED = frozenset({3, 13})  # rules that only put a condition where they are not met
Cell = int | str | None


class Slots:
    """A database in memory; `search` gives what is not rejected, as ids with verdicts numbered from the best."""

    def __init__(self, parts: Sequence[tuple[int, Part]]) -> None:
        self._db = sqlite3.connect(":memory:")
        columns = ", ".join(name for at, kind in enumerate(KINDS) for name in _columns(at, kind))
        self._db.execute(f"CREATE TABLE part (id INTEGER, cat INTEGER, fuel TEXT, {columns})")
        rows = [_row(number, part) for number, part in parts]
        holes = ", ".join("?" * (len(rows[0]) + 1))
        for category in range(CATEGORIES):
            self._db.executemany(f"INSERT INTO part VALUES ({holes})", _of_category(rows, category))  # noqa: S608
        self._db.execute("CREATE INDEX part_first ON part (cat, x0)")
        self._db.execute("ANALYZE")

    def search(self, asked: OpenQuestion) -> list[tuple[int, int]]:
        statement, parameters = _statement(asked)
        return self._db.execute(statement, parameters).fetchall()


def _of_category(rows: Iterable[tuple[Cell, ...]], category: int) -> Iterator[tuple[Cell, ...]]:
    return ((number, category, *rest) for number, *rest in rows)


def _columns(at: int, kind: K) -> tuple[str, ...]:
    return (f"x{at}", f"y{at}") if kind is K.COVERS else (f"x{at}",)


def _row(number: int, part: Part) -> tuple[Cell, ...]:
    fuels = part.at((FUELS, None))
    cells: list[Cell] = [fuels[0].value.codes[0] if fuels else None]
    for at, kind in enumerate(KINDS):
        offers = part.at((f"x{at}", None))
        cells += _cells(offers[0].value) if offers else [None] * len(_columns(at, kind))
    return (number, *cells)


def _cells(value: Value) -> list[Cell]:
    payload = value.payload
    if isinstance(payload, Quantity):
        return [payload.amount]
    if isinstance(payload, Interval) and payload.low is not None and payload.high is not None:
        return [payload.low.amount, payload.high.amount]
    return [value.codes[0]]


def _statement(asked: OpenQuestion) -> tuple[str, list[Cell]]:
    (position,) = asked.engine.positions
    wanted: list[tuple[str, str, list[Cell], int]] = [("fuel = ?", "fuel", ["natural_gas"], 3)]
    for at, kind in enumerate(KINDS):
        demands = position.demands.get((f"x{at}", None))
        if demands:
            met, cells = _met(at, kind, _cells(demands[0].value))
            wanted.append((met, f"x{at}", cells, 1 if at in NOTED else 3))
    codes, parameters, kept, later = list[str](), list[Cell](), list[str](), list[Cell]()
    for met, column, cells, otherwise in wanted:
        missed = "WHEN x5 = 'b' THEN 1 ELSE 3" if column == "x5" else f"ELSE {otherwise}"
        codes.append(f"CASE WHEN {column} IS NULL THEN 2 WHEN {met} THEN 0 {missed} END")
        parameters += cells
        if otherwise == 3:
            also = " OR x5 = 'b'" if column == "x5" else ""
            kept.append(f"({column} IS NULL OR {met}{also})")
            later += cells
    worst = f"max({', '.join(codes)})"
    return f"SELECT id, {worst} FROM part WHERE cat = 0 AND {' AND '.join(kept)}", [*parameters, *later]  # noqa: S608


def _met(at: int, kind: K, cells: list[Cell]) -> tuple[str, list[Cell]]:
    name = f"x{at}"
    if kind is K.RATED_FOR:
        return f"{name} IN ('a', 'd')", []
    if kind is K.COVERS:
        return f"({name} <= ? AND y{at} >= ?)", cells
    if kind is K.WITHIN:
        return f"{name} BETWEEN ? - {BAND} AND ? + {BAND}", cells * 2
    return f"{name} {_SIGNS.get(kind, '=')} ?", cells


_SIGNS = {K.AT_LEAST: ">=", K.AT_MOST: "<=", K.CLASS_AT_LEAST: ">="}
