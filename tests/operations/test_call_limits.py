"""A key's minute: what is in it, what a refusal costs (nothing), and how long to wait (exactly as long as is said).

The limit itself is common practice, no source; 429 with a wait is from memory, RFC 6585.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import DomainError
from service.operations.call_counts import LONGEST_WINDOW
from service.operations.call_limits import CostsTooMuch, LimitReached, Standing, charge, cost_of_checks, limit_of
from service.operations.housekeeping import enqueue_daily
from service.operations.jobs import claim_next, run
from service.operations.keys import issue_key
from service.operations.models import Dealer, Key
from tests.operations.callers import key_with
from tests.operations.conftest import MORNING

pytestmark = pytest.mark.db

MINUTE = timedelta(minutes=1)
LIMITS = st.integers(1, 12)
# Pauses that crowd a minute, that straddle its end to the microsecond, and that leave it behind.
PAUSES = st.one_of(
    st.integers(0, 8_000_000), st.sampled_from([59_999_999, 60_000_000, 60_000_001]), st.integers(0, 90_000_000)
).map(lambda microseconds: timedelta(microseconds=microseconds))
CALLS = st.lists(st.tuples(PAUSES, st.integers(1, 5)), min_size=1, max_size=25)


def left(key: Key, cost: int, now: datetime) -> int | None:
    """What a call leaves of the minute; None where it is refused."""
    try:
        standing = charge(key, cost, now)
    except DomainError:
        return None
    assert standing is not None
    return standing.left


def told_to_wait(key: Key, cost: int, now: datetime) -> int | None:
    """The seconds a refused call is told; None where the call is let in."""
    try:
        charge(key, cost, now)
    except LimitReached as refused:
        return refused.standing.whole_in
    return None


def let_in(limit: int, calls: list[tuple[timedelta, int]]) -> list[tuple[datetime, int]]:
    """When which cost was let in."""
    key, now, found = key_with(limit), MORNING, []
    for pause, cost in calls:
        now += pause
        if left(key, cost, now) is not None:
            found.append((now, cost))
    return found


def test_call_61_of_60_is_refused_and_told_how_long_to_wait() -> None:
    key = key_with(60)
    for number in range(60):
        assert left(key, 1, MORNING + number * timedelta(seconds=0.5)) == 59 - number
    with pytest.raises(LimitReached) as refused:
        charge(key, 1, MORNING + timedelta(seconds=30.5))
    assert refused.value.standing == Standing(limit=60, left=0, whole_in=30)
    assert refused.value.context["retry_after"] == 30
    assert left(key, 1, MORNING + timedelta(seconds=60)) == 59


@given(LIMITS, CALLS)
def test_a_minute_never_holds_more_than_the_limit(limit: int, calls: list[tuple[timedelta, int]]) -> None:
    began, spent = MORNING - MINUTE, 0
    for at, cost in let_in(limit, calls):
        if at - began >= MINUTE:
            began, spent = at, 0
        spent += cost
        assert spent <= limit


@given(LIMITS, CALLS)
def test_any_sixty_seconds_hold_twice_the_limit_at_most(limit: int, calls: list[tuple[timedelta, int]]) -> None:
    found = let_in(limit, calls)
    for start, _ in found:
        assert sum(cost for at, cost in found if start <= at < start + MINUTE) <= 2 * limit


@given(LIMITS, CALLS)
def test_waiting_as_long_as_is_told_always_helps_and_a_second_less_never(
    limit: int, calls: list[tuple[timedelta, int]]
) -> None:
    key, now = key_with(limit), MORNING
    for pause, wanted in calls:
        now, cost = now + pause, min(wanted, limit)
        wait = told_to_wait(key, cost, now)
        if wait is not None:
            assert left(key, cost, now + timedelta(seconds=wait - 1)) is None
            now += timedelta(seconds=wait)
            assert left(key, cost, now) == limit - cost


@given(LIMITS, CALLS, st.data())
def test_a_refused_call_costs_nothing(limit: int, calls: list[tuple[timedelta, int]], data: st.DataObject) -> None:
    key, now = key_with(limit), MORNING
    had = limit
    for pause, _ in calls:
        now += pause / 100
        had = left(key, 1, now) or 0
    refused = data.draw(st.integers(had + 1, limit + 5))
    assert left(key, refused, now) is None
    assert had == 0 or left(key, had, now) == 0


def test_what_costs_more_than_a_whole_minute_has_is_not_told_to_wait() -> None:
    key = key_with(5)
    charge(key, 2, MORNING)
    with pytest.raises(CostsTooMuch) as refused:
        charge(key, 6, MORNING)
    assert "retry_after" not in refused.value.context
    assert refused.value.standing.left == 3
    assert left(key, 3, MORNING) == 0


@pytest.mark.parametrize(("checks", "cost"), [(0, 1), (1, 1), (10, 1), (11, 2), (100, 10), (101, 11), (1000, 100)])
def test_a_batch_costs_a_tenth_of_its_checks_rounded_up(checks: int, cost: int) -> None:
    assert cost_of_checks(checks) == cost


def test_a_key_has_its_own_limit_or_the_services_or_none(settings: object) -> None:
    settings.CALLS_PER_MINUTE = 7  # type: ignore[attr-defined]
    assert [limit_of(key_with(own)) for own in (3, None, 0)] == [3, 7, None]
    settings.CALLS_PER_MINUTE = 0  # type: ignore[attr-defined]
    assert [limit_of(key_with(own)) for own in (3, None, 0)] == [3, None, None]
    assert charge(key_with(None), 100, MORNING) is None


def test_a_lower_limit_holds_at_once_and_a_higher_one_too() -> None:
    key = key_with(5)
    charge(key, 4, MORNING)
    key.calls_per_minute = 3
    with pytest.raises(LimitReached) as refused:
        charge(key, 1, MORNING)
    assert refused.value.standing.left == 0
    key.calls_per_minute = 6
    assert left(key, 1, MORNING) == 1


def test_a_minute_begun_by_a_clock_that_was_wrong_does_not_bind_the_key() -> None:
    key = key_with(1)
    charge(key, 1, MORNING + timedelta(days=1))
    assert left(key, 1, MORNING) == 0


def test_the_housekeeping_forgets_minutes_that_are_over_and_no_other() -> None:
    old, new = key_with(1), key_with(1)
    charge(old, 1, MORNING - LONGEST_WINDOW)
    charge(new, 1, MORNING)
    forget(lambda: MORNING)
    assert left(new, 1, MORNING) is None
    assert left(old, 1, MORNING - LONGEST_WINDOW) == 0


def forget(clock: Callable[[], datetime]) -> None:
    enqueue_daily(clock())
    job = claim_next(clock())
    assert job is not None
    run(job, clock)


def test_the_limit_of_a_new_key_is_checked_with_the_rest(tallis_bridge: Dealer) -> None:
    with pytest.raises(DomainError, match="-1 calls a minute"):
        issue_key(dealer=tallis_bridge, name="x", live=True, scopes=[], now=MORNING, calls_per_minute=-1)
