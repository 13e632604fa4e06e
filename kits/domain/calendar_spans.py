"""Spans of the calendar: months that keep the day of the month where the month has it, and days."""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta

MONTHS = 12


@dataclass(frozen=True, slots=True)
class Span:
    """So many calendar months and then so many days, neither negative."""

    months: int = 0
    days: int = 0

    def after(self, day: date, times: int = 1) -> date:
        """The day that many spans later, counted from the first day each time.

        Twelve months after 29 February are 28 February, and forty-eight are 29 February again: counting on from the
        clipped day would lose it. A day past the calendar's end is its last.
        """
        try:
            return months_later(day, self.months * times) + timedelta(days=self.days * times)
        except (OverflowError, ValueError):
            return date.max

    def at_percent(self, percent: int) -> Span:
        """This span at that percentage: whole months where they stay whole, else days, rounded down, a day at least.

        A month that cannot be halved counts 30 days, the shortest the trade takes it for (common practice, no source).
        """
        if self.months * percent % 100 == 0 and self.months:
            return Span(self.months * percent // 100, self.days * percent // 100)
        return Span(0, max(1, self.shortest_days * percent // 100))

    @property
    def shortest_days(self) -> int:
        """The days no such span falls short of, for shares of it: twelve months 360, as the Army counts a year."""
        return self.months * 30 + self.days

    @property
    def words(self) -> str:
        parts = ((self.months, "month"), (self.days, "day"))
        return " and ".join(f"{n} {word}{'' if n == 1 else 's'}" for n, word in parts if n) or "no time"


def months_later(day: date, months: int) -> date:
    """The same day of the month so many months on, or that month's last day where it is shorter."""
    year, month = divmod(day.year * MONTHS + day.month - 1 + months, MONTHS)
    if not date.min.year <= year <= date.max.year:
        raise OverflowError(f"{months} months after {day.isoformat()} is outside the calendar")
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


@dataclass(frozen=True, slots=True, order=True)
class DayOfYear:
    """A day that comes back every year; 29 February is the 28th in other years."""

    month: int
    day: int

    def on(self, year: int) -> date:
        return date(year, self.month, min(self.day, monthrange(year, self.month)[1]))

    def next_after(self, day: date) -> date:
        """The first such day later than that one; the calendar's last day where there is none."""
        if self.on(day.year) > day:
            return self.on(day.year)
        return self.on(day.year + 1) if day.year < date.max.year else date.max
