"""Laws of order plans: against trying everything, with more stock, and between the greedy plan and the programme."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.domain.order_plan.drafts import drafted
from kits.domain.order_plan.greedy import greedy
from kits.domain.order_plan.planning import OrderPlan, plan
from kits.domain.order_plan.programme import programme, values_of
from kits.domain.order_plan.question import OrderQuestion
from kits.domain.order_plan.situation import situation
from kits.domain.order_plan.wanting import wanting
from kits.domain.stock import Batch
from kits.solver import HighsSolver
from tests.domain.order_worlds import QUESTIONS, best_by_trying

pytestmark = pytest.mark.domain

SOLVER = HighsSolver()


def worth(found: OrderPlan) -> tuple[int, int, int]:
    """Pieces without, piece-days late, ticks."""
    without = sum(line.quantity for line in found.late if line.arrives is None)
    late = sum(line.quantity * (line.arrives - line.shelf).days for line in found.late if line.arrives is not None)
    return without, late, found.cost.ticks


@given(QUESTIONS)
@settings(max_examples=150)
def test_the_solved_plan_is_the_best_there_is_and_is_proven_to_be(question: OrderQuestion) -> None:
    found = plan(question, SOLVER, 10)
    assert worth(found) == best_by_trying(question)
    assert found.gap == 0


@given(QUESTIONS)
def test_the_plan_at_once_leaves_as_little_wanting_and_no_bound_is_above_the_best(question: OrderQuestion) -> None:
    at_once, bounded = plan(question), plan(question, SOLVER)
    best = best_by_trying(question)
    assert worth(at_once)[:2] == best[:2]
    assert at_once.bound.ticks <= bounded.bound.ticks <= best[2] <= at_once.cost.ticks
    assert not bounded.solved


@given(QUESTIONS)
def test_the_greedy_plan_holds_in_the_programme_and_costs_the_same_there(question: OrderQuestion) -> None:
    found = situation(question)
    least = wanting(found)
    draft = greedy(found, least)
    layout = programme(found, least)
    values = values_of(draft, layout, found)
    assert layout.programme.broken(values) == ()
    assert layout.programme.cost(values) == draft.ticks
    again = drafted(draft.packs, found, least)
    assert again is not None
    assert again.ticks == draft.ticks


@given(QUESTIONS, st.integers(0, 1), st.integers(1, 2))
@settings(max_examples=60)
def test_more_stock_never_costs_more(question: OrderQuestion, which: int, pieces: int) -> None:
    stock = list(question.stock)
    stock[which] = replace(stock[which], batches=(*stock[which].batches, Batch("Z", pieces)))
    before, after = plan(question, SOLVER, 10), plan(replace(question, stock=tuple(stock)), SOLVER, 10)
    assert after.cost.ticks <= before.cost.ticks
    assert worth(after)[:2] <= worth(before)[:2]


@given(QUESTIONS)
def test_every_piece_of_every_line_is_served_or_named_and_nothing_is_given_twice(question: OrderQuestion) -> None:
    found = plan(question)
    serves = {need.id: need.serves for need in question.needs}
    for need in question.needs:
        served = sum(one.quantity for one in found.servings if one.line == need.id)
        without = sum(one.quantity for one in found.late if one.line == need.id and one.arrives is None)
        assert served + without == need.quantity
    assert all(one.part in serves[one.line] for one in found.servings)
    for purchase in found.purchases:
        given_out = sum(one.quantity for one in found.servings if one.offer == purchase.offer.id)
        assert purchase.pieces == given_out + purchase.spare
        assert purchase.packs >= purchase.offer.least_packs
    assert all(line.ways for line in found.late)


@given(QUESTIONS, st.permutations(range(3)))
def test_the_order_in_which_needs_are_told_changes_nothing_of_the_cost(
    question: OrderQuestion, order: list[int]
) -> None:
    needs = tuple(question.needs[index] for index in order if index < len(question.needs))
    assert worth(plan(replace(question, needs=needs))) == worth(plan(question))
