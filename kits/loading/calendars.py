"""The recorded working days of houses, without the public holidays that a library knows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q

from kits.models import WorkCalendar
from service.operations.models import Branch

WHOLE_WEEK = frozenset(range(7))


@dataclass(frozen=True, slots=True)
class HouseDays:
    """What is recorded of the days a house works. Weekdays count from 0, Monday; `kept_closed` no `opened` opens."""

    name: str
    years: tuple[int, int]
    weekdays: frozenset[int]
    country: str | None = None
    part: str | None = None
    closed: frozenset[date] = frozenset()
    opened: frozenset[date] = frozenset()
    kept_closed: frozenset[date] = frozenset()


def calendars(ids: Iterable[Any], branch: Branch | None = None) -> tuple[dict[Any, HouseDays], HouseDays | None]:
    """The calendars by id, and the branch's own days; None where no year of the branch is known.

    Three statements, two without a branch.
    """
    rows = WorkCalendar.objects.filter(Q(pk__in=set(ids)) | Q(branch=branch, branch__isnull=False))
    found = tuple(rows.prefetch_related("days"))
    by_id = {row.pk: _of(row) for row in found}
    if branch is None:
        return by_id, None
    own = next((row for row in found if row.branch_id == branch.pk), None)
    return by_id, _of_branch(branch, None if own is None else by_id[own.pk])


def _of(row: WorkCalendar) -> HouseDays:
    days = tuple(row.days.all())
    return HouseDays(
        row.name,
        (row.first_year, row.last_year),
        frozenset(day - 1 for day in row.worked_weekdays),
        row.country or None,
        row.subdivision or None,
        frozenset(day.date for day in days if day.closed),
        frozenset(day.date for day in days if not day.closed),
    )


def _of_branch(branch: Branch, own: HouseDays | None) -> HouseDays | None:
    """The branch's calendar with its own closed days; without one, the years whose closed dates somebody listed."""
    listed = frozenset(day.date for day in branch.closed_dates.all())
    open_days = WHOLE_WEEK - {day - 1 for day in branch.closed_weekdays}
    if own is None:
        years = _listed_years(listed)
        return None if years is None else HouseDays(branch.name, years, open_days, kept_closed=listed)
    return HouseDays(
        branch.name, own.years, own.weekdays & open_days, own.country, own.part, own.closed, own.opened, listed
    )


def _listed_years(listed: frozenset[date]) -> tuple[int, int] | None:
    """The latest years in a row in each of which a closed date is listed."""
    years = {day.year for day in listed}
    if not years:
        return None
    first = last = max(years)
    while first - 1 in years:
        first -= 1
    return first, last
