"""A stock or price file read into what its rows state, with the figures it is compared by."""

from __future__ import annotations

from dataclasses import dataclass

from kits.domain.stock_files.holding import FileFigures
from kits.domain.stock_files.reading import FileProblem, ReadRows, read_rows
from kits.domain.stock_files.tables import TABLES, FileTable
from kits.models import StockImport
from service.errors import Conflict, Invalid, NotFound
from service.operations.files import content_of
from service.tables.files import read_file
from service.tables.sheets import Dialect


@dataclass(frozen=True, slots=True)
class ReadStockFile:
    """`missing` are columns no row can do without, `unknown` those that no table has: renamed ones, mostly."""

    table: FileTable
    header: tuple[str, ...]
    dialect: Dialect
    rows: ReadRows
    figures: FileFigures
    missing: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()


def read_stock_file(row: StockImport) -> ReadStockFile:
    """Raises TableRefused for a file that cannot be read, NotFound for one that is kept no longer."""
    table = TABLES[row.table]
    if row.file_id is None:
        raise NotFound("The file is kept no longer; send it again.", code="file_gone")
    measures = frozenset(column.name for column in table.columns if column.measures)
    (sheet,) = read_file(
        content_of(str(row.file_id)),
        Dialect(**row.dialect),
        tables=tuple(TABLES),
        table=table.name,
        measures=measures.__contains__,
    )
    known = [column.name for column in table.columns]
    missing = tuple(name for name in table.needed if name not in sheet.header)
    unknown = tuple(name for name in sheet.header if name not in known)
    rows = ReadRows() if missing else read_rows(table, sheet.header, sheet.lines, sheet.dialect.decimal_mark)
    rows.problems[:0] = [FileProblem(one.line, one.column, one.code, one.detail, one.value) for one in sheet.damages]
    rows.nameless += len(sheet.damages)
    figures = FileFigures(len(sheet.lines) + len(sheet.damages), rows.leading_zeros, sheet.header)
    return ReadStockFile(table, sheet.header, sheet.dialect, rows, figures, missing, unknown)


def refuse_columns(read: ReadStockFile) -> None:
    """Raises Invalid for a header that lacks a needed column or has one that no table has."""
    if read.missing or read.unknown:
        words = [
            *([f"the header lacks {', '.join(read.missing)}"] if read.missing else []),
            *([f"there is no column {', '.join(name[:60] for name in read.unknown)}"] if read.unknown else []),
        ]
        columns = ", ".join(column.name for column in read.table.columns)
        raise Invalid(
            f"In this file {' and '.join(words)}; the table {read.table.name} has {columns}.", code="unknown_columns"
        )


def refuse_out_of_order(row: StockImport, read: ReadStockFile, last: StockImport | None) -> None:
    """Raises Conflict for a file older than the last one of its feed, Invalid for one with other rows than declared."""
    if last is not None and row.supplied_on < last.supplied_on:
        raise Conflict(
            f"The file is of {row.supplied_on} and one of {last.supplied_on} is in force for {row.feed}; an older file "
            "is not loaded. Send the newest one, or say in supplied_on which day this is of.",
            code="older_than_last",
        )
    if row.declared_rows is not None and row.declared_rows != read.figures.rows:
        raise Invalid(
            f"{row.declared_rows} rows were declared and {read.figures.rows} are in the file; it may be cut short. "
            "Send it again, whole.",
            code="row_count_differs",
        )
