"""One row of a table on its way to a document: every cell read once, and everything wrong with it said at once.

A row knows its line. What it states is put into a `Gathering`, the document of one aggregate (a part, a specification,
a statement), which remembers the cell that each part of the document came from. Two rows may state one aggregate; where
they contradict each other, the problem names both lines.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Protocol, TypeVar

from catalog.domain.value_text import BETWEEN_CODES, POINT
from service.errors import Invalid

E = TypeVar("E", bound=StrEnum)
Read = TypeVar("Read")
LONGEST_SHOWN = 80


class TableRow(Protocol):
    """A line of a table: its text by column, and the columns whose cell a spreadsheet keeps as a number or a date."""

    @property
    def line(self) -> int: ...
    @property
    def cells(self) -> Mapping[str, str]: ...
    @property
    def converted(self) -> Collection[str]: ...


@dataclass(frozen=True, slots=True)
class Cell:
    """Where something was read; an empty column is the whole row."""

    table: str
    line: int
    column: str = ""
    value: str = ""


@dataclass(frozen=True, slots=True)
class ImportProblem:
    """One thing wrong: where it stands, and what to do. `stops` is false for a note that keeps nothing out."""

    cell: Cell
    code: str
    detail: str
    stops: bool = True


@dataclass(slots=True)
class Gathering:
    """One aggregate as its rows state it. `cells` tells, by JSON pointer, which cell a part of the document is from."""

    key: tuple[str, ...]
    document: dict[str, object] = field(default_factory=dict)
    cells: dict[str, Cell] = field(default_factory=dict)
    lines: list[Cell] = field(default_factory=list)
    stated: dict[object, tuple[object, Cell]] = field(default_factory=dict)
    problems: list[ImportProblem] = field(default_factory=list)

    def put(self, key: str, value: object, cell: Cell) -> None:
        """State a field of the document."""
        if self.states(key, value, cell):
            self.document[key] = value
            self.cells[f"/{key}"] = cell

    def append(self, key: str, entry: object, *, known_by: object, cell: Cell, value: object = None) -> str | None:
        """Add an entry to a list of the document; answers its pointer, none where it stands there already.

        Entries with the same `known_by` are the same thing and must state the same `value` (the entry itself).
        """
        if not self.states((key, known_by), entry if value is None else value, cell):
            return None
        before = self.document.get(key)
        entries = [*before, entry] if isinstance(before, list) else [entry]
        self.document[key] = entries
        pointer = f"/{key}/{len(entries) - 1}"
        self.cells[pointer] = cell
        return pointer

    def states(self, key: object, value: object, cell: Cell) -> bool:
        """Whether this is stated for the first time; a second, different statement is a problem."""
        if key not in self.stated:
            self.stated[key] = value, cell
            return True
        before, where = self.stated[key]
        if before != value:
            self.problems.append(
                ImportProblem(
                    cell,
                    "contradiction",
                    f"Line {cell.line} states {cell.value[:LONGEST_SHOWN]!r} here and line {where.line} states "
                    f"{where.value[:LONGEST_SHOWN]!r} for the same thing; keep the one that is right.",
                )
            )
        return False

    def cell_of(self, pointer: str) -> Cell:
        """The cell that stated what stands at this pointer, or above it; the first row where none did."""
        while pointer:
            if pointer in self.cells:
                return self.cells[pointer]
            pointer = pointer.rpartition("/")[0]
        return self.lines[0]

    def left_out(self, because: Cell) -> list[ImportProblem]:
        """The rows besides the one at fault, each said to be left out because of it."""
        return [
            left_out(cell, because) for cell in self.lines if (cell.table, cell.line) != (because.table, because.line)
        ]


def left_out(cell: Cell, because: Cell) -> ImportProblem:
    words = f"Left out, because line {because.line} of the table {because.table} is about the same thing and is wrong."
    return ImportProblem(Cell(cell.table, cell.line), "left_out", words)


class RowReader:
    """The cells of one row; what cannot be read is kept in `problems` and reads as None."""

    def __init__(self, table: str, row: TableRow, *, decimal: str = POINT) -> None:
        self.table, self.decimal, self._row = table, decimal, row
        self.problems: list[ImportProblem] = []

    @property
    def whole_row(self) -> Cell:
        return Cell(self.table, self._row.line)

    @property
    def line(self) -> int:
        return self._row.line

    def cell(self, column: str) -> Cell:
        return Cell(self.table, self._row.line, column, self._row.cells.get(column, ""))

    def was_converted(self, column: str) -> bool:
        return column in self._row.converted

    def refuse(self, column: str, code: str, detail: str) -> None:
        self.problems.append(ImportProblem(self.cell(column), code, detail))

    @contextmanager
    def reading(self, column: str) -> Iterator[None]:
        """Turn what the reading of this column raises into a problem of its cell."""
        try:
            yield
        except Invalid as error:
            self.refuse(column, error.code, error.message)

    def text(self, column: str, *, longest: int | None = None) -> str | None:
        """What stands there, trimmed; None where nothing does, and where it is longer than is kept."""
        found = self._row.cells.get(column, "").strip()
        if longest is not None and len(found) > longest:
            words = f"{column}: {len(found)} characters were given; at most {longest} are kept."
            self.refuse(column, "text_too_long", words)
            return None
        return found or None

    def needed(self, column: str, what: str, *, longest: int | None = None) -> str | None:
        found = self.text(column, longest=longest)
        if found is None and self.text(column) is None:
            self.refuse(column, "missing", f"{column} is empty; give {what}.")
        return found

    def whole(self, column: str, *, most: int) -> int | None:
        """A whole number from one to `most`."""
        found = self.text(column)
        if found is None:
            return None
        if not (found.isascii() and found.isdigit() and len(found) <= 9 and 1 <= int(found) <= most):
            words = f"{column}: {found[:60]!r} was given; write a whole number from 1 to {most}."
            self.refuse(column, "not_a_whole_number", words)
            return None
        return int(found)

    def flag(self, column: str) -> bool | None:
        found = self.text(column)
        answer = {"yes": True, "no": False}.get((found or "").lower())
        if found is not None and answer is None:
            self.refuse(column, "not_a_flag", f"{column}: {found[:60]!r} was given; write yes or no.")
        return answer

    def one_of(self, column: str, words: type[E]) -> str | None:
        """A word of a closed list, as it is written in documents."""
        found = self.text(column)
        if found is not None and found not in {word.value for word in words}:
            known = ", ".join(word.value for word in words)
            self.refuse(column, "unknown_code", f"{column}: {found[:60]!r} was given; use one of {known}.")
            return None
        return found

    def several(self, column: str) -> list[str] | None:
        """Texts with the mark between codes between them; None where the cell is empty."""
        return self.each(column, str, known_by=str)

    def each(
        self, column: str, read: Callable[[str], Read], *, known_by: Callable[[Read], object]
    ) -> list[Read] | None:  # fmt: skip
        """What `read` makes of every text of a cell; None where it is empty or one of them is refused.

        Two entries with the same `known_by` are one too many.
        """
        found, before = self.text(column), len(self.problems)
        if found is None:
            return None
        entries: dict[object, Read] = {}
        for text in found.split(BETWEEN_CODES):
            with self.reading(column):
                if not text.strip():
                    raise Invalid(f"{column}: nothing stands beside a {BETWEEN_CODES}; take it out.", code="empty_code")
                entry = read(text.strip())
                if known_by(entry) in entries:
                    raise Invalid(f"{column}: {text.strip()[:60]!r} stands there already.", code="stated_twice")
                entries[known_by(entry)] = entry
        return list(entries.values()) if len(self.problems) == before else None
