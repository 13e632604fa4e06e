"""What may fall due within so many days: nothing is left out that could, and a plot shows the same days."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.due_states import DueState
from kits.domain.forecasting import pace_of
from kits.domain.hours_ahead import hours_ahead
from kits.domain.within import may_fall_due_by
from tests.domain.service_cast import (
    NO_METER,
    STATISTICS,
    asked,
    done,
    every,
    hours,
    metered,
    plan_of,
    read,
    task,
    the_due,
)

pytestmark = pytest.mark.domain
MAR = date(2026, 3, 9)
WEEKS = tuple(read(MAR - timedelta(days=7 * n), 1000 - 20 * n) for n in range(5))


@given(st.integers(0, 400), st.integers(0, 400), st.integers(20, 900), st.integers(1, 24))
def test_a_longer_horizon_never_leaves_out_more(days: int, more: int, interval: int, months: int) -> None:
    life = metered(*WEEKS, as_of=MAR)
    due = the_due(asked(plan_of(task("oil", every(interval, months=months))), life, MAR, done(MAR, 1000, "oil")), "oil")
    near, far = (may_fall_due_by(due, MAR + timedelta(days=n), life) for n in (days, days + more))
    assert far or not near


def test_the_first_day_it_may_fall_is_the_earliest_of_its_window() -> None:
    life = metered(*WEEKS, as_of=MAR)
    due = the_due(asked(plan_of(task("oil", every(250))), life, MAR, done(MAR, 1000, "oil")), "oil")
    assert due.window is not None
    assert due.window.earliest is not None
    assert may_fall_due_by(due, due.window.earliest, life)
    assert not may_fall_due_by(due, due.window.earliest - timedelta(days=1), life)


def test_without_a_forecast_only_the_clock_and_the_calendar_rule_it_out() -> None:
    life = metered(read(MAR, 1000), as_of=MAR)
    due = the_due(asked(plan_of(task("oil", every(240))), life, MAR, done(MAR, 1000, "oil")), "oil")
    assert (due.window, due.state) == (None, DueState.NOT_YET)
    assert not may_fall_due_by(due, MAR + timedelta(days=9), life)  # 24 h a day come to 216 h
    assert may_fall_due_by(due, MAR + timedelta(days=10), life)


def test_what_is_settled_never_falls_due_and_what_is_unknown_always_may() -> None:
    unknown = the_due(asked(plan_of(task("oil", every(250))), NO_METER, MAR), "oil")
    assert unknown.state is DueState.UNKNOWN
    assert may_fall_due_by(unknown, MAR, NO_METER)


def test_the_plot_goes_in_rising_hours_to_the_furthest_limit_by_way_of_each() -> None:
    life = metered(*WEEKS, as_of=MAR)
    plan = plan_of(task("oil", every(250)), task("plugs", every(500)))
    question = asked(plan, life, MAR, done(MAR, 1000, "oil", "plugs"))
    dues = [the_due(question, code) for code in ("oil", "plugs")]
    marks = hours_ahead(pace_of(life.readings, None, STATISTICS), dues, as_of=MAR, statistics=STATISTICS)
    assert [mark.hours for mark in marks] == sorted({mark.hours for mark in marks})
    assert marks[-1].hours == hours(1500)
    assert next(mark.window for mark in marks if mark.hours == hours(1250)) == dues[0].window
    likely = [mark.window.likely or date.max for mark in marks]
    assert likely == sorted(likely)


def test_without_a_reading_or_a_use_there_is_nothing_to_plot() -> None:
    for life in (NO_METER, metered(read(MAR, 1000), as_of=MAR)):
        assert hours_ahead(pace_of(life.readings, None, STATISTICS), (), as_of=MAR, statistics=STATISTICS) == ()
