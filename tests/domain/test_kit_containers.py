"""The cheapest containers for a volume. Prices and mixes are those of the trade notes, computed there."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.containers import MICROLITRES, Container, cheapest_mix, pooling
from kits.domain.money import MixedCurrencies, money
from service.errors import Invalid, Unprocessable

pytestmark = pytest.mark.domain

OIL = tuple(
    Container(f"{litres} L", litres * MICROLITRES, money(price, "USD"))
    for litres, price in ((1, "8.90"), (5, "34.50"), (20, "118.00"))
)


def litres(text: str) -> int:
    whole, _, tenths = text.partition(".")
    return int(whole) * MICROLITRES + int(tenths or 0) * MICROLITRES // 10


@pytest.mark.parametrize(
    ("need", "bought", "cost", "left"),
    [
        ("4.3", {"5 L": 1}, "34.50", "0.7"),
        ("12.9", {"5 L": 2, "1 L": 3}, "95.70", "0.1"),
        ("25.8", {"20 L": 1, "5 L": 1, "1 L": 1}, "161.40", "0.2"),
        ("8.6", {"5 L": 2}, "69.00", "1.4"),
        ("17.2", {"20 L": 1}, "118.00", "2.8"),
        ("0", {}, "0.00", "0"),
    ],
)
def test_the_mix_the_cost_and_what_is_left(need: str, bought: dict[str, int], cost: str, left: str) -> None:
    mix = cheapest_mix(litres(need), OIL, "USD")
    assert {filled.container.code: filled.count for filled in mix.containers} == bought
    assert (mix.cost.amount, mix.left_over) == (cost, litres(left))


def test_two_jobs_pooled_cost_less_and_both_ways_are_shown() -> None:
    """187.00 apart, 161.40 pooled, 25.60 saved."""
    ways = pooling((litres("8.6"), litres("17.2")), OIL, "USD")
    assert (ways.apart.amount, ways.pooled.cost.amount, ways.saved.amount) == ("187.00", "161.40", "25.60")


def test_a_quart_is_exact_and_four_are_not_4_3_litres() -> None:
    """4.3 L take five (trade notes: four are short). A quart of 231/4 cubic inches is 946,353 whole microlitres."""
    quart = (Container("qt", 946_353, money("7.00", "USD")),)
    assert cheapest_mix(litres("4.3"), quart, "USD").count == 5


def test_sizes_without_a_common_measure_are_mixed_as_well() -> None:
    """200 L from quarts, litres and gallons: by the litre the litre is cheapest, and it comes out even."""
    sizes = ((946_353, "5.00"), (1_000_000, "5.20"), (3_785_412, "19.90"))
    mixed = cheapest_mix(
        200 * MICROLITRES, tuple(Container(str(size), size, money(price, "USD")) for size, price in sizes), "USD"
    )
    assert mixed.cost.amount == "1040.00"
    assert mixed.left_over == 0


def test_no_priced_container_another_currency_or_a_size_below_zero_is_refused() -> None:
    with pytest.raises(Unprocessable):
        cheapest_mix(1, (), "USD")
    with pytest.raises(MixedCurrencies):
        cheapest_mix(1, OIL, "EUR")
    with pytest.raises(Invalid):
        cheapest_mix(1, (Container("x", 0, money("1", "USD")),), "USD")
    with pytest.raises(Invalid):
        cheapest_mix(-1, OIL, "USD")


CONTAINERS = st.lists(
    st.builds(
        lambda size, ticks: Container(f"{size}@{ticks}", size, money(str(ticks), "USD")),
        st.integers(1, 7), st.integers(0, 9),
    ),
    min_size=1, max_size=3, unique_by=lambda one: one.code,
)  # fmt: skip


@given(st.integers(0, 12), CONTAINERS)
def test_no_other_mix_is_cheaper_or_as_cheap_with_less_left_or_fewer_containers(
    need: int, containers: list[Container]
) -> None:
    mix = cheapest_mix(need, tuple(containers), "USD")
    every = product(range(need + 1), repeat=len(containers))
    covering = [
        (
            sum(count * one.price.ticks for count, one in zip(counts, containers, strict=True)),
            sum(count * one.microlitres for count, one in zip(counts, containers, strict=True)) - need,
            sum(counts),
        )
        for counts in every
        if sum(count * one.microlitres for count, one in zip(counts, containers, strict=True)) >= need
    ]
    assert (mix.cost.ticks, mix.left_over, mix.count) == min(covering)
