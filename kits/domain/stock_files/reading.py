"""Rows of a file to what they state, with everything that is wrong with them. Written for many rows.

Most cells of a column say what others said before, so each text is read once a column.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import repeat
from operator import itemgetter
from typing import Any, NamedTuple, Protocol

from catalog.domain.number_damage import any_looks_damaged, looks_damaged, refuse_damage
from catalog.domain.part_numbers import number_key
from kits.domain.stock_files.cells import Text
from kits.domain.stock_files.tables import NAMING, FileColumn, FileTable
from service.errors import Invalid


class FileRow(Protocol):
    """A line of a table: its cells by their places in the header, and the places whose cell a spreadsheet converted."""

    @property
    def line(self) -> int: ...
    @property
    def cells(self) -> Sequence[str]: ...
    @property
    def converted(self) -> Collection[int]: ...


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


def _said(column: FileColumn, texts: Iterable[str], decimal: str) -> dict[str, object]:
    """What each of a column's texts says, each read once."""
    missing = _Wrong("missing", f"{column.name} is empty; it is needed.")
    empty, read, said = missing if column.needed else column.empty, column.read, dict[str, object]()
    for text in dict.fromkeys(texts):
        bare = text.strip()
        try:
            said[text] = read(bare, decimal) if bare else empty
        except Invalid as error:
            said[text] = _Wrong(error.code, f"{column.name}: {error.message}")
    return said


def read_rows(table: FileTable, header: Sequence[str], rows: Sequence[FileRow], decimal: str) -> ReadRows:
    """What the rows state, in their order. What is wrong is in the answer, never raised."""
    return _Reader(table, header, rows, decimal).read()


