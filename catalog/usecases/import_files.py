"""What an import is asked to do, and the file of it read into rows: problems of the file itself among them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from catalog.domain.import_reading import TABLES, Gathered, TableText, gather
from catalog.domain.import_rows import Cell, Gathering, ImportProblem
from catalog.domain.import_tables import VALUE_PREFIX, Aggregate, value_column
from catalog.domain.rules import Rulebook
from catalog.domain.values import Kind
from catalog.usecases.table_reading import tell_more
from service.errors import Invalid
from service.operations.files import content_of
from service.tables.files import read_file
from service.tables.sheets import Dialect, Sheet

_MEASURES = (Kind.QUANTITY, Kind.RANGE)
Unit = tuple[Aggregate, Gathering]


class Mode(StrEnum):
    """Good rows in and bad rows told, or nothing at all where one row is bad."""

    NORMAL = "normal"
    ALL_OR_NOTHING = "all_or_nothing"


@dataclass(frozen=True, slots=True)
class ImportOrder:
    """An import as it is asked for; `table` is the table that a file is that cannot say so itself."""

    file: str
    name: str
    sha256: str
    table: str | None
    mode: Mode
    dry_run: bool
    dialect: Dialect

    def document(self) -> dict[str, Any]:
        dialect = {
            "separator": self.dialect.separator,
            "decimal": self.dialect.decimal,
            "encoding": self.dialect.encoding,
        }
        own = {"file": self.file, "name": self.name, "sha256": self.sha256, "table": self.table}
        return {**own, "mode": self.mode.value, "dry_run": self.dry_run, "dialect": dialect}

    @classmethod
    def of(cls, document: Mapping[str, Any]) -> ImportOrder:
        told = {name: document[name] for name in ("file", "name", "sha256", "table", "dry_run")}
        return cls(**told, mode=Mode(document["mode"]), dialect=Dialect(**document["dialect"]))


@dataclass(frozen=True, slots=True)
class ReadFile:
    """A file's sheets and what they state; the units are written in this order and a batch never splits one."""

    sheets: tuple[Sheet, ...]
    found: Gathered
    units: tuple[Unit, ...]


def read_import(order: ImportOrder, rulebook: Rulebook) -> ReadFile:
    """The rows of a stored file. Raises TableRefused for one that cannot be read, NotFound for one that has gone."""

    def measures(header: str) -> bool:
        try:
            known = value_column(header, rulebook.attributes) if header.startswith(VALUE_PREFIX) else None
        except Invalid:
            return False
        return known is not None and known.definition.kind in _MEASURES

    content = content_of(order.file)
    sheets = read_file(content, order.dialect, tables=tuple(TABLES), table=order.table, measures=measures)
    found = gather((_table(sheet) for sheet in sheets), rulebook.attributes)
    tell_more(found, rulebook)
    found.problems[:0] = [_damage(sheet, damage) for sheet in sheets for damage in sheet.damages]
    return ReadFile(sheets, found, tuple(_in_order(found)))


def _table(sheet: Sheet) -> TableText:
    return TableText(sheet.name, sheet.header, sheet.rows, sheet.dialect.decimal_mark)


def _damage(sheet: Sheet, damage: Any) -> ImportProblem:
    cell = Cell(sheet.name, damage.line, damage.column, damage.value)
    return ImportProblem(cell, damage.code, damage.detail)


def _in_order(found: Gathered) -> Iterable[Unit]:
    for aggregate in Aggregate:
        entries = found.whole(aggregate)
        ordered = _members_first(entries) if aggregate is Aggregate.PART else entries
        yield from ((aggregate, entry) for entry in ordered)


def _members_first(entries: Sequence[Gathering]) -> list[Gathering]:
    """The parts, each after those it holds or needs; in their own order where they name none."""
    by_key = {entry.key: entry for entry in entries}
    ordered: dict[tuple[str, ...], Gathering] = {}
    started: set[tuple[str, ...]] = set()
    waiting = [(entry.key, False) for entry in reversed(entries)]
    while waiting:
        key, opened = waiting.pop()
        if opened:
            ordered[key] = by_key[key]
        elif key not in started:
            started.add(key)
            waiting.append((key, True))
            waiting += [(named, False) for named in _named_by(by_key[key]) if named in by_key]
    return list(ordered.values())


def _named_by(entry: Gathering) -> list[tuple[str, ...]]:
    fields = (entry.document.get(name) for name in ("contains", "needs"))
    rows = (row for field in fields if isinstance(field, list) for row in field)
    return [(row["part"]["maker"], row["part"]["number"]) for row in rows]
