"""The days between which something falls: earliest, likely, latest."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class Window:
    """Days in the dealer's zone; an end that is None lies further out than is worth forecasting."""

    earliest: date | None
    likely: date | None
    latest: date | None

    def no_later_than(self, day: date) -> Window:
        """This window where a calendar limit stands at that day."""
        return Window(*(min(end or date.max, day) for end in (self.earliest, self.likely, self.latest)))

    @property
    def words(self) -> str:
        if self.earliest is None:
            return "not within ten years"
        end = self.latest.isoformat() if self.latest else "later than ten years on"
        return self.earliest.isoformat() if self.earliest == self.latest else f"{self.earliest.isoformat()} to {end}"


def never_one_day(window: Window) -> Window:
    """The window with a day more where it would print one single date, as no forecast is that sure."""
    if window.earliest is None or window.earliest != window.latest or window.earliest == date.max:
        return window
    return Window(window.earliest, window.likely, window.earliest + timedelta(days=1))


def earlier(first: date | None, second: date | None) -> date | None:
    """The earlier of two days, None being later than any."""
    return min((day for day in (first, second) if day is not None), default=None)
