"""A table that is taken away: drawn on a paper, or written as CSV or XLSX."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

Cell = str | int | Decimal | None  # None is not known, and stays empty


class ColumnKind(StrEnum):
    """What stands in a column. Codes are text too: a part number keeps its zeros."""

    TEXT = "text"
    CODE = "code"
    NUMBER = "number"
    TICK = "tick"  # an empty box to tick on paper
    SPACE = "space"  # an empty box to write in on paper


ON_PAPER_ALONE = frozenset({ColumnKind.TICK, ColumnKind.SPACE})


@dataclass(frozen=True, slots=True)
class Column:
    """`share` is how much of a paper's width it takes, beside the shares of the others."""

    name: str
    kind: ColumnKind = ColumnKind.TEXT
    share: int = 1


@dataclass(frozen=True, slots=True)
class Table:
    """`marked` are the places of rows that are to stand out on paper."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    marked: frozenset[int] = frozenset()
