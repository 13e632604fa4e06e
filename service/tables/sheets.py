"""A table of text: its header, its rows with their line numbers, and how it was written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

COMMA, SEMICOLON, TAB = ",", ";", "\t"
SEPARATORS = (COMMA, SEMICOLON, TAB)


@dataclass(frozen=True, slots=True)
class Dialect:
    """How a CSV file is written: what separates cells, the decimal mark of its numbers, and its encoding."""

    separator: str = COMMA
    decimal: str = "."
    encoding: str = "utf-8"


@dataclass(frozen=True, slots=True)
class Row:
    """One row: the line its first cell starts on, its text by column, and the columns a spreadsheet had converted."""

    line: int
    cells: Mapping[str, str]
    converted: frozenset[str] = field(default=frozenset())


@dataclass(frozen=True, slots=True)
class Sheet:
    header: tuple[str, ...]
    rows: tuple[Row, ...]
    dialect: Dialect
