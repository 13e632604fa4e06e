"""Fluids of one kit: summed before they are rounded up to containers, and asked about where none has a price.

Prices are those of the trade's worked example (common practice, no source).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.containers import MICROLITRES, Container, cheapest_mix
from kits.domain.kit_fluids import FluidNeed, fluids
from kits.domain.money import money

pytestmark = pytest.mark.domain
OIL, COOLANT = ("VRD", "9105"), ("VRD", "5901")
SIZES = tuple(
    Container(f"{litres} L", litres * MICROLITRES, money(amount, "USD"))
    for litres, amount in ((1, "8.90"), (5, "34.50"), (20, "118.00"))
)


def test_two_lines_of_one_fluid_are_bought_together_on_the_first() -> None:
    needs = [FluidNeed(3, OIL, 43 * MICROLITRES // 10), FluidNeed(5, OIL, 5 * MICROLITRES // 10)]
    (bought,) = fluids(needs, {OIL: SIZES}, "USD")
    assert (bought.lines, bought.needed) == ((3, 5), 48 * MICROLITRES // 10)
    assert bought.mix is not None
    assert [(one.container.code, one.count) for one in bought.mix.containers] == [("5 L", 1)]


def test_without_a_price_it_is_asked_in_which_containers_it_is_sold() -> None:
    (bought,) = fluids([FluidNeed(1, COOLANT, MICROLITRES)], {OIL: SIZES}, "USD")
    assert bought.mix is None
    assert "In which containers is VRD 5901 sold" in bought.missing[0].question


def test_the_branchs_currency_comes_first_and_two_others_are_not_chosen_between() -> None:
    euro = Container("5 L", 5 * MICROLITRES, money("9.00", "EUR"))
    pound = Container("5 L", 5 * MICROLITRES, money("9.00", "GBP"))
    need = [FluidNeed(1, OIL, MICROLITRES)]
    (own,) = fluids(need, {OIL: (*SIZES, euro)}, "USD")
    assert own.mix is not None
    assert own.mix.cost == money("8.90", "USD")
    (only,) = fluids(need, {OIL: (euro,)}, "USD")
    assert only.mix is not None
    assert only.mix.cost.currency == "EUR"
    (several,) = fluids(need, {OIL: (euro, pound)}, "USD")
    assert "EUR, GBP" in several.missing[0].question


@given(st.lists(st.integers(1, 30 * MICROLITRES), min_size=1, max_size=4))
def test_together_is_never_dearer_than_each_line_by_itself(needs: list[int]) -> None:
    (bought,) = fluids([FluidNeed(at, OIL, need) for at, need in enumerate(needs)], {OIL: SIZES}, "USD")
    assert bought.mix is not None
    apart = sum(cheapest_mix(need, SIZES, "USD").cost.ticks for need in needs)
    assert bought.mix.cost.ticks <= apart
    assert bought.mix.left_over == sum(one.count * one.container.microlitres for one in bought.mix.containers) - sum(
        needs
    )
