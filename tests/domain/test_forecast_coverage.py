"""Whether forecasts keep their word: four of five on 1,000 simulated machines none of which was tuned on.

The target stands in the plan of the work: 75-88 % over all, and in each pattern of use 65 % at least.
"""

from __future__ import annotations

from statistics import median

import pytest

from tests.benchmarks.forecast_coverage import FIRST_SEED, MACHINES, Coverage, coverage, ours, slow_middle_fast
from tests.benchmarks.use_patterns import PATTERNS, TUNED_ON, case

pytestmark = pytest.mark.once
SEEDS = range(FIRST_SEED, FIRST_SEED + MACHINES)


@pytest.fixture(scope="module")
def measured() -> tuple[Coverage, ...]:
    return tuple(coverage(pattern, SEEDS, ours) for pattern in PATTERNS)


def test_ranges_hold_the_truth_as_often_as_they_say(measured: tuple[Coverage, ...]) -> None:
    assert set(SEEDS).isdisjoint(TUNED_ON)
    share = sum(one.held for one in measured) / sum(one.answered for one in measured)
    assert 0.75 <= share <= 0.88
    assert {one.pattern: one.share for one in measured if one.share < 0.65} == {}


def test_nearly_every_machine_gets_an_answer(measured: tuple[Coverage, ...]) -> None:
    assert all(one.answered >= 0.95 * one.asked for one in measured)


def test_ranges_are_narrower_than_those_of_slow_middle_and_fast(measured: tuple[Coverage, ...]) -> None:
    shop = [coverage(pattern, SEEDS[:60], slow_middle_fast) for pattern in PATTERNS]
    assert median(one.width for one in measured) < median(one.width for one in shop)
    assert all(one.width < other.width for one, other in zip(measured, shop, strict=True))


def test_a_simulated_machine_is_a_function_of_its_seed() -> None:
    assert [case(pattern, 7) for pattern in PATTERNS] == [case(pattern, 7) for pattern in PATTERNS]
