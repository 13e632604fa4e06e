"""Tables as they come in, gathered into the documents of what they are about, with everything that is wrong in them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from catalog.domain.import_engines import POSITIONS, SPECIFICATIONS, SUPPLY_STAGES
from catalog.domain.import_machines import AS_BUILT, FUEL_RECORDS, MACHINES
from catalog.domain.import_parts import ATTRIBUTES, PARTS
from catalog.domain.import_rows import Cell, Gathering, ImportProblem, RowReader, TableRow, left_out
from catalog.domain.import_statements import STATEMENTS
from catalog.domain.import_supersessions import SUPERSESSIONS
from catalog.domain.import_tables import VALUE_PREFIX, Aggregate, Reading, Table, ValueColumn, value_column
from catalog.domain.rules import AttributeDefinition
from catalog.domain.value_text import POINT
from service.errors import Invalid

# The registry: in this order, which is the order they are written in.
TABLES: Mapping[str, Table] = {
    table.name: table
    for table in (
        PARTS,
        ATTRIBUTES,
        SPECIFICATIONS,
        POSITIONS,
        SUPPLY_STAGES,
        STATEMENTS,
        SUPERSESSIONS,
        MACHINES,
        FUEL_RECORDS,
        AS_BUILT,
    )
}


@dataclass(frozen=True, slots=True)
class TableText:
    """One table as text: its name, its header in order, its rows; `decimal` is the mark in its numbers.

    `label` is what problems call it: the file or the sheet, where it is not simply the table's name.
    """

    name: str
    header: tuple[str, ...]
    rows: Sequence[TableRow]
    decimal: str = POINT
    label: str = ""

    @property
    def shown(self) -> str:
        return self.label or self.name


@dataclass(slots=True)
class Gathered:
    """What the tables state, by aggregate in the order of first mention, and what is wrong.

    `whole` holds what has no stopping problem; where one row of an aggregate has one, none of its rows is taken.
    """

    entries: dict[Aggregate, dict[tuple[str, ...], Gathering]] = field(default_factory=dict)
    problems: list[ImportProblem] = field(default_factory=list)
    broken: dict[tuple[Aggregate, tuple[str, ...]], Cell] = field(default_factory=dict)

    def whole(self, aggregate: Aggregate) -> tuple[Gathering, ...]:
        found = self.entries.get(aggregate, {})
        return tuple(entry for key, entry in found.items() if (aggregate, key) not in self.broken)

    def documents(self, aggregate: Aggregate) -> tuple[dict[str, object], ...]:
        return tuple(entry.document for entry in self.whole(aggregate))

    def leave_out(self, aggregate: Aggregate, entry: Gathering, problem: ImportProblem) -> None:
        """Take an aggregate out for what is wrong with one of its rows, and name its other rows."""
        self.problems.append(problem)
        if problem.stops and (aggregate, entry.key) not in self.broken:
            self.broken[aggregate, entry.key] = problem.cell
            self.problems += entry.left_out(problem.cell)


def gather(tables: Iterable[TableText], attributes: Mapping[str, AttributeDefinition]) -> Gathered:
    """Read every row of every table, in the order of the registry. What is wrong is in the answer, never raised."""
    found, order = Gathered(), list(TABLES)
    known = [table for table in tables if _is_known(table, found)]
    for text in sorted(known, key=lambda table: order.index(table.name)):
        _gather_table(text, TABLES[text.name], attributes, found)
    _refuse_shared_barcodes(found)
    return found


def _refuse_shared_barcodes(found: Gathered) -> None:
    """A code is on the packages of one part only; where two claim it, neither is taken."""
    claims: dict[object, list[Gathering]] = {}
    for entry in found.whole(Aggregate.PART):
        codes = entry.document.get("barcodes")
        for barcode in codes if isinstance(codes, list) else ():
            claims.setdefault(barcode["code"], []).append(entry)
    for code, entries in claims.items():
        if len(entries) > 1:
            lines = " and ".join(str(entry.cells["/barcodes"].line) for entry in entries)
            words = (
                f"The barcode {code} is given to different parts on lines {lines}; a code is on one part's packages."
            )
            for entry in entries:
                found.leave_out(Aggregate.PART, entry, ImportProblem(entry.cells["/barcodes"], "barcode_taken", words))


def _is_known(table: TableText, found: Gathered) -> bool:
    if table.name in TABLES:
        return True
    words = f"There is no table {table.name[:60]!r}; the tables are {', '.join(TABLES)}."
    found.problems.append(ImportProblem(Cell(table.shown, 1), "unknown_table", words))
    return False


def _gather_table(
    text: TableText, table: Table, attributes: Mapping[str, AttributeDefinition], found: Gathered
) -> None:  # fmt: skip
    columns, problems = _value_columns(text, table, attributes)
    found.problems += problems
    if any(problem.stops for problem in problems):
        return
    reading = Reading(attributes, columns)
    before: dict[tuple[tuple[str, str], ...], int] = {}
    for row in text.rows:
        first = before.setdefault(_content(row), row.line)
        if first != row.line:
            words = f"This row says the same as line {first}; it is taken once."
            found.problems.append(ImportProblem(Cell(text.shown, row.line), "duplicate_row", words, stops=False))
            continue
        _gather_row(RowReader(text.shown, row, decimal=text.decimal), table, reading, found)


def _content(row: TableRow) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((column, text.strip()) for column, text in row.cells.items() if text.strip()))


def _gather_row(row: RowReader, table: Table, reading: Reading, found: Gathered) -> None:
    key = table.key(row)
    if key is None:
        found.problems += row.problems
        return
    entries = found.entries.setdefault(table.aggregate, {})
    entry = entries.setdefault(key, Gathering(key))
    entry.lines.append(row.whole_row)
    table.read(row, entry, reading)
    wrong = [*row.problems, *entry.problems]
    entry.problems = []
    for problem in wrong:
        found.leave_out(table.aggregate, entry, problem)
    broken = found.broken.get((table.aggregate, key))
    if not wrong and broken is not None:
        found.problems.append(left_out(row.whole_row, broken))


def _value_columns(
    text: TableText, table: Table, attributes: Mapping[str, AttributeDefinition]
) -> tuple[tuple[ValueColumn, ...], list[ImportProblem]]:
    """The columns of values, and what is wrong with the header: a wrong header leaves the whole table out."""
    problems, values = [], []
    known = {column.name for column in table.columns}
    for header in text.header:
        at = Cell(text.shown, 1, header)
        if header.startswith(VALUE_PREFIX) and table.takes_values:
            try:
                values.append(value_column(header, attributes))
            except Invalid as error:
                problems.append(ImportProblem(at, error.code, error.message))
        elif header not in known:
            columns = ", ".join(column.name for column in table.columns)
            words = f"The table {table.name} has no column {header[:60]!r}; its columns are {columns}."
            problems.append(ImportProblem(at, "unknown_column", words))
    for name in table.needed:
        if name not in text.header:
            words = f"The table {table.name} needs a column {name}; it is not in the header."
            problems.append(ImportProblem(Cell(text.shown, 1, name), "missing_column", words))
    return tuple(values), problems
