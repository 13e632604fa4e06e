"""Days counted as a machine's profile weighs them, so that a rate is of days it runs and not of days it stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from kits.domain.use_profiles import UseProfile

# A forecast further out says nothing that anybody would order by.
LONGEST_DAYS = 10 * 366
_GRAIN = 1e-6  # of a day: below what a date can show, above what sums of binary fractions lose


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

    def of_day(self, day: date, shifted: int = 0) -> float:
        """How much of a full running day that day is."""
        if self.profile is None or self.plain:
            return 1.0
        return sum(self.profile.hours_on(day, shifted=shifted)) / self.busiest

    def between(self, first: date, last: date) -> float:
        """Running days from the first day on until the last day, which is not in."""
        if self.plain:
            return float((last - first).days)
        return sum(self.of_day(first + timedelta(days=n)) for n in range((last - first).days))

    def reached(self, since: date, running: float, shifted: int = 0) -> date | None:
        """The day in which so many running days since a day are over; None beyond what is worth forecasting."""
        if self.plain:
            return _days_on(since, running)
        return day_filled(since, running, lambda day: self.of_day(day, shifted))


def running_time(profile: UseProfile | None) -> RunningTime:
    periods = profile.periods if profile is not None else ()
    return RunningTime(profile, max((period.least + period.most for period in periods), default=0))


def day_filled(since: date, wanted: float, of_day: Callable[[date], float]) -> date | None:
    """The first day in which the daily amounts since a day, that day's in, come to what is wanted."""
    done, day = 0.0, since
    for _ in range(LONGEST_DAYS):
        amount = of_day(day)
        if done >= wanted - _GRAIN or done + amount > wanted + _GRAIN:
            return day
        if day == date.max:
            return None
        done, day = done + amount, day + timedelta(days=1)
    return None


def _days_on(since: date, running: float) -> date | None:
    days = int(running + _GRAIN)
    if days > LONGEST_DAYS or days > (date.max - since).days:
        return None
    return since + timedelta(days=days)
