"""What somebody said of a machine's use, as it is kept and shown: hours a day as decimal strings, days as dates."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from kits.domain.calendar_spans import DayOfYear
from kits.domain.engine_hours import plain_hours
from kits.domain.plan_documents import tenths_of
from kits.domain.use_profiles import Season, UsePeriod, UseProfile

Document = Mapping[str, Any]


def profile_from(periods: Iterable[Document], *, severe: bool | None) -> UseProfile:
    """The profile of periods as `period_document` writes them. Raises ProfileImpossible."""
    return UseProfile(tuple(period_from(row) for row in periods), severe)


def period_from(row: Document) -> UsePeriod:
    """One period; a member that is left out or null is open. Raises ProfileImpossible."""
    season = row.get("season")
    return UsePeriod(
        least=tenths_of(row["least"]),
        most=tenths_of(row["most"]),
        first=_day(row.get("first")),
        last=_day(row.get("last")),
        season=None if season is None else Season(_yearly(season["opens"]), _yearly(season["closes"])),
        may_shift=row.get("may_shift") or 0,
    )


def period_document(period: UsePeriod) -> dict[str, Any]:
    season = period.season
    return {
        "least": plain_hours(period.least),
        "most": plain_hours(period.most),
        "first": None if period.first is None else period.first.isoformat(),
        "last": None if period.last is None else period.last.isoformat(),
        "season": None if season is None else {"opens": _shown(season.opens), "closes": _shown(season.closes)},
        "may_shift": period.may_shift,
    }


def _day(value: str | None) -> date | None:
    return None if value is None else date.fromisoformat(value)


def _yearly(row: Document) -> DayOfYear:
    return DayOfYear(row["month"], row["day"])


def _shown(day: DayOfYear) -> dict[str, int]:
    return {"month": day.month, "day": day.day}
