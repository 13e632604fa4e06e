"""Rows of a file to what they state, with everything that is wrong with them. Written for many rows.

Most cells of a column say what others said before, so each text is read once a column.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple, Protocol

from catalog.domain.number_damage import refuse_damage
from catalog.domain.part_numbers import number_key
from kits.domain.stock_files.tables import NAMING, FileColumn, FileTable
from service.errors import Invalid


class FileRow(Protocol):
    """A line of a table: its text by column, and the columns whose cell a spreadsheet keeps as a number or a date."""

    @property
    def line(self) -> int: ...
    @property
    def cells(self) -> Mapping[str, str]: ...
    @property
    def converted(self) -> Collection[str]: ...


@dataclass(frozen=True, slots=True)
class FileProblem:
    """One thing wrong with one row; an empty column is the row itself."""

    line: int
    column: str
    code: str
    detail: str
    value: str = ""


class Stated(NamedTuple):  # a dataclass takes several times as long to make, and there is one for every row
    """What one row states: whose, which part in which size, and the values in the order of the table's columns.

    `sound` is false for a row that names its part and is refused for something else; `first` marks the first sound
    row of its part at its owner.
    """

    line: int
    owner: str
    maker: str
    number: str
    key: str
    content: int | None
    values: tuple[object, ...]
    first: bool
    sound: bool

    @property
    def part(self) -> tuple[object, ...]:
        return self.owner, self.maker, self.key, self.content


@dataclass(slots=True)
class ReadRows:
    """A file's rows. `nameless` counts those of which not even the part is known.

    `broken` are parts of which one row at least is refused, so that not all that lies there is known.
    """

    stated: list[Stated] = field(default_factory=list)
    problems: list[FileProblem] = field(default_factory=list)
    leading_zeros: int = 0
    nameless: int = 0
    broken: set[tuple[object, ...]] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class _Wrong:
    code: str
    detail: str


class _Column(dict[str, object]):
    """What a column's texts say, each read once."""

    def __init__(self, column: FileColumn, decimal: str) -> None:
        super().__init__()
        self.column, self.decimal = column, decimal

    def __missing__(self, text: str) -> object:
        found = self[text] = self._read(text.strip())
        return found

    def _read(self, text: str) -> object:
        column = self.column
        if not text:
            return _Wrong("missing", f"{column.name} is empty; it is needed.") if column.needed else column.empty
        try:
            return column.read(text, self.decimal)
        except Invalid as error:
            return _Wrong(error.code, f"{column.name}: {error.message}")


def read_rows(table: FileTable, header: Collection[str], rows: Iterable[FileRow], decimal: str) -> ReadRows:
    """What the rows state, in their order. What is wrong is in the answer, never raised."""
    return _Reader(table, header, decimal).read(rows)


class _Reader:
    def __init__(self, table: FileTable, header: Collection[str], decimal: str) -> None:
        self.table, self.found = table, ReadRows()
        present = [column for column in table.columns if column.name in header]
        self.columns = {column.name: _Column(column, decimal) for column in present}
        self.values = [column.name for column in table.values]
        self.places = [self.values.index(name) for name in table.place]
        self.shared = [self.values.index(name) for name in table.shared if name in self.columns]
        self.seen: dict[tuple[object, ...], int] = {}
        self.parts: dict[tuple[Any, ...], Stated] = {}
        self.absent = {column.name: column.empty for column in table.values if column.name not in header}

    def read(self, rows: Iterable[FileRow]) -> ReadRows:
        for row in rows:
            self._row(row)
        return self.found

    def _row(self, row: FileRow) -> None:
        cells, before = row.cells, len(self.found.problems)
        said = {name: column[cells[name]] for name, column in self.columns.items()}
        for name, value in said.items():
            if type(value) is _Wrong:
                self._refuse(row, name, value)
        for first, last in self.table.spans:
            self._look_at_span(row, first, last, said)
        number = said["number"]
        if type(number) is str:
            self.found.leading_zeros += number[0] == "0"
            self._look_for_damage(row, number)
        wrong = {problem.column for problem in self.found.problems[before:]}
        if wrong.intersection((self.table.owner, *NAMING)):
            self.found.nameless += 1
        else:
            self._state(row, said, sound=not wrong)

    def _look_for_damage(self, row: FileRow, number: str) -> None:
        try:
            refuse_damage(number, converted="number" in row.converted, rounded=True)
        except Invalid as error:
            self._refuse(row, "number", _Wrong(error.code, error.message))

    def _look_at_span(self, row: FileRow, first: str, last: str, said: Mapping[str, Any]) -> None:
        ends = said.get(first), said.get(last)
        if ends == (None, None) or any(type(end) is _Wrong for end in ends):
            return
        if None in ends:
            self._refuse(row, last, _Wrong("half_a_span", f"Give both {first} and {last}, or neither."))
        elif ends[0] > ends[1]:  # type: ignore[operator]
            self._refuse(row, last, _Wrong("ends_before_it_starts", f"{last} is before {first}; give the later day."))

    def _state(self, row: FileRow, said: Mapping[str, Any], *, sound: bool) -> None:
        number, content = said["number"], said.get("content")
        part = (said[self.table.owner], said["maker"], number_key(number), content)
        values = tuple([said[name] if name in said else self.absent[name] for name in self.values])
        first = self.parts.get(part)
        sound = sound and self._stands(row, (*part, *[values[one] for one in self.places]), first, values)
        stated = Stated(row.line, part[0], part[1], number, part[2], content, values, sound and first is None, sound)
        if stated.first:
            self.parts[part] = stated
        if not sound:
            self.found.broken.add(part)
        self.found.stated.append(stated)

    def _stands(
        self, row: FileRow, place: tuple[object, ...], first: Stated | None, values: tuple[object, ...]
    ) -> bool:
        """Whether no row before is about the same thing or says something else of the same part."""
        before = self.seen.setdefault(place, row.line)
        if before != row.line:
            self._refuse(row, "", _Wrong("stated_twice", f"Line {before} is about the same thing; keep one of them."))
            return False
        for one in self.shared if first is not None else ():
            if first is not None and values[one] != first.values[one]:
                words = f"Line {first.line} says another {self.values[one]} of this part; keep the one that is right."
                self._refuse(row, self.values[one], _Wrong("contradiction", words))
                return False
        return True

    def _refuse(self, row: FileRow, column: str, wrong: _Wrong) -> None:
        value = row.cells.get(column, "").strip()
        self.found.problems.append(FileProblem(row.line, column, wrong.code, wrong.detail, value))
