"""Lines of orders: money rounded by line, whole packs, minimums; and a fluid for several jobs both ways."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.containers import MICROLITRES, Container
from kits.domain.money import Money, line_total, money
from kits.domain.order_lines import Packing, check_minimum, line_cost, packs_of
from kits.domain.order_plan.fluids import Fluid, FluidBuying, containers_offered
from kits.domain.order_plan.question import Offer
from service.errors import Invalid

pytestmark = pytest.mark.domain
OIL = ("VRD", "9105")


@pytest.mark.parametrize(
    ("price", "currency", "price_for", "pieces", "cost"),
    [
        ("2.335", "USD", 1, 3, "7.01"),  # acceptance scenario 42
        ("1.115", "USD", 1, 7, "7.81"),  # trade notes, section 6: 3 x 2.335 + 7 x 1.115 + 5 x 0.445 = 17.05 by line
        ("0.445", "USD", 1, 5, "2.23"),
        ("99.5", "JPY", 1, 3, "299"),
        ("1.2345", "KWD", 1, 1, "1.235"),
        ("12.34", "USD", 1_000, 1_000, "12.34"),
        ("10", "USD", 3, 1, "3.33"),
    ],
)
def test_a_line_is_rounded_once_and_a_half_goes_up(
    price: str, currency: str, price_for: int, pieces: int, cost: str
) -> None:
    assert line_cost(money(price, currency), price_for, pieces).amount == cost


@given(st.integers(1, 10**9), st.integers(1, 1_000), st.sampled_from(["USD", "JPY", "KWD", "CLF"]))
def test_at_a_price_for_one_piece_it_is_the_total_of_the_line(ticks: int, pieces: int, currency: str) -> None:
    price = Money(ticks, currency)
    assert line_cost(price, 1, pieces) == line_total(price, pieces)


@given(st.integers(1, 10**9), st.integers(1, 500), st.integers(1, 1_000))
def test_a_line_is_never_off_by_more_than_half_a_cent(ticks: int, price_for: int, pieces: int) -> None:
    cost = line_cost(Money(ticks, "USD"), price_for, pieces)
    assert abs(cost.ticks * price_for - ticks * pieces) * 2 <= 100 * price_for


def test_pieces_that_are_no_whole_packs_are_refused_with_what_would_do() -> None:
    sixes = Packing(6, 6)
    assert packs_of(12, sixes) == 2
    with pytest.raises(Invalid, match="order 6 or 12"):
        packs_of(7, sixes)
    with pytest.raises(Invalid, match="order 12"):
        packs_of(7, Packing(6, 12))


def test_fewer_packs_than_the_minimum_are_refused() -> None:
    check_minimum(2, Packing(6, 12))
    with pytest.raises(Invalid, match="order 2 packs"):
        check_minimum(1, Packing(6, 12))


def test_oil_for_two_jobs_is_187_apart_and_161_40_pooled() -> None:
    """Trade notes, section 5: J2 8.6 L and J4 17.2 L."""
    sizes = [
        Container(str(litres), litres * MICROLITRES, money(price, "USD"))
        for litres, price in ((1, "8.90"), (5, "34.50"), (20, "118.00"))
    ]
    oil = Fluid(OIL, (("J2", 8_600_000), ("J4", 17_200_000)), tuple(sizes), "USD")
    assert oil.ways is not None
    assert (oil.ways.apart.amount, oil.ways.pooled.cost.amount, oil.ways.saved.amount) == ("187.00", "161.40", "25.60")
    assert [jobs for jobs, _ in oil.bought(FluidBuying.BY_JOB)] == [("J2",), ("J4",)]
    assert [jobs for jobs, _ in oil.bought(FluidBuying.POOLED)] == [("J2", "J4")]


def test_a_fluid_whose_containers_have_no_price_is_bought_in_no_way() -> None:
    oil = Fluid(OIL, (("J2", 8_600_000),), (), "USD")
    assert oil.ways is None
    assert oil.bought(FluidBuying.POOLED) == ()


def test_of_each_size_the_cheapest_container_in_the_currency_counts() -> None:
    """A pack of four at 100 is 25 each; what is priced in another currency is left out."""
    offers = (
        Offer("a", "F", OIL, money("34.50", "USD")),
        Offer("b", "F", OIL, money("100", "USD"), pack=4),
        Offer("c", "F", OIL, money("1", "EUR")),
    )
    (five,) = containers_offered([(5_000_000, offers), (1_000_000, offers[2:])], "USD")
    assert (five.microlitres, five.price.amount) == (5_000_000, "25.00")
