"""Days counted as a machine's profile weighs them, so that a rate is of days it runs and not of days it stands."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from itertools import accumulate

from kits.domain.engine_hours import Tenths
from kits.domain.use_profiles import UseProfile, days_of_year, hours_of_year

# A forecast further out says nothing that anybody would order by.
LONGEST_DAYS = 10 * 366
_GRAIN = 1e-6  # of a day: below what a date can show, above what sums of binary fractions lose
YEARS_KEPT = 2_048


@dataclass(frozen=True, slots=True)
class RunningTime:
    """The running days of a profile; every day is one where there is no profile with hours in it.

    `busiest` is twice the middle of its fullest day, in tenths of an hour; use `running_time` to make one.
    """

    profile: UseProfile | None
    busiest: int

    @property
    def plain(self) -> bool:
        return self.profile is None or not self.busiest

    def between(self, first: date, last: date) -> float:
        """Running days from the first day on until the last day, which is not in."""
        if self.profile is None or self.plain:
            return float((last - first).days)
        return (_run(self.profile, last, first.year) - _run(self.profile, first, first.year)) / self.busiest

    def reached(self, since: date, running: float, shifted: int = 0) -> date | None:
        """The day in which so many running days since a day are over; None beyond what is worth forecasting."""
        if self.profile is None or self.plain:
            return _days_on(since, running)
        return _day_run(self.profile, since, running * self.busiest, shifted, _GRAIN * self.busiest)


def running_time(profile: UseProfile | None) -> RunningTime:
    periods = profile.periods if profile is not None else ()
    return RunningTime(profile, max((period.least + period.most for period in periods), default=0))


def _run(profile: UseProfile, day: date, since_year: int) -> int:
    """Twice the middle of all days from the first of a year on until a day, in tenths of an hour."""
    whole = sum(_run_up(profile, year, 0)[-1] for year in range(since_year, day.year))
    return whole + _run_up(profile, day.year, 0)[day.timetuple().tm_yday - 1]


def _day_run(profile: UseProfile, since: date, wanted: float, shifted: int, grain: float) -> date | None:
    """The first day in which the days since a day, that day's in, come to what is wanted: year by year."""
    start = since.timetuple().tm_yday - 1
    left = LONGEST_DAYS
    for year in range(since.year, date.max.year + 1):
        run_up = _run_up(profile, year, shifted)
        wanted += run_up[start]
        at = min(bisect_left(run_up, wanted - grain), bisect_right(run_up, wanted + grain) - 1)
        if at < days_of_year(year):
            at = max(at, start)
            return date(year, 1, 1) + timedelta(days=at) if at - start < left else None
        left -= days_of_year(year) - start
        if left <= 0:
            return None
        wanted, start = wanted - run_up[-1], 0
    return None


@lru_cache(maxsize=YEARS_KEPT)
def _run_up(profile: UseProfile, year: int, shifted: int) -> tuple[int, ...]:
    """Before each day of a year, and after its last, twice the middle of all its days before, in tenths of an hour."""
    return tuple(accumulate((least + most for least, most in hours_of_year(profile, year, shifted)), initial=0))


def day_filled(since: date, wanted: float, amounts: Iterable[Tenths | float]) -> date | None:
    """The first day in which the daily amounts since a day, that day's in, come to what is wanted."""
    done = 0.0
    for days, amount in zip(range(LONGEST_DAYS), amounts, strict=False):
        if done >= wanted - _GRAIN or done + amount > wanted + _GRAIN:
            return since + timedelta(days=days)
        done += amount
    return None


def _days_on(since: date, running: float) -> date | None:
    days = int(running + _GRAIN)
    if days > LONGEST_DAYS or days > (date.max - since).days:
        return None
    return since + timedelta(days=days)
