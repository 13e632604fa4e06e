"""Days of a season counted by the year come to what counting them one by one does."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.calendar_spans import DayOfYear
from kits.domain.running_time import LONGEST_DAYS, running_time
from kits.domain.use_profiles import Season, UsePeriod, UseProfile, days_from

pytestmark = pytest.mark.domain
days = st.dates(date(1999, 1, 1), date(2060, 12, 31))
yearly = st.builds(DayOfYear, st.integers(1, 12), st.integers(1, 31))
hours = st.integers(0, 240)


@st.composite
def periods(draw: st.DrawFn) -> UsePeriod:
    least, most = sorted((draw(hours), draw(hours)))
    first = draw(st.none() | days)
    last = None if first is None else draw(st.none() | st.dates(first, date(2061, 12, 31)))
    season = draw(st.none() | st.builds(Season, yearly, yearly))
    return UsePeriod(least, most, first, last, season, draw(st.integers(0, 40)))


profiles = st.lists(periods(), max_size=3).map(lambda found: UseProfile(tuple(found)))


def one_by_one(profile: UseProfile, since: date, wanted: float, shifted: int) -> date | None:
    """The day on which so many tenths of an hour, twice the middle of each day, are over."""
    done, day = 0, since
    for _ in range(LONGEST_DAYS):
        amount = sum(profile.hours_on(day, shifted=shifted))
        if done >= wanted - 1e-3 or done + amount > wanted + 1e-3:
            return day
        done, day = done + amount, day + timedelta(days=1)
    return None


@given(profiles, days, st.integers(0, 1500))
def test_running_days_between_two_days_are_those_of_each_day(profile: UseProfile, first: date, count: int) -> None:
    time = running_time(profile)
    last = first + timedelta(days=count)
    if time.plain:
        assert time.between(first, last) == count
        return
    each = sum(sum(profile.hours_on(first + timedelta(days=n))) for n in range(count))
    assert time.between(first, last) == pytest.approx(each / time.busiest)


@given(profiles, days, st.integers(0, 400), st.sampled_from([-1, 0, 1]))
def test_the_day_reached_is_that_of_counting_one_by_one(
    profile: UseProfile, since: date, running: int, shifted: int
) -> None:
    time = running_time(profile)
    if not time.plain:
        expected = one_by_one(profile, since, running * time.busiest, shifted)
        assert time.reached(since, float(running), shifted) == expected


@given(profiles, days, st.sampled_from([-1, 0, 1]))
def test_the_hours_of_the_days_from_a_day_on_are_those_of_each(profile: UseProfile, since: date, shifted: int) -> None:
    for n, found in zip(range(800), days_from(profile, since, shifted=shifted), strict=False):
        assert found == profile.hours_on(since + timedelta(days=n), shifted=shifted)


def test_the_calendar_ends() -> None:
    """Beyond the last day there is nothing to reach."""
    profile = UseProfile((UsePeriod(10, 20, season=Season(DayOfYear(1, 1), DayOfYear(6, 30))),))
    assert running_time(profile).reached(date(9999, 6, 1), 200.0) is None
    assert list(days_from(profile, date(9999, 12, 30))) == [(0, 0), (0, 0)]
