"""A dealer's calendars: which years, which weekdays, whose public holidays, and the days that differ from them."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

from catalog.usecases.refusals import Gathered
from kits.holidays_of import public_holidays
from kits.models import CalendarDay, WorkCalendar
from kits.usecases.branches import branch_meant
from kits.usecases.dealer_rows import Owner, Row, move_on, removed, told
from service.errors import Invalid, NotFound
from service.operations.models import Dealer
from service.operations.models.dealer import weekday_bits

PLAIN = ("code", "name", "country", "subdivision", "first_year", "last_year")
MOST_YEARS = 50


class UnknownCalendar(NotFound):
    code = "unknown_calendar"


class UnknownCalendarDay(NotFound):
    code = "unknown_calendar_day"


def calendar_of(dealer: Dealer, number: UUID, pointer: str | None = None) -> WorkCalendar:
    """This dealer's calendar. Raises UnknownCalendar, for another dealer's too."""
    found = WorkCalendar.objects.visible_to(dealer).select_related("branch").filter(pk=number).first()
    if found is None:
        raise UnknownCalendar("There is no such calendar of yours.", pointer=pointer)
    return found


def add_calendar(row: Row, owner: Owner) -> WorkCalendar:
    """Raises every problem of the body; Taken for a code or a branch that has one."""
    calendar = WorkCalendar(dealer=owner.dealer)
    _state(calendar, row)
    with told("calendar.created", calendar, owner, taken=_taken(calendar)):
        calendar.save(force_insert=True)
    return calendar


def change_calendar(calendar: WorkCalendar, patch: Row, owner: Owner) -> WorkCalendar:
    """Raises every problem of the body, Stale where it has changed since it was read, Taken as above."""
    _state(calendar, patch)
    with told("calendar.changed", calendar, owner, taken=_taken(calendar)):
        move_on(calendar)
        calendar.save()
    return calendar


def remove_calendar(calendar: WorkCalendar, owner: Owner) -> None:
    with told("calendar.removed", calendar, owner):
        removed_calendar = WorkCalendar(pk=calendar.pk, version=calendar.version)
        removed(removed_calendar, f"Suppliers work by {calendar.name}; give them another calendar first.")


def add_day(calendar: WorkCalendar, row: Row, owner: Owner) -> CalendarDay:
    """Raises Taken for a date that is there already, Invalid for one outside its years or never worked."""
    day = CalendarDay(calendar=calendar, **row)
    if not calendar.first_year <= day.date.year <= calendar.last_year:
        words = f"{calendar.name} is of {calendar.first_year} to {calendar.last_year}; {day.date} is outside."
        raise Invalid(words, pointer="/date", code="outside_the_years")
    if not day.closed and day.date.isoweekday() not in calendar.worked_weekdays:
        words = (
            f"{day.date} is a weekday on which {calendar.name} never works; only a holiday can be worked all the same."
        )
        raise Invalid(words, pointer="/date", code="never_worked")
    with told("calendar.changed", calendar, owner, taken=f"{day.date} is listed already; take it away first."):
        move_on(calendar)
        day.save(force_insert=True)
    return day


def remove_day(calendar: WorkCalendar, on: date, owner: Owner) -> None:
    with told("calendar.changed", calendar, owner):
        move_on(calendar)
        gone, _ = CalendarDay.objects.filter(calendar=calendar, date=on).delete()
        if not gone:
            raise UnknownCalendarDay(f"{on} is not listed in {calendar.name}.")


def calendar_document(row: WorkCalendar) -> dict[str, Any]:
    return {
        "id": str(row.pk),
        "code": row.code,
        "name": row.name,
        "branch": None if row.branch is None else row.branch.code,
        "country": row.country or None,
        "subdivision": row.subdivision or None,
        "worked_weekdays": list(row.worked_weekdays),
        "first_year": row.first_year,
        "last_year": row.last_year,
    }


def day_document(row: CalendarDay) -> dict[str, Any]:
    return {"date": row.date.isoformat(), "closed": row.closed, "reason": row.reason}


def _taken(calendar: WorkCalendar) -> str:
    return f"There is a calendar {calendar.code!r} of yours already, or its branch has one."


def _state(calendar: WorkCalendar, row: Row) -> None:
    problems = Gathered()
    for name in PLAIN:
        if name in row:
            setattr(calendar, name, "" if row[name] is None else row[name])
    if "worked_weekdays" in row:
        calendar.worked_weekday_bits = weekday_bits(row["worked_weekdays"])
    with problems.each():
        if "branch" in row:
            calendar.branch = None if row["branch"] is None else branch_meant(calendar.dealer, row["branch"])
    with problems.each():
        _refuse_years(calendar)
    with problems.each():
        _refuse_place(calendar)
    problems.tell()


def _refuse_years(calendar: WorkCalendar) -> None:
    if not 0 <= calendar.last_year - calendar.first_year < MOST_YEARS:
        words = f"{calendar.first_year} to {calendar.last_year}: give the last year at or after the first, and at most"
        raise Invalid(f"{words} {MOST_YEARS} years.", pointer="/last_year", code="years")


def _refuse_place(calendar: WorkCalendar) -> None:
    if calendar.subdivision and not calendar.country:
        raise Invalid("A subdivision is part of a country; give the country too.", pointer="/subdivision", code="place")
    if calendar.country and calendar.first_year <= calendar.last_year:
        years = calendar.first_year, min(calendar.last_year, calendar.first_year + MOST_YEARS)
        try:
            public_holidays(calendar.country, *years, calendar.subdivision or None)
        except Invalid as error:
            pointer = "/subdivision" if calendar.subdivision else "/country"
            raise Invalid(error.message, pointer=pointer, code=error.code) from None
