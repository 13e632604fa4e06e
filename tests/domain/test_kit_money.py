"""Amounts of money: decimals by ISO 4217, rounding a half up, and no sum across currencies."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.currencies import DECIMALS
from kits.domain.money import MixedCurrencies, Money, Rounding, line_total, money, total, totals_by_currency
from service.errors import Invalid

pytestmark = pytest.mark.domain

# From the table of currency digits that a browser makes from ISO 4217's list (version of 2025-02-04); all it does not
# name have two.
NOT_TWO = {
    "BHD": 3, "BIF": 0, "CLF": 4, "CLP": 0, "DJF": 0, "GNF": 0, "IQD": 3, "ISK": 0, "JOD": 3, "JPY": 0, "KMF": 0,
    "KRW": 0, "KWD": 3, "LYD": 3, "OMR": 3, "PYG": 0, "RWF": 0, "TND": 3, "UGX": 0, "UYI": 0, "UYW": 4, "VND": 0,
    "VUV": 0, "XAF": 0, "XOF": 0, "XPF": 0,
}  # fmt: skip


def test_decimals_are_those_of_the_published_list() -> None:
    assert {code: places for code, places in DECIMALS.items() if places != 2} == NOT_TWO


def test_a_line_is_rounded_half_up_to_what_is_paid() -> None:
    """Scenario 42: 3 x 2.335 USD is 7.01; JPY has 0 decimals and KWD 3."""
    assert line_total(money("2.335", "USD"), 3).shown == "7.01 USD"
    assert line_total(money("10.5", "JPY"), 1).shown == "11 JPY"
    assert line_total(money("0.0005", "KWD"), 1).shown == "0.001 KWD"


def test_a_total_by_line_and_one_on_the_sum_differ_and_say_which() -> None:
    """The worked figures of the trade notes: 17.05 by line, 17.04 on the sum."""
    lines = [money("2.335", "USD") * 3, money("1.115", "USD") * 7, money("0.445", "USD") * 5]
    assert total(lines, "USD", Rounding.BY_LINE).amount == "17.05"
    assert total(lines, "USD", Rounding.ON_THE_SUM).amount == "17.04"


@pytest.mark.parametrize(
    ("text", "currency", "shown"),
    [
        ("12.3", "USD", "12.30"), ("2.335", "USD", "2.335"), ("5", "JPY", "5"), ("5.5", "JPY", "5.5"),
        ("-0.01", "EUR", "-0.01"), ("1.5", "KWD", "1.500"), ("0.10000", "EUR", "0.10"), ("0", "CLF", "0.0000"),
    ],
)  # fmt: skip
def test_an_amount_is_shown_with_the_decimals_of_its_currency_and_any_it_has_besides(
    text: str, currency: str, shown: str
) -> None:
    assert money(text, currency).amount == shown


@pytest.mark.parametrize("text", ["", "1,5", "1.", ".5", "1e3", "NaN", "0.00001", "1 000", "\u0661", "+1", "9" * 15])
def test_what_is_no_amount_or_finer_than_kept_is_refused(text: str) -> None:
    with pytest.raises(Invalid):
        money(text, "USD")


@pytest.mark.parametrize("code", ["XYZ", "usd", "US", "", "XXX"])
def test_a_currency_whose_decimals_are_not_known_is_refused(code: str) -> None:
    with pytest.raises(Invalid) as refused:
        money("1", code)
    assert refused.value.code == "unknown_currency"


def test_amounts_in_two_currencies_are_never_added_or_compared() -> None:
    dollars, euros = money("1", "USD"), money("1", "EUR")
    with pytest.raises(MixedCurrencies):
        _ = dollars + euros
    with pytest.raises(MixedCurrencies):
        _ = dollars - euros
    with pytest.raises(MixedCurrencies):
        _ = dollars < euros
    with pytest.raises(MixedCurrencies):
        total([dollars, euros], "USD", Rounding.BY_LINE)
    assert totals_by_currency([dollars, euros, dollars]) == (euros, money("2", "USD"))


@given(st.integers(-(10**12), 10**12), st.sampled_from(sorted(DECIMALS)))
def test_rounding_is_that_of_decimal_arithmetic(ticks: int, currency: str) -> None:
    """Against the standard library's ROUND_HALF_UP, which goes away from zero."""
    exact = Decimal(ticks) / 10_000
    paid = exact.quantize(Decimal(1).scaleb(-DECIMALS[currency]), rounding=ROUND_HALF_UP)
    assert Money(ticks, currency).rounded.ticks == paid * 10_000


@given(st.integers(-(10**12), 10**12), st.sampled_from(sorted(DECIMALS)))
def test_what_is_shown_reads_back_as_the_same_amount(ticks: int, currency: str) -> None:
    amount = Money(ticks, currency)
    assert money(amount.amount, currency) == amount
