"""Public holidays of a country or a part of it, out of the library `holidays`, which is loaded on first use."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from kits.domain.calendars import MONDAY_TO_FRIDAY, Calendar
from service.errors import Invalid


def public_holidays(country: str, first_year: int, last_year: int, part: str | None = None) -> frozenset[date]:
    """The public holidays of those years, both in. `country` is ISO 3166-1 alpha-2, `part` as in ISO 3166-2.

    Raises Invalid for a country or a part that the library does not know: no holidays known is not no holidays.
    """
    import holidays  # noqa: PLC0415 - half a second and the tables of every country, for whoever needs them

    try:
        found = holidays.country_holidays(country, subdiv=part, years=range(first_year, last_year + 1))
    except NotImplementedError as unknown:
        where = f"{country}-{part}" if part else country
        raise Invalid(
            f"No public holidays are known for {where!r}; give a country of ISO 3166 and a part it has, or list the "
            "closed days yourself.",
            code="unknown_holidays",
        ) from unknown
    for year in range(first_year, last_year + 1):
        if not any(day.year == year for day in found):
            raise Invalid(f"No public holidays are known for {country} in {year}.", code="unknown_holidays")
    return frozenset(day for day in found if first_year <= day.year <= last_year)


def calendar_of(
    name: str,
    years: tuple[int, int],
    *,
    country: str | None = None,
    part: str | None = None,
    closed: Iterable[date] = (),
    opened: Iterable[date] = (),
    weekdays: frozenset[int] = MONDAY_TO_FRIDAY,
) -> Calendar:
    """The calendar of a house for the years from the first to the last: public holidays and days of its own.

    `closed` are further days it is closed, `opened` holidays on which it works all the same. Without a country the
    closed days given are all there are.
    """
    first, last = years
    days = public_holidays(country, first, last, part) if country else frozenset()
    return Calendar(name, date(first, 1, 1), date(last, 12, 31), (days | set(closed)) - set(opened), weekdays)