class _Reader:
    """Column by column first, then row by row what the columns have said."""

    def __init__(self, table: FileTable, header: Sequence[str], rows: Sequence[FileRow], decimal: str) -> None:
        self.table, self.rows, self.decimal, self.found = table, rows, decimal, ReadRows()
        self.said: dict[str, Sequence[Any]] = {}
        self.bad: dict[int, set[str]] = {}  # columns by line
        self.places = {name: place for place, name in enumerate(header)}
        self.cells = [row.cells for row in rows]
        present = [column for column in table.columns if column.name in header]
        self.shared = [name for name in table.shared if name in header]
        for column in present:
            self.said[column.name] = self._column(column)
        nothing = {column.name: repeat(column.empty, len(rows)) for column in table.columns if column not in present}
        said = self.said  # of a file without rows every column says nothing, and is there all the same
        self.values = zip(
            *[said[one.name] if one.name in said else nothing[one.name] for one in table.values], strict=True
        )
        self.contents: Sequence[Any] = said["content"] if "content" in said else [None] * len(rows)

    def _column(self, column: FileColumn) -> list[Any]:
        name = column.name
        texts = list(map(itemgetter(self.places[name]), self.cells))
        if isinstance(column.read, Text) and column.read.keeps(texts) and (column.empty == "" or all(texts)):
            return texts
        said = _said(column, texts, self.decimal)
        found = list(map(said.__getitem__, texts))
        if _Wrong in map(type, said.values()):
            for row, value in zip(self.rows, found, strict=True):
                if type(value) is _Wrong:
                    self._refuse(row, name, value)
        return found

    def read(self) -> ReadRows:
        for first, last in self.table.spans:
            if first in self.said or last in self.said:
                self._look_at_span(first, last)
        numbers = self.said["number"]
        self._look_for_damage(numbers)
        self._state(self.said[self.table.owner], self.said["maker"], numbers)
        return self.found

    def _look_for_damage(self, numbers: Iterable[Any]) -> None:
        given = [number for number in numbers if type(number) is str]
        self.found.leading_zeros = sum(number[0] == "0" for number in given)
        if not any_looks_damaged(given) and not any(row.converted for row in self.rows):
            return
        for row, number in zip(self.rows, numbers, strict=True):
            if type(number) is str and (row.converted or looks_damaged(number)):
                self._refuse_damage(row, number)

    def _refuse_damage(self, row: FileRow, number: str) -> None:
        try:
            refuse_damage(number, converted=self.places["number"] in row.converted, rounded=True)
        except Invalid as error:
            self._refuse(row, "number", _Wrong(error.code, error.message))

    def _look_at_span(self, first: str, last: str) -> None:
        nothing = [None] * len(self.rows)
        for row, *ends in zip(self.rows, self.said.get(first, nothing), self.said.get(last, nothing), strict=True):
            if ends == [None, None] or any(type(end) is _Wrong for end in ends):
                continue
            if None in ends:
                self._refuse(row, last, _Wrong("half_a_span", f"Give both {first} and {last}, or neither."))
            elif ends[0] > ends[1]:
                words = f"{last} is before {first}; give the later day."
                self._refuse(row, last, _Wrong("ends_before_it_starts", words))

    def _state(self, owners: Sequence[Any], makers: Sequence[Any], numbers: Sequence[Any]) -> None:
        if not self.bad and self._stated_once(owners, makers, numbers):
            return
        naming = {self.table.owner, *NAMING}
        names = [column.name for column in self.table.values]
        places = [names.index(name) for name in self.table.place]
        shared = [(name, names.index(name)) for name in self.shared]
        firsts: dict[tuple[Any, ...], Stated] = {}
        seen: dict[tuple[Any, ...], int] = {}
        told = self.found.stated.append
        for row, owner, maker, number, content, values in zip(
            self.rows, owners, makers, numbers, self.contents, self.values, strict=True
        ):
            line = row.line
            bad = self.bad.get(line)
            if bad and not bad.isdisjoint(naming):
                self.found.nameless += 1
                continue
            part = (owner, maker, number_key(number), content)
            first, sound = firsts.get(part), not bad
            if sound:
                if places:
                    before = seen.setdefault((*part, *[values[one] for one in places]), line)
                else:
                    before = line if first is None else first.line
                # As of nearly every row nothing was said before.
                if first is not None or before != line:
                    sound = self._stands(row, before, first, values, shared)
            is_first = sound and first is None
            stated = Stated(line, owner, maker, number, part[2], content, values, is_first, sound)
            if is_first:
                firsts[part] = stated
            if not sound:
                self.found.broken.add(part)
            told(stated)

    def _stated_once(self, owners: Sequence[Any], makers: Sequence[Any], numbers: Sequence[Any]) -> bool:
        """Of most files: every row names a part of its own, so that none can gainsay another, and all are stated."""
        keys = list(map(number_key, numbers))
        if len(set(zip(owners, makers, keys, self.contents, strict=True))) < len(keys):
            return False
        lines = (row.line for row in self.rows)
        given = zip(lines, owners, makers, numbers, keys, self.contents, self.values, repeat(True), repeat(True))
        self.found.stated.extend(map(Stated._make, given))
        return True

    def _stands(
        self, row: FileRow, before: int, first: Stated | None, values: Any, shared: Iterable[tuple[str, int]]
    ) -> bool:
        """Whether no row before is about the same thing or says something else of the same part."""
        if before != row.line:
            self._refuse(row, "", _Wrong("stated_twice", f"Line {before} is about the same thing; keep one of them."))
            return False
        if first is None:
            return True
        for name, place in shared:
            if values[place] != first.values[place]:
                words = f"Line {first.line} says another {name} of this part; keep the one that is right."
                self._refuse(row, name, _Wrong("contradiction", words))
                return False
        return True

    def _refuse(self, row: FileRow, column: str, wrong: _Wrong) -> None:
        value = row.cells[self.places[column]].strip() if column in self.places else ""
        self.bad.setdefault(row.line, set()).add(column)
        self.found.problems.append(FileProblem(row.line, column, wrong.code, wrong.detail, value))
