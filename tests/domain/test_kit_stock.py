"""Stock: on hand, reserved, free, short; oldest first, expired never. The figures are of the trade's worked example."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.stock import (
    Batch,
    Incoming,
    NotTaken,
    PassedOver,
    StockItem,
    Taken,
    in_packs,
    order_quantity,
    reorder_quantity,
    take,
)
from service.errors import Invalid

pytestmark = pytest.mark.domain

SHELF, SERVICE = date(2026, 4, 10), date(2026, 4, 13)


@pytest.mark.parametrize(
    ("need", "shelf", "answer", "pack"),
    [
        (6, (5, 2), (3, 3, 6), (6, 6)),
        (16, (20, 8), (12, 4, 4), (4, 4)),
        (4, (4, 0), (4, 0, 0), (1, 1)),
        (4, (0, 0), (0, 4, 4), (2, 2)),
        (4, (0, 0), (0, 4, 4), (1, 1)),
        (2, (1, 0), (1, 1, 1), (1, 1)),
        (4, (5, 2), (3, 1, 6), (6, 6)),  # four old filters serve two of the six engines: still one pack of 6
    ],
)
def test_free_short_and_ordered_as_in_the_worked_example(
    need: int, shelf: tuple[int, int], answer: tuple[int, int, int], pack: tuple[int, int]
) -> None:
    """On hand and reserved give free, short and the order, by pack and minimum."""
    item = StockItem(("VRD", "0021-460"), (Batch("A1", *shelf),))
    short = item.short(need, shelf=SHELF, fitted_on=SERVICE)
    assert (item.on_hand, item.reserved) == shelf
    assert (item.free(SERVICE), short, order_quantity(short, *pack)) == answer


def test_incoming_counts_from_the_far_end_of_its_promise_and_unpromised_for_no_day() -> None:
    coming = (Incoming(3, SHELF), Incoming(5, SHELF + timedelta(days=1)), Incoming(7), Incoming(4, SHELF, assigned=3))
    item = StockItem(("VRD", "3307"), (), coming)
    assert item.incoming_by(SHELF) == 4
    assert item.short(6, shelf=SHELF, fitted_on=SERVICE) == 2


def test_plugs_below_their_reorder_point_are_suggested_as_a_line_of_their_own() -> None:
    """20 + 4 - 8 - 16 = 0, below a reorder point of 8: 8 more."""
    assert reorder_quantity(20 + 4 - 8 - 16, 8, 4, 4) == 8
    assert reorder_quantity(8, 8, 4, 4) == 0


def test_the_oldest_date_code_goes_first_and_expired_pieces_stay_with_the_reason() -> None:
    day = timedelta(days=1)
    item = StockItem(
        ("TSK", "H-410"),
        (
            Batch("B2", 2, 0, date(2026, 1, 1), SERVICE + day),
            Batch("B1", 2, 1, date(2025, 6, 1), SERVICE),
            Batch("B3", 9, 4, date(2024, 1, 1), SERVICE - day),
            Batch("B4", 1),
            Batch("B5", 1, 0, date(2025, 1, 1)),
        ),
        ages=True,
    )
    found = take(item, 5, SERVICE)
    assert found.taken == (Taken("B1", date(2025, 6, 1), 1), Taken("B2", date(2026, 1, 1), 2))
    assert found.short == 2
    assert set(found.passed_over) == {
        NotTaken("B3", 5, PassedOver.EXPIRED),
        NotTaken("B4", 1, PassedOver.NO_DATE_CODE),
        NotTaken("B5", 1, PassedOver.AGE_NOT_KNOWN),
    }
    assert item.free(SERVICE) == 3


@pytest.mark.parametrize(("on_hand", "reserved"), [(1, 2), (-1, 0), (1, -1)])
def test_more_promised_than_is_there_is_refused(on_hand: int, reserved: int) -> None:
    with pytest.raises(Invalid):
        Batch("A1", on_hand, reserved)


@pytest.mark.parametrize(
    ("quantity", "pack", "words"),
    [
        (16, 4, "16 EA = 4 packs of 4"),
        (6, 6, "6 EA = 1 pack of 6"),
        (7, 6, "7 EA = 1 pack of 6 and 1 loose"),
        (3, 4, "3 EA = 3 loose"),
        (3, 1, "3 EA"),
        (0, 4, "0 EA"),
    ],
)
def test_a_pick_list_says_pieces_and_packs(quantity: int, pack: int, words: str) -> None:
    """The words of the trade notes."""
    assert in_packs(quantity, pack) == words


@given(st.integers(-5, 60), st.integers(1, 12), st.integers(0, 30))
def test_an_order_is_the_fewest_whole_packs_that_cover_what_is_short_and_the_minimum(
    short: int, pack: int, minimum: int
) -> None:
    ordered = order_quantity(short, pack, minimum)
    if short <= 0:
        assert ordered == 0
    else:
        assert ordered % pack == 0
        assert ordered - pack < max(short, minimum) <= ordered


BATCHES = st.builds(
    lambda bin_, on_hand, reserved, code, good: Batch(
        bin_, on_hand, min(on_hand, reserved), SERVICE - timedelta(days=code), SERVICE + timedelta(days=good)
    ),
    st.sampled_from(["A", "B", "C"]), st.integers(0, 5), st.integers(0, 5), st.integers(1, 9), st.integers(-2, 2),
)  # fmt: skip


@given(st.lists(BATCHES, max_size=5), st.integers(0, 12))
def test_what_is_taken_is_free_in_order_of_age_and_all_that_can_be(batches: list[Batch], need: int) -> None:
    item = StockItem(("VRD", "1"), tuple(batches), ages=True)
    found = take(item, need, SERVICE)
    assert sum(entry.quantity for entry in found.taken) == min(need, item.free(SERVICE)) == need - found.short
    codes = [entry.date_code for entry in found.taken if entry.date_code]
    assert codes == sorted(codes)
