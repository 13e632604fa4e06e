"""The days houses work: what is recorded of them, with the public holidays of where they are."""

from __future__ import annotations

from kits.domain.calendars import Calendar
from kits.holidays_of import calendar_of
from kits.loading.calendars import HouseDays, calendars
from service.operations.models import Branch


def calendar_from(days: HouseDays) -> Calendar:
    """Raises Invalid for a country whose public holidays are not known in those years."""
    found = calendar_of(
        days.name, days.years, country=days.country, part=days.part, closed=days.closed, opened=days.opened,
        weekdays=days.weekdays,
    )  # fmt: skip
    return Calendar(found.name, found.first, found.last, found.closed | days.kept_closed, found.weekdays)


def branch_calendar(branch: Branch) -> Calendar | None:
    """The days a branch works; None where no calendar and no closed date of it is recorded."""
    _, own = calendars((), branch)
    return None if own is None else calendar_from(own)
