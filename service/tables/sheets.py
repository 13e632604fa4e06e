"""A table of text: its header, its rows with their line numbers, how it was written, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import NamedTuple

from service.errors import Invalid

COMMA, SEMICOLON, TAB = ",", ";", "\t"
SEPARATORS = {"comma": COMMA, "semicolon": SEMICOLON, "tab": TAB}
DECIMALS = {"point": ".", "comma": ","}
ENCODINGS = {"utf-8": "utf-8-sig", "windows-1252": "cp1252", "iso-8859-1": "iso-8859-1", "utf-16": "utf-16"}

MOST_BYTES = 20_000_000
MOST_ROWS = 100_000
MOST_COLUMNS = 500
LONGEST_CELL = 10_000


class TableRefused(Invalid):
    """A file that cannot be read as a table at all."""

    code = "table_refused"


@dataclass(frozen=True, slots=True)
class Dialect:
    """How a file is written, in words; None is not declared, or has no meaning in a workbook."""

    separator: str | None = None
    decimal: str | None = None
    encoding: str | None = None

    def __post_init__(self) -> None:
        for name, known in (("separator", SEPARATORS), ("decimal", DECIMALS), ("encoding", ENCODINGS)):
            given = getattr(self, name)
            if given is not None and given not in known:
                raise TableRefused(
                    f"{name}: {str(given)[:40]!r} was given; use one of {', '.join(known)}.",
                    pointer=f"/{name}", code=f"unknown_{name}",
                )  # fmt: skip

    @property
    def decimal_mark(self) -> str:
        return DECIMALS[self.decimal or "point"]


class Line(NamedTuple):  # a dataclass takes several times as long to make, and there is one for every row
    """One row as it stands in the file: the line its first cell starts on, and its cells in their places.

    `converted` are the places of cells that a spreadsheet keeps as numbers or dates.
    """

    line: int
    cells: Sequence[str]
    converted: frozenset[int] = frozenset()


class Row(NamedTuple):
    """One row: its line, its text by column, and the columns a spreadsheet had converted."""

    line: int
    cells: Mapping[str, str]
    converted: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Damage:
    """What keeps one row from being read; an empty column is the row itself."""

    line: int
    column: str
    code: str
    detail: str
    value: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table. `dialect` is the one it was read in, found or declared. A line has a cell for every column, at least.

    `rows` are made anew each time; of long files the lines are read, column by column.
    """

    name: str
    header: tuple[str, ...]
    lines: tuple[Line, ...]
    dialect: Dialect
    damages: tuple[Damage, ...] = ()

    @property
    def rows(self) -> tuple[Row, ...]:
        return tuple(self._row(line) for line in self.lines)

    def column(self, name: str) -> list[str]:
        """What stands in that column, line by line."""
        return list(map(itemgetter(self.header.index(name)), [line.cells for line in self.lines]))

    def _row(self, line: Line) -> Row:
        converted = frozenset(self.header[place] for place in line.converted if place < len(self.header))
        return Row(line.line, dict(zip(self.header, line.cells, strict=False)), converted)
