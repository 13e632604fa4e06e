"""Dealers and their branches: where, in which zone and currency, and on which days work is done."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Length, Upper
from django.db.models.lookups import Exact

from service.operations.models.owned import OwnedQuerySet
from service.operations.zones import validate_zone

ISO_WEEKDAYS = range(1, 8)
ALL_WEEK = 0b1111111


def weekday_bits(days: Iterable[int]) -> int:
    """ISO weekdays (1 = Monday) as the bits ``Branch.closed_weekday_bits`` keeps."""
    return sum(1 << (day - 1) for day in set(days))


class Dealer(models.Model):
    """One business using the service. ``zone`` is what dates are told in where no branch is named."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    code = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=200)
    zone = models.CharField(max_length=64, default="UTC", validators=[validate_zone])

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(code="") & ~Q(name="") & ~Q(zone=""), name="dealer_is_named"),
        ]

    def today(self, now: datetime) -> date:
        """The date at this dealer when it is ``now``."""
        return now.astimezone(ZoneInfo(self.zone)).date()


class Branch(models.Model):
    """One counter or workshop of a dealer; ``zone`` is an IANA name, ``currency`` an ISO 4217 code."""

    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="branches")
    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=200)
    zone = models.CharField(max_length=64, validators=[validate_zone])
    currency = models.CharField(max_length=3)
    # Bits rather than a list: the database can then refuse a branch that never opens.
    closed_weekday_bits = models.PositiveSmallIntegerField(default=weekday_bits((6, 7)))

    objects = OwnedQuerySet["Branch"].as_manager()

    class Meta:
        verbose_name_plural = "branches"
        constraints = [
            models.UniqueConstraint("dealer", "code", name="branch_code_once_a_dealer"),
            models.CheckConstraint(condition=~Q(code="") & ~Q(name="") & ~Q(zone=""), name="branch_is_named"),
            models.CheckConstraint(
                condition=Q(Exact(Length("currency"), 3)) & Q(currency=Upper(F("currency"))),
                name="branch_currency_is_three_capitals",
            ),
            models.CheckConstraint(
                condition=Q(closed_weekday_bits__gte=0, closed_weekday_bits__lt=ALL_WEEK),
                name="branch_opens_some_weekday",
            ),
        ]

    @property
    def closed_weekdays(self) -> tuple[int, ...]:
        """ISO weekdays (1 = Monday) on which the branch is always closed."""
        return tuple(day for day in ISO_WEEKDAYS if self.closed_weekday_bits & (1 << (day - 1)))

    def today(self, now: datetime) -> date:
        """The date at this branch when it is ``now``."""
        return now.astimezone(ZoneInfo(self.zone)).date()


class ClosedDate(models.Model):
    """One date on which a branch is closed besides its closed weekdays."""

    branch = models.ForeignKey(Branch, on_delete=models.CASCADE, related_name="closed_dates")
    date = models.DateField()
    reason = models.CharField(max_length=200, blank=True, default="")

    class Meta:
        ordering = ["date"]
        constraints = [models.UniqueConstraint("branch", "date", name="closed_date_once_a_branch")]
