"""How a machine is used, as somebody said it: seasons, hours a day from the least to the most, and severe duty.

Use patterns of the trade: shifts, weather-driven irrigation, ice season, standby, rental (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from kits.domain.calendar_spans import DayOfYear
from kits.domain.engine_hours import DAY_AROUND, Tenths
from service.errors import Invalid


class ProfileImpossible(Invalid):
    """A profile asks for more than a day has, or ends before it begins."""

    code = "profile_impossible"


@dataclass(frozen=True, slots=True)
class Season:
    """Days that come back every year, both in; one that closes before it opens runs over the new year."""

    opens: DayOfYear
    closes: DayOfYear

    def holds(self, day: date, *, wider_by: int = 0) -> bool:
        """Whether the season stands on that day, with both ends so many days further out (or in, if negative)."""
        place = day.toordinal()
        near = _seasons_near(self.opens, self.closes, day.year)
        return any(opens - wider_by <= place <= closes + wider_by for opens, closes in near)


@lru_cache(maxsize=1024)
def _seasons_near(opens: DayOfYear, closes: DayOfYear, year: int) -> tuple[tuple[int, int], ...]:
    """The seasons that open in a year, the one before and the one after, as ordinals: a forecast asks day by day."""
    found = []
    for near in range(max(date.min.year, year - 1), min(date.max.year - 1, year + 1) + 1):
        begins, ends = opens.on(near), closes.on(near)
        found.append((begins.toordinal(), (ends if ends >= begins else closes.on(near + 1)).toordinal()))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class UsePeriod:
    """Use within dates or a season, in tenths of an hour a day from `least` to `most`; None ends are open.

    `may_shift` is by how many days its beginning and end have moved from year to year, as far as the shop has seen.
    """

    least: Tenths
    most: Tenths
    first: date | None = None
    last: date | None = None
    season: Season | None = None
    may_shift: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.least <= self.most <= DAY_AROUND:
            raise ProfileImpossible("Hours a day go from the least to the most, from 0 to 24.")
        if self.first is not None and self.last is not None and self.last < self.first:
            raise ProfileImpossible(f"The use ends on {self.last.isoformat()}, before it begins.")
        if self.may_shift < 0:
            raise ProfileImpossible("A season moves by no days or more.")

    def holds(self, day: date, *, shifted: int = 0) -> bool:
        """Whether it stands on that day; `shifted` +1 takes it at its widest, -1 at its narrowest, 0 as written."""
        move = self.may_shift * shifted
        if self.first is not None and (self.first - day).days > move:
            return False
        if self.last is not None and (day - self.last).days > move:
            return False
        return self.season is None or self.season.holds(day, wider_by=move)


@dataclass(frozen=True, slots=True)
class UseProfile:
    """A machine's use: outside its periods it stands still. `severe` None is not known.

    Where periods overlap, the least and the most of them all count.
    """

    periods: tuple[UsePeriod, ...] = ()
    severe: bool | None = None

    def hours_on(self, day: date, *, shifted: int = 0) -> tuple[Tenths, Tenths]:
        """The least and the most of that day, (0, 0) outside every period."""
        here = [period for period in self.periods if period.holds(day, shifted=shifted)]
        if not here:
            return 0, 0
        return min(period.least for period in here), max(period.most for period in here)

    def runs_on(self, day: date) -> bool:
        return any(period.holds(day) for period in self.periods)

    def next_opening(self, after: date) -> date | None:
        """The first day later than that one on which a season opens; None where no period has a beginning ahead."""
        dated = (period.first for period in self.periods if period.season is None)
        yearly = (period.season.opens.next_after(after) for period in self.periods if period.season is not None)
        return min((day for day in (*dated, *yearly) if day is not None and day > after), default=None)

    def next_closing(self, after: date) -> date | None:
        """The first day later than that one on which a season closes; None where no period has an end ahead."""
        dated = (period.last for period in self.periods if period.season is None)
        yearly = (period.season.closes.next_after(after) for period in self.periods if period.season is not None)
        return min((day for day in (*dated, *yearly) if day is not None and day > after), default=None)


Hours = tuple[Tenths, Tenths]  # of one day, the least and the most
YEARS_KEPT = 8_192  # of all profiles: a fleet's forecasts ask for the same few years again and again


def days_from(profile: UseProfile, since: date, *, shifted: int = 0) -> Iterator[Hours]:
    """What `hours_on` says of that day and of every day after it, to the end of the calendar."""
    start = since.timetuple().tm_yday - 1
    for year in range(since.year, date.max.year + 1):
        yield from hours_of_year(profile, year, shifted)[start:]
        start = 0


@lru_cache(maxsize=YEARS_KEPT)
def hours_of_year(profile: UseProfile, year: int, shifted: int = 0) -> tuple[Hours, ...]:
    """What `hours_on` says of every day of a year."""
    first, alike = date(year, 1, 1), dict[Hours, Hours]()
    found = (profile.hours_on(first + timedelta(days=n), shifted=shifted) for n in range(days_of_year(year)))
    return tuple(alike.setdefault(hours, hours) for hours in found)


def days_of_year(year: int) -> int:
    return date(year, 12, 31).timetuple().tm_yday
