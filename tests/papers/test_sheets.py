"""Tables to take away: what a spreadsheet would run or spoil, it does not.

Formula injection: OWASP, CSV injection, from memory. CSV itself: RFC 4180.
"""

import csv
import io
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from service.papers.sheets import csv_of, xlsx_of
from service.papers.tables import Cell, Column, ColumnKind

pytestmark = pytest.mark.domain
PART, NAME, COUNT = Column("part", ColumnKind.CODE), Column("name"), Column("count", ColumnKind.NUMBER)
COLUMNS = (PART, NAME, COUNT)
ROWS: tuple[tuple[Cell, ...], ...] = (
    ("00000012", "Dichtung, groß", 16),
    ("3-12", "=2+5", Decimal("-12.50")),
    ("9520000021467", 'say "flat"\nor not', None),
)
STARTS = ["=", "+", "-", "@", "\t", "\r", "\uff1d", " =", "\u00a0+"]


def as_csv(rows: tuple[tuple[Cell, ...], ...], *, excel: bool = False) -> str:
    return b"".join(csv_of(COLUMNS, rows, excel=excel)).decode()


def as_xlsx(rows: tuple[tuple[Cell, ...], ...]) -> list[list[object]]:
    file = io.BytesIO()
    xlsx_of(COLUMNS, rows, file, name="parts")
    book = CalamineWorkbook.from_filelike(io.BytesIO(file.getvalue()))
    return [list(row) for row in book.get_sheet_by_name("parts").to_python()]


def test_a_csv_is_written_as_the_rfc_has_it() -> None:
    assert as_csv(ROWS) == (
        "part,name,count\r\n"
        '00000012,"Dichtung, groß",16\r\n'
        "3-12,'=2+5,-12.50\r\n"
        '9520000021467,"say ""flat""\nor not",\r\n'
    )


def test_the_mark_for_excel_stands_first_and_only_where_asked_for() -> None:
    assert as_csv(ROWS, excel=True) == "\ufeff" + as_csv(ROWS)
    assert not as_csv(ROWS).startswith("\ufeff")


@pytest.mark.parametrize("start", STARTS)
def test_a_text_that_begins_like_a_formula_is_not_run(start: str) -> None:
    text = f"{start}cmd|' /C calc'!A0"
    (_, row) = csv.reader(io.StringIO(as_csv(((text, text, 1),)), newline=""))
    assert row == [f"'{text}", f"'{text}", "1"]
    (_, cells) = as_xlsx(((text, text, 1),))
    assert [str(cell).replace("\r\n", "\r").replace("_x000D_", "\r").replace("\n", "\r") for cell in cells[:2]] == [
        text,
        text,
    ]


def test_a_header_is_no_formula_either() -> None:
    assert b"".join(csv_of((Column("=1+1"),), ())) == b"'=1+1\r\n"


def test_a_workbook_keeps_the_zeros_of_codes_and_numbers_as_numbers() -> None:
    assert as_xlsx(ROWS) == [
        ["part", "name", "count"],
        ["00000012", "Dichtung, groß", 16.0],
        ["3-12", "=2+5", -12.5],
        ["9520000021467", 'say "flat"\nor not', ""],
    ]


def test_a_number_that_a_spreadsheet_would_round_stays_text() -> None:
    exact = Decimal("1234567890123456.78")
    assert as_xlsx((("a", "b", exact),))[1][2] == "1234567890123456.78"
    assert as_csv((("a", "b", exact),)).endswith("1234567890123456.78\r\n")


def test_what_a_workbook_cannot_hold_does_not_break_it() -> None:
    assert as_xlsx((("a\x01b", "x" * 40_000, None),))[1][:2] == ["a\ufffdb", "x" * 32_767]


@given(st.lists(st.tuples(st.text(st.characters(exclude_categories=["Cs"])), st.integers()), max_size=30))
def test_a_csv_read_back_has_every_cell(cells: list[tuple[str, int]]) -> None:
    written = b"".join(csv_of((NAME, COUNT), cells)).decode()
    (_, *rows) = csv.reader(io.StringIO(written, newline=""))
    assert [(text.removeprefix("'"), int(number)) for text, number in rows] == [
        (text.removeprefix("'"), number) for text, number in cells
    ]
    assert not any(text.startswith(tuple(STARTS)) for text, _ in rows)
