"""Cells of nightly files, when a file is held, packs and counts (trade.md section 6; limits are common practice)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from string import printable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.number_damage import any_looks_damaged, looks_damaged
from catalog.domain.part_numbers import number_key
from kits.domain.money import TICKS, Money, money
from kits.domain.stock import Batch, StockItem
from kits.domain.stock_files import cells
from kits.domain.stock_files.holding import Compared, FileFigures, reasons_to_hold
from kits.domain.stock_files.reading import read_rows
from kits.domain.stock_files.tables import PRICES
from kits.domain.supply_prices import counted, pack_price
from service.errors import Invalid

pytestmark = pytest.mark.domain
DAY = date(2026, 4, 13)
LAST = FileFigures(400, 312, ("branch", "maker", "number", "on_hand"))


@dataclass(frozen=True, slots=True)
class Line:
    line: int
    cells: Sequence[str]
    converted: frozenset[int] = field(default=frozenset())


@given(st.integers(0, 10**9), st.integers(0, 9999), st.sampled_from([(".", ","), (",", ".")]), st.booleans())
def test_an_amount_reads_back_in_either_notation(whole: int, rest: int, marks: tuple[str, str], grouped: bool) -> None:
    decimal, group = marks
    digits = f"{whole:,}".replace(",", group) if grouped else str(whole)
    assert cells.amount(f"{digits}{decimal}{rest:04d}", decimal) == whole * TICKS + rest


@pytest.mark.parametrize("text", ["1.234,50", "-3", "12.30 USD", "$3", "1,2,3", "1.23456", "", "1e3", "\u0663"])
def test_what_is_no_amount_with_a_point_is_refused(text: str) -> None:
    with pytest.raises(Invalid):
        cells.amount(text, ".")


def test_a_litre_a_quart_and_a_pound_of_oil() -> None:
    assert cells.size("5 L", ".") == 5_000_000
    assert cells.size("0,946 L", ",") == 946_000
    with pytest.raises(Invalid):
        cells.size("5 lb", ".")


# A fast way for plain ASCII must say what the general way says, which a letter beyond ASCII asks for.
@given(st.text(alphabet=printable + "\x00\x7f", max_size=30))
def test_a_number_in_ascii_has_the_key_it_has_beside_other_letters(text: str) -> None:
    assert number_key(f"{text}é") == f"{number_key(text)}É"


@pytest.mark.parametrize(
    ("tonight", "compared", "reasons"),
    [
        (LAST, Compared(), []),
        (FileFigures(400, 0, LAST.header), Compared(), ["leading_zeros_lost"]),
        (FileFigures(361, 312, LAST.header), Compared(), []),
        (FileFigures(360, 312, LAST.header), Compared(), ["rows_lost"]),
        (FileFigures(400, 312, ("branch", "maker", "number", "qty")), Compared(), ["columns_renamed"]),
        (FileFigures(400, 312, (*LAST.header, "bin")), Compared(), []),
        (LAST, Compared(100, 5, 5), []),
        (LAST, Compared(100, 6, 0), ["prices_moved"]),
        (LAST, Compared(100, 0, 6), ["units_changed"]),
    ],
)
def test_a_file_is_held_from_its_limit_on(tonight: FileFigures, compared: Compared, reasons: list[str]) -> None:
    assert [reason.code for reason in reasons_to_hold(tonight, LAST, compared)] == reasons


def test_one_row_and_one_number_are_told_in_the_singular() -> None:
    last, tonight = FileFigures(2, 1, LAST.header), FileFigures(1, 0, LAST.header)
    said = [reason.detail for reason in reasons_to_hold(tonight, last, Compared())]
    assert said[0].startswith("1 row tonight and 2 last time;")
    assert said[1].startswith("leading zeros lost: 1 number started with a zero last time, 0 do now.")


def test_a_first_file_has_only_prices_to_be_compared_with() -> None:
    assert reasons_to_hold(FileFigures(3, 0, ("x",)), None, Compared()) == ()


def test_every_wrong_cell_of_a_row_is_told_with_its_line() -> None:
    header = ("supplier", "maker", "number", "price", "pack", "minimum", "promised_from", "promised_to")
    row = ("fenmoor", "", "9.52E+12", "0", "none", "0", "2026-04-22", "")
    found = read_rows(PRICES, header, [Line(7, row)], ".")
    assert {(problem.line, problem.column, problem.code) for problem in found.problems} == {
        (7, "maker", "missing"), (7, "number", "e_notation"), (7, "price", "price_of_nothing"),
        (7, "pack", "not_a_whole_number"), (7, "promised_to", "half_a_span"),
    }  # fmt: skip
    assert (found.stated, found.nameless) == ([], 1)


part_numbers = st.text(alphabet="0A9-E/.\n é", min_size=1, max_size=7).map(str.strip).filter(bool)
price_cells = st.tuples(st.sampled_from(["fenmoor", " quay ", "far"]), st.sampled_from(["VRD", "OLM"]), part_numbers)


# A file of sound rows about different parts is read another way than one with something wrong in it.
@given(st.lists(price_cells, min_size=1, max_size=6), st.lists(st.sampled_from(["", "F1", " F 2 "]), max_size=6))
def test_what_rows_state_does_not_rest_on_what_another_row_says(
    named: list[tuple[str, str, str]], numbers: list[str]
) -> None:
    header = ("supplier", "maker", "number", "price", "pack", "minimum", "supplier_number")
    texts = [(*names, "1.5", "1", "0", own) for names, own in zip(named, [*numbers, *[""] * 6], strict=False)]
    rows = [Line(line, cells) for line, cells in enumerate(texts, start=2)]
    broken = Line(99, ("fenmoor", "VRD", "77-000", "nothing", "1", "0", ""))
    alone, beside = (read_rows(PRICES, header, given, ".") for given in (rows, [*rows, broken]))
    assert alone.stated == [stated for stated in beside.stated if stated.line != broken.line]
    assert {stated.owner for stated in alone.stated} <= {"fenmoor", "quay", "far"}
    assert alone.problems == [problem for problem in beside.problems if problem.line != broken.line]
    assert alone.broken == {part for part in beside.broken if part[2] != "77000"}
    assert (alone.leading_zeros, alone.nameless) == (beside.leading_zeros, beside.nameless)


@given(st.lists(st.sampled_from(["77-000", "1E5", "12-May-24", "Sept-1", "1234567890123450", "A\n1E5", "0021-460"])))
def test_of_all_numbers_of_a_file_none_that_a_spreadsheet_damaged_is_passed_over(numbers: list[str]) -> None:
    assert any_looks_damaged(numbers) or not any(map(looks_damaged, numbers))
    assert not any_looks_damaged([number for number in numbers if "\n" not in number and not looks_damaged(number)])


def test_a_price_for_a_hundred_is_the_price_of_a_pack() -> None:
    assert pack_price(money("37.60", "USD"), 4, 4) == money("37.60", "USD")
    assert pack_price(money("12.50", "USD"), 100, 6) == money("0.75", "USD")
    assert pack_price(money("10", "USD"), 3, 1) == Money(33_333, "USD")


batch_counts = st.lists(
    st.tuples(st.integers(0, 20), st.integers(0, 20), st.sampled_from([None, date(2026, 4, 1), date(2027, 1, 1)])),
    max_size=5,
)


@given(batch_counts, st.booleans())
def test_free_is_never_more_than_what_lies_there_less_what_is_promised(
    rows: list[tuple[int, int, date | None]], ages: bool
) -> None:
    pairs = [
        (Batch(f"A{place}", there, min(there, promised), date(2025, 1, 1), until), max(0, promised - there))
        for place, (there, promised, until) in enumerate(rows)
    ]
    item = StockItem(("VRD", "1"), counted(pairs, ages=ages), ages=ages)
    free = item.free(DAY)
    assert 0 <= free <= max(0, sum(there for there, *_ in rows) - sum(promised for _, promised, _ in rows))
    assert item.on_hand == sum(there for there, *_ in rows)


def test_a_file_without_a_row_says_nothing_and_is_read() -> None:
    """Half-written or empty: a header alone, or rows none of which can be read (common practice, no source)."""
    header = ("supplier", "maker", "number", "price", "price_for", "pack", "minimum", "content")
    found = read_rows(PRICES, header, (), ".")
    assert (found.stated, found.problems, found.nameless, found.leading_zeros) == ([], [], 0, 0)
