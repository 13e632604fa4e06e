"""Workbooks: numbers and dates are told from text, and what would fill the memory is not opened."""

import datetime as dt
import io
import zipfile
from collections.abc import Callable

import pytest
import xlsxwriter

from service.tables.sheets import Dialect, TableRefused
from service.tables.xlsx_files import read_xlsx

pytestmark = pytest.mark.domain
TABLES = ("parts", "statements")


def book(fill: Callable[[xlsxwriter.Workbook], None]) -> bytes:
    kept = io.BytesIO()
    with xlsxwriter.Workbook(kept, {"in_memory": True}) as workbook:
        fill(workbook)
    return kept.getvalue()


def one_sheet(*rows: list[object], name: str = "parts") -> bytes:
    def fill(workbook: xlsxwriter.Workbook) -> None:
        sheet = workbook.add_worksheet(name)
        day = workbook.add_format({"num_format": "yyyy-mm-dd"})
        for line, cells in enumerate(rows):
            for place, cell in enumerate(cells):
                if isinstance(cell, dt.date):
                    sheet.write_datetime(line, place, dt.datetime.combine(cell, dt.time()), day)
                else:
                    sheet.write(line, place, cell)

    return book(fill)


def refused(data: bytes, only: str | None = None) -> str:
    with pytest.raises(TableRefused) as found:
        read_xlsx(data, Dialect(), named=TABLES, only=only)
    return found.value.code


def test_text_stays_as_it_is_and_numbers_are_marked_as_converted() -> None:
    data = one_sheet(
        ["number", "gap", "day", "new"], ["00012", 0.1 + 0.2, dt.date(2026, 12, 3), True], [12, 1e15, "", 7]
    )
    (sheet,) = read_xlsx(data, Dialect(), named=TABLES)
    first, second = sheet.rows
    assert (first.line, dict(first.cells)) == (2, {"number": "00012", "gap": "0.3", "day": "2026-12-03", "new": "yes"})
    assert first.converted == {"gap", "day", "new"}
    assert (second.cells["number"], second.cells["gap"]) == ("12", "1000000000000000")
    assert second.converted == {"number", "gap", "new"}


def test_numbers_are_written_with_the_decimal_mark_that_the_texts_beside_them_have() -> None:
    (sheet,) = read_xlsx(one_sheet(["gap"], [0.5], ["0,6 mm"]), Dialect(decimal="comma"), named=TABLES)
    assert [row.cells["gap"] for row in sheet.rows] == ["0,5", "0,6 mm"]


def test_lines_are_those_of_the_sheet_also_below_empty_ones() -> None:
    (sheet,) = read_xlsx(one_sheet([], ["number"], [], ["1"]), Dialect(), named=TABLES)
    assert [row.line for row in sheet.rows] == [4]


def test_every_sheet_named_after_a_table_is_read_and_others_are_left() -> None:
    def fill(workbook: xlsxwriter.Workbook) -> None:
        for name in ("notes", "Statements", "parts"):
            workbook.add_worksheet(name).write_column(0, 0, ["number", "1"])

    assert [sheet.name for sheet in read_xlsx(book(fill), Dialect(), named=TABLES)] == ["parts", "statements"]
    assert [sheet.name for sheet in read_xlsx(book(fill), Dialect(), named=TABLES, only="statements")] == ["statements"]


def test_where_one_table_is_named_and_no_sheet_is_the_first_sheet_is_it() -> None:
    data = one_sheet(["number"], ["1"], name="Sheet1")
    assert refused(data) == "unknown_table"
    assert [sheet.name for sheet in read_xlsx(data, Dialect(), named=TABLES, only="parts")] == ["parts"]


def test_a_sheet_that_reaches_far_out_is_refused_before_it_is_opened() -> None:
    def far(row: int, column: int) -> bytes:
        return book(lambda workbook: workbook.add_worksheet("parts").write(row, column, "x"))

    assert refused(far(1_048_575, 16_383)) == "too_many_rows"
    assert refused(far(10, 16_383)) == "too_many_columns"


def test_a_workbook_that_unpacks_to_too_much_or_is_none_is_refused() -> None:
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b"0" * 200_000_001)
    assert refused(kept.getvalue()) == "workbook_too_large"
    assert refused(b"PK\x03\x04 and nothing more") == "unreadable_workbook"
    other = io.BytesIO()
    with zipfile.ZipFile(other, "w") as archive:
        archive.writestr("word/document.xml", b"<w/>")
    assert refused(other.getvalue()) == "unreadable_workbook"
