"""Kit versus loose, with the figures of the trade's worked example."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kits.domain.kit_or_loose import LoosePart, kit_or_loose
from kits.domain.money import MixedCurrencies, money

pytestmark = pytest.mark.domain

KIT = money("119.00", "USD")
PARTS = tuple(
    LoosePart(("VRD", number), quantity, money(price, "USD"))
    for number, quantity, price in (
        ("4410-12", 4, "9.40"), ("0021-460", 1, "14.20"), ("2051", 1, "31.50"), ("6611", 1, "27.80"),
        ("6612", 1, "1.90"), ("3307", 1, "18.60"), ("9120", 1, "0.85"),
    )
)  # fmt: skip
AIR = 2


def test_the_kit_wins_while_all_is_needed_and_loses_where_the_air_element_lies_on_the_shelf() -> None:
    """119.00 against 132.45; with the air element on the shelf loose is 100.95 and saves 18.05."""
    bare = kit_or_loose(KIT, PARTS)
    assert bare.loose == bare.to_buy == money("132.45", "USD")
    assert bare.loose_saves == money("-13.45", "USD")
    shelf = kit_or_loose(KIT, (*PARTS[:AIR], replace(PARTS[AIR], free=1), *PARTS[AIR + 1 :]))
    assert (shelf.to_buy, shelf.loose_saves) == (money("100.95", "USD"), money("18.05", "USD"))
    assert shelf.kit_whole


def test_a_short_valve_means_the_kit_cannot_be_shipped_complete() -> None:
    assert not kit_or_loose(KIT, (*PARTS[:5], replace(PARTS[5], short=True), PARTS[6])).kit_whole


def test_a_part_without_a_price_leaves_the_sum_unknown_unless_it_lies_on_the_shelf() -> None:
    unpriced = replace(PARTS[AIR], price=None)
    found = kit_or_loose(KIT, (*PARTS[:AIR], unpriced))
    assert (found.to_buy, found.loose_saves, found.unpriced) == (None, None, (("VRD", "2051"),))
    assert kit_or_loose(KIT, (replace(unpriced, free=1),)).to_buy == money("0", "USD")


def test_prices_in_another_currency_are_refused() -> None:
    with pytest.raises(MixedCurrencies):
        kit_or_loose(money("1", "EUR"), PARTS)
