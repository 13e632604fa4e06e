"""CSV as people send it: found strictly, refused where it can be read two ways, and damage named by its line."""

import pytest

from service.tables.csv_files import read_csv
from service.tables.files import read_file
from service.tables.sheets import LONGEST_CELL, MOST_BYTES, MOST_ROWS, Dialect, Sheet, TableRefused

pytestmark = pytest.mark.domain


def read(text: str | bytes, **declared: str) -> Sheet:
    data = text if isinstance(text, bytes) else text.encode()
    return read_csv(data, Dialect(**declared), name="shelf", measures=lambda header: header.endswith("mm"))


def refusal(text: str | bytes, **declared: str) -> TableRefused:
    with pytest.raises(TableRefused) as refused:
        read(text, **declared)
    return refused.value


def test_a_plain_file_needs_nothing_declared() -> None:
    sheet = read("number,gap mm\r\n0021-460,0.6\r\n")
    assert sheet.header == ("number", "gap mm")
    assert [(row.line, dict(row.cells)) for row in sheet.rows] == [(2, {"number": "0021-460", "gap mm": "0.6"})]
    assert sheet.dialect == Dialect("comma", "point", "utf-8")


# The mark of Unicode's UTF-8: the bytes EF BB BF (The Unicode Standard, section 23.8).
def test_a_byte_order_mark_is_no_part_of_the_first_column_and_semicolons_take_a_decimal_comma() -> None:
    sheet = read(b"\xef\xbb\xbfnumber;gap mm\n12;0,65\n")
    assert sheet.header == ("number", "gap mm")
    assert sheet.dialect == Dialect("semicolon", "comma", "utf-8")


def test_bytes_of_windows_1252_are_read_only_where_that_is_declared() -> None:
    data = "number,name\n12,K\u00fchler\n".encode("cp1252")
    found = refusal(data)
    assert found.code == "undecidable_encoding"
    assert "Line 2" in found.message
    assert read(data, encoding="windows-1252").rows[0].cells["name"] == "K\u00fchler"


def test_a_declared_encoding_that_the_files_own_mark_contradicts_is_refused() -> None:
    assert refusal(b"\xef\xbb\xbfnumber\n12\n", encoding="windows-1252").code == "encoding_contradicted"


def test_utf_16_is_known_by_its_mark() -> None:
    assert read("number,name\n12,K\u00fchler\n".encode("utf-16")).rows[0].cells["name"] == "K\u00fchler"


@pytest.mark.parametrize("text", ["a,b;c\n1,2;3\n", "1,234\n", "1,234\n5,678\n"])
def test_a_header_that_does_not_tell_its_separator_is_refused(text: str) -> None:
    assert refusal(text).code == "undecidable_separator"


def test_a_separator_that_is_declared_is_taken() -> None:
    assert read("a,b;c\n1,2;3\n", separator="semicolon").header == ("a,b", "c")


def test_a_separator_inside_quotes_tells_nothing() -> None:
    assert read('"a,b";"c\nd"\n1;2\n').header == ("a,b", "c\nd")


@pytest.mark.parametrize(
    ("cells", "mark"),
    [
        ("0,65", "comma"),
        ("0.65", "point"),
        ("12", "point"),
        ("1.2345", "point"),
        ("-30..110,5", "comma"),
        ("..7.5", "point"),
        ("1.234,50", "comma"),
        ("1,234.50", "point"),
        ("1,234.5\n2;1,234", "point"),
    ],
)
def test_the_decimal_mark_is_told_by_the_measures(cells: str, mark: str) -> None:
    assert read(f"number;gap mm\n1,5;{cells}\n").dialect.decimal == mark


@pytest.mark.parametrize("cells", ["1,234", "1.234", "0,65\n2;0.65", "12,50\n2;1,234.50"])
def test_a_decimal_mark_that_can_be_read_two_ways_is_refused_until_it_is_declared(cells: str) -> None:
    text = f"number;gap mm\n1;{cells}\n"
    assert refusal(text).code == "undecidable_decimal"
    assert read(text, decimal="comma").dialect.decimal == "comma"


def test_quotes_hold_separators_quotes_and_line_ends_and_lines_are_still_counted() -> None:
    sheet = read('number,name\n1,"a ""b"", c\nd"\n2,e\n')
    assert [(row.line, row.cells["name"]) for row in sheet.rows] == [(2, 'a "b", c\nd'), (4, "e")]


@pytest.mark.parametrize("text", ['number,name\n1,"a\n2,b\n', 'number,name\n1,"a"b\n'])
def test_quotes_that_are_never_closed_or_closed_too_early_are_named_by_their_line(text: str) -> None:
    found = refusal(text)
    assert found.code == "unreadable_row"
    assert "line 2" in found.message


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "empty_file"),
        ("\n , \n", "empty_file"),
        ("number,name\n", "no_rows"),
        ("number,name,number\n1,2,3\n", "duplicate_header"),
        ("number,,name\n1,2,3\n", "unnamed_column"),
        (",".join(f"c{n}" for n in range(501)) + "\n1\n", "too_many_columns"),
        ("n\n" + "x\n" * (MOST_ROWS + 1), "too_many_rows"),
    ],
)
def test_what_is_wrong_with_the_whole_file_is_named(text: str, code: str) -> None:
    assert refusal(text).code == code


@pytest.mark.parametrize(
    ("row", "column", "code"),
    [
        ("1", "", "too_few_cells"),
        ("1,2,3", "", "too_many_cells"),
        ("1,a\0b", "name", "unprintable"),
        ("1," + "x" * (LONGEST_CELL + 1), "name", "cell_too_long"),
    ],
)
def test_a_damaged_row_is_named_and_the_others_are_read(row: str, column: str, code: str) -> None:
    sheet = read(f"number,name\n{row}\n2,b\n")
    assert [(damage.line, damage.column, damage.code) for damage in sheet.damages] == [(2, column, code)]
    assert [row.line for row in sheet.rows] == [3]


def test_empty_columns_at_the_end_and_empty_rows_are_nobodys_fault() -> None:
    sheet = read("number,name,,\n1,a,,\n\n,,,\n2,b,,\n")
    assert not sheet.damages
    assert [row.line for row in sheet.rows] == [2, 5]


def test_a_file_that_does_not_say_its_table_or_is_too_large_or_too_old_is_refused() -> None:
    def code(data: bytes, table: str | None = "parts") -> str:
        with pytest.raises(TableRefused) as refused:
            read_file(data, Dialect(), tables=("parts",), table=table, measures=lambda _: False)
        return refused.value.code

    assert code(b"number\n1\n", None) == "table_not_named"
    assert code(b"number\n1\n", "shelf") == "unknown_table"
    assert code(b"x" * (MOST_BYTES + 1)) == "file_too_large"
    # The signature of compound files, in which old and in which locked workbooks are kept ([MS-CFB] 2.2).
    assert code(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest") == "unreadable_workbook"


@pytest.mark.parametrize(("name", "word"), [("separator", "pipe"), ("decimal", "dot"), ("encoding", "ebcdic")])
def test_a_dialect_is_declared_in_known_words(name: str, word: str) -> None:
    found = refusal("a\n1\n", **{name: word})
    assert (found.code, found.pointer) == (f"unknown_{name}", f"/{name}")
