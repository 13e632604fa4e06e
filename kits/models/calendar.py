"""The days on which a house works: a supplier, a carrier, a branch."""

from __future__ import annotations

import uuid

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Upper

from service.operations.models import Branch, Dealer, OwnedQuerySet
from service.operations.models.dealer import ALL_WEEK, ISO_WEEKDAYS, weekday_bits

FIRST_YEAR, LAST_YEAR = 1970, 2200


class WorkCalendar(models.Model):
    """The days a house works in the years from the first to the last, both in; of other years nothing is known.

    `country` (ISO 3166-1 alpha-2) and `subdivision` (as in ISO 3166-2) name public holidays; without a country the
    days listed are all there are. With a `branch` it is that branch's calendar, together with the branch's own closed
    dates and weekdays; a branch without one works by its own.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="calendars")
    branch = models.OneToOneField(Branch, on_delete=models.PROTECT, null=True, blank=True, related_name="calendar")
    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=200)
    country = models.CharField(max_length=2, blank=True, default="")
    subdivision = models.CharField(max_length=6, blank=True, default="")
    worked_weekday_bits = models.PositiveSmallIntegerField(default=weekday_bits((1, 2, 3, 4, 5)))
    first_year = models.PositiveSmallIntegerField()
    last_year = models.PositiveSmallIntegerField()
    version = models.PositiveIntegerField(default=1)

    objects = OwnedQuerySet["WorkCalendar"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint("dealer", "code", name="calendar_code_once_a_dealer"),
            models.CheckConstraint(condition=~Q(code="") & ~Q(name=""), name="calendar_is_named"),
            models.CheckConstraint(condition=Q(country=Upper(F("country"))), name="calendar_country_is_capitals"),
            models.CheckConstraint(
                condition=Q(subdivision="") | ~Q(country=""), name="calendar_subdivision_is_of_a_country"
            ),
            models.CheckConstraint(
                condition=Q(first_year__gte=FIRST_YEAR, last_year__lte=LAST_YEAR, first_year__lte=F("last_year")),
                name="calendar_years_are_in_order",
            ),
            models.CheckConstraint(
                condition=Q(worked_weekday_bits__gte=1, worked_weekday_bits__lte=ALL_WEEK),
                name="calendar_works_some_weekday",
            ),
        ]

    @property
    def worked_weekdays(self) -> tuple[int, ...]:
        """ISO weekdays (1 = Monday) on which work is done."""
        return tuple(day for day in ISO_WEEKDAYS if self.worked_weekday_bits & (1 << (day - 1)))


class CalendarDay(models.Model):
    """One date on which a house is closed besides its public holidays, or works although it is one of them."""

    calendar = models.ForeignKey(WorkCalendar, on_delete=models.CASCADE, related_name="days")
    date = models.DateField()
    closed = models.BooleanField(default=True)
    reason = models.CharField(max_length=200, blank=True, default="")

    class Meta:
        ordering = ["date"]
        constraints = [models.UniqueConstraint("calendar", "date", name="calendarday_once_a_calendar")]
