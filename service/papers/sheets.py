"""A table as CSV and as XLSX, so that a spreadsheet neither runs what a cell says nor spoils what it shows.

A text that begins like a formula gets an apostrophe before it in CSV (OWASP, CSV injection, from memory), full-width
signs among them, since some spreadsheets take them for the plain ones (common practice, no source). In XLSX a
text is a text whatever it begins with, so it stands there unchanged. Numbers stay numbers in both, negative ones too,
and codes stay text with their zeros.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import IO, Any

from service.papers.tables import Cell, Column, ColumnKind

FORMULA_STARTS = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20")
BREAKS = ("\t", "\r", "\n")
ROWS_AT_ONCE = 500
LONGEST_CELL = 32_767  # characters, in a workbook
MOST_DIGITS = 15  # that a spreadsheet keeps of a number
_UNWRITABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def csv_of(columns: Sequence[Column], rows: Iterable[Sequence[Cell]], *, excel: bool = False) -> Iterator[bytes]:
    """The file piece by piece, as RFC 4180 has it, in UTF-8. `excel` puts the mark before it that Excel asks for."""
    if excel:
        yield codecs.BOM_UTF8
    held = io.StringIO(newline="")
    writer = csv.writer(held, lineterminator="\r\n")
    writer.writerow([_harmless(column.name) for column in columns])
    for number, row in enumerate(rows, start=1):
        writer.writerow([_cell(cell) for cell in row])
        if number % ROWS_AT_ONCE == 0:
            yield _taken(held)
    yield _taken(held)


def xlsx_of(columns: Sequence[Column], rows: Iterable[Sequence[Cell]], file: IO[bytes], *, name: str) -> None:
    """Write a workbook of one sheet into the file, row by row; the header stays in sight."""
    from xlsxwriter import Workbook  # noqa: PLC0415 - loaded on first use

    book = Workbook(file, {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    try:
        sheet = book.add_worksheet(name)
        sheet.freeze_panes(1, 0)
        head = _Writing(sheet, book.add_format({"bold": True}))
        body = _Writing(sheet, book.add_format({"num_format": "@"}))
        for place, column in enumerate(columns):
            head.put(0, place, column.name)
        for number, row in enumerate(rows, start=1):
            for place, (cell, column) in enumerate(zip(row, columns, strict=True)):
                body.put(number, place, cell, is_number=column.kind is ColumnKind.NUMBER)
    finally:
        book.close()


@dataclass(frozen=True, slots=True)
class _Writing:
    """A sheet that is written, and how its text is marked as text."""

    sheet: Any
    as_text: Any

    def put(self, row: int, place: int, cell: Cell, *, is_number: bool = False) -> None:
        """A number as a number, unless the spreadsheet would round it."""
        if cell is None:
            return
        if is_number and not isinstance(cell, str) and _keeps_its_digits(cell):
            self.sheet.write_number(row, place, float(cell))
            return
        shown = cell if isinstance(cell, str) else _digits(cell)
        self.sheet.write_string(row, place, _writable(shown), self.as_text)


def _keeps_its_digits(number: int | Decimal) -> bool:
    return len(_digits(number).lstrip("-").replace(".", "").lstrip("0")) <= MOST_DIGITS


def _cell(cell: Cell) -> str:
    if cell is None:
        return ""
    return _harmless(cell) if isinstance(cell, str) else _digits(cell)


def _harmless(text: str) -> str:
    begins = text.lstrip(" \u00a0").startswith(FORMULA_STARTS) or text.startswith(BREAKS)
    return f"'{text}" if begins else text


def _digits(number: int | Decimal) -> str:
    return format(number, "d" if isinstance(number, int) else "f")


def _writable(text: str) -> str:
    """Without what XML cannot hold, and no longer than a cell."""
    return _UNWRITABLE.sub("\ufffd", text)[:LONGEST_CELL]


def _taken(held: io.StringIO) -> bytes:
    written = held.getvalue().encode()
    held.seek(0)
    held.truncate()
    return written
