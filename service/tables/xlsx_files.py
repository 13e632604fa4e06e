"""XLSX bytes to sheets. A workbook is looked over first: how much it unpacks to, and how far its sheets reach."""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
from collections.abc import Collection, Iterator, Sequence
from decimal import Decimal

from python_calamine import CalamineError, CalamineWorkbook

from service.tables.laying_out import laid_out
from service.tables.sheets import MOST_COLUMNS, MOST_ROWS, Dialect, Line, Sheet, TableRefused

MOST_UNPACKED = 200_000_000
_REFERENCE = re.compile(rb"""\br=["']([A-Z]{0,3})(\d{1,7})["']""")
_SHEETS = "xl/worksheets/"


def read_xlsx(data: bytes, declared: Dialect, *, named: Collection[str], only: str | None = None) -> tuple[Sheet, ...]:
    """The sheets of a workbook that carry one of these names.

    Where `only` one table is asked for: its sheet or, where none has that name, the first one.

    Raises TableRefused for anything but a workbook of sane size, and what `laid_out` refuses.
    """
    _look_over(data)
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        wanted = _wanted(book.sheet_names, named, only)
        rows = {
            table: book.get_sheet_by_name(sheet).to_python(skip_empty_area=False) for table, sheet in wanted.items()
        }
    except CalamineError as error:
        raise TableRefused(f"The workbook cannot be read: {error}.", code="unreadable_workbook") from None
    dialect = Dialect(decimal=declared.decimal or "point")
    return tuple(laid_out(table, _lines(cells, dialect.decimal_mark), dialect) for table, cells in rows.items())


def _wanted(sheets: list[str], named: Collection[str], only: str | None) -> dict[str, str]:
    """The sheet of each table."""
    by_name = {sheet.strip().lower(): sheet for sheet in sheets}
    if only is not None:
        return {only: by_name.get(only, sheets[0])}
    found = {table: by_name[table] for table in named if table in by_name}
    if not found:
        words = f"No sheet is named after a table; name them {', '.join(named)}, or say which table the first sheet is."
        raise TableRefused(words, code="unknown_table")
    return found


def _look_over(data: bytes) -> None:
    """Refuse what would fill the memory when it is opened."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if sum(entry.file_size for entry in archive.infolist()) > MOST_UNPACKED:
                raise TableRefused("The workbook unpacks to more than is read here.", code="workbook_too_large")
            if "xl/workbook.xml" not in archive.namelist():
                raise TableRefused("This is a packed file and no XLSX workbook.", code="unreadable_workbook")
            for name in archive.namelist():
                if name.startswith(_SHEETS) and name.endswith(".xml"):
                    _look_at_reach(archive.read(name))
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError) as error:
        raise TableRefused(f"The workbook cannot be opened: {error}.", code="unreadable_workbook") from None


def _look_at_reach(sheet: bytes) -> None:
    if b"\0" in sheet[:200]:
        raise TableRefused("A sheet of the workbook is not written in UTF-8.", code="unreadable_workbook")
    for found in _REFERENCE.finditer(sheet):
        if int(found[2]) > MOST_ROWS + 1:
            words = f"A sheet reaches to row {int(found[2])}; at most {MOST_ROWS} rows are read."
            raise TableRefused(words, code="too_many_rows")
        if found[1] and _column(found[1]) > MOST_COLUMNS:
            words = f"A sheet reaches to column {found[1].decode()}; at most {MOST_COLUMNS} columns are read."
            raise TableRefused(words, code="too_many_columns")


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - ord("A") + 1
    return number


def _lines(rows: Sequence[Sequence[object]], decimal: str) -> Iterator[Line]:
    for number, cells in enumerate(rows, start=1):
        converted = frozenset(place for place, cell in enumerate(cells) if not isinstance(cell, str))
        yield Line(number, [_text(cell, decimal) for cell in cells], converted)


def _text(cell: object, decimal: str) -> str:
    """What the cell shows. A number has at most fifteen digits that are its own."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, (int, float)):
        digits = format(Decimal(format(cell, ".15g")), "f")
        plain = digits.rstrip("0").rstrip(".") if "." in digits else digits
        return plain.replace(".", decimal)
    if isinstance(cell, dt.datetime):
        return cell.date().isoformat() if cell.time() == dt.time() else cell.isoformat(sep=" ")
    return cell.isoformat() if isinstance(cell, (dt.date, dt.time)) else str(cell)
