"""Pieces from sources to demands, against trying every way to hand them out."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.domain.order_plan.flows import cheapest_flow

pytestmark = pytest.mark.domain

COSTS = st.lists(st.dictionaries(st.integers(0, 3), st.integers(0, 5), max_size=4), min_size=1, max_size=4)


@given(COSTS, st.lists(st.integers(0, 2), min_size=4, max_size=4), st.lists(st.integers(0, 2), min_size=4, max_size=4))
@settings(max_examples=400)
def test_as_many_pieces_as_can_be_and_no_cheaper_way_to_hand_them_out(
    costs: list[dict[int, int]], room: list[int], wanted: list[int]
) -> None:
    wanted = wanted[: len(costs)]
    sent = cheapest_flow(room, wanted, costs)
    for source, pieces in enumerate(room):
        assert sum(row.get(source, 0) for row in sent) <= pieces
    for demand, row in enumerate(sent):
        assert sum(row.values()) <= wanted[demand]
        assert all(pieces > 0 and source in costs[demand] for source, pieces in row.items())
    served = sum(sum(row.values()) for row in sent)
    cost = sum(costs[demand][source] * pieces for demand, row in enumerate(sent) for source, pieces in row.items())
    assert (-served, cost) == _best(costs, room, wanted)


def test_a_chain_of_three_that_have_to_move_up_is_found() -> None:
    """Each demand but the last has a way out that is dearer by one; only the first source is free at the end."""
    costs = [{0: 0, 1: 1}, {1: 0, 2: 1}, {2: 0, 3: 1}, {0: 0}]
    assert cheapest_flow([1, 1, 1, 1], [1, 1, 1, 1], costs) == [{1: 1}, {2: 1}, {3: 1}, {0: 1}]


def _best(costs: list[dict[int, int]], room: list[int], wanted: list[int]) -> tuple[int, int]:
    pieces = [demand for demand, count in enumerate(wanted) for _ in range(count)]

    @cache
    def least(index: int, left: tuple[int, ...]) -> tuple[int, int]:
        if index == len(pieces):
            return 0, 0
        found = [least(index + 1, left)]
        for source, cost in costs[pieces[index]].items():
            if left[source]:
                rest = least(index + 1, (*left[:source], left[source] - 1, *left[source + 1 :]))
                found.append((rest[0] - 1, rest[1] + cost))
        return min(found)

    return least(0, tuple(room))
