"""A machine's meters and what was read off them."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import ClassVar

from django.db import models
from django.db.models import F, Q, UniqueConstraint

from catalog.models import Machine
from catalog.models.typed_values import choices
from kits.domain.engine_hours import MeterUnit
from kits.domain.meters import Counts, Review
from kits.models.append_only import AppendOnly, AppendOnlyQuerySet

METER_CODE_LENGTH = 40


class MachineMeter(models.Model):
    """One meter while it is or was on a machine. Readings are in its own steps: tenths of an hour, or whole counts.

    `start` and `removed_at` null are not known, `fitted_on` null since before the record; `removed_on` null is on it.
    """

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="meters")
    code = models.CharField(max_length=METER_CODE_LENGTH)
    unit = models.CharField(max_length=10, choices=choices(MeterUnit))
    counts = models.CharField(max_length=10, choices=choices(Counts))
    fitted_on = models.DateField(null=True, blank=True)
    start = models.BigIntegerField(null=True, blank=True)
    removed_on = models.DateField(null=True, blank=True)
    removed_at = models.BigIntegerField(null=True, blank=True)
    removed_by = models.CharField(max_length=250, blank=True, default="")

    class Meta:
        constraints = [
            UniqueConstraint("machine", "code", name="machinemeter_code_once_a_machine"),
            models.CheckConstraint(condition=~Q(code=""), name="machinemeter_is_named"),
            models.CheckConstraint(condition=Q(unit__in=list(MeterUnit)), name="machinemeter_unit_is_known"),
            models.CheckConstraint(condition=Q(counts__in=list(Counts)), name="machinemeter_counts_is_known"),
            models.CheckConstraint(condition=Q(start=None) | Q(start__gte=0), name="machinemeter_starts_at_nought"),
            models.CheckConstraint(
                condition=Q(removed_on=None) | Q(fitted_on=None) | Q(removed_on__gte=F("fitted_on")),
                name="machinemeter_removed_after_it_was_fitted",
            ),
            models.CheckConstraint(
                condition=Q(removed_at=None)
                | (Q(removed_on__isnull=False, removed_at__gte=0) & (Q(start=None) | Q(removed_at__gte=F("start")))),
                name="machinemeter_removed_at_or_above_its_start",
            ),
            models.CheckConstraint(
                condition=Q(removed_on=None, removed_by="") | (Q(removed_on__isnull=False) & ~Q(removed_by="")),
                name="machinemeter_removed_by_somebody",
            ),
        ]


class MeterReadingQuerySet(AppendOnlyQuerySet):
    def review(self, number: uuid.UUID, verdict: Review, *, at: datetime, by: str) -> bool:
        """Say of a reading that nobody has looked at yet what it is; answers whether it was this that did it."""
        columns = {"review": verdict.value, "reviewed_at": at, "reviewed_by": by}
        return self._settle(number, {"review": Review.NONE.value}, columns)


class MeterReading(AppendOnly):
    """What a meter showed on a day of the dealer's zone, in its own steps; `at` where the instant is known."""

    never_changed: ClassVar[str] = "A reading is never changed; review it, and add the right one."

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    meter = models.ForeignKey(MachineMeter, on_delete=models.CASCADE, related_name="readings")
    on = models.DateField()
    at = models.DateTimeField(null=True, blank=True)
    shows = models.BigIntegerField()
    entered_by = models.CharField(max_length=250)
    entered_at = models.DateTimeField()
    note = models.CharField(max_length=500, blank=True, default="")
    review = models.CharField(max_length=10, choices=choices(Review), default=Review.NONE.value)
    reviewed_by = models.CharField(max_length=250, blank=True, default="")
    reviewed_at = models.DateTimeField(null=True, blank=True)

    objects = MeterReadingQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["meter", "on"], name="meterreading_by_day")]
        constraints = [
            models.CheckConstraint(condition=Q(shows__gte=0), name="meterreading_is_not_negative"),
            models.CheckConstraint(condition=~Q(entered_by=""), name="meterreading_entered_by_somebody"),
            models.CheckConstraint(condition=Q(review__in=list(Review)), name="meterreading_review_is_known"),
            models.CheckConstraint(
                condition=Q(review=Review.NONE.value, reviewed_by="", reviewed_at=None)
                | (~Q(review=Review.NONE.value) & ~Q(reviewed_by="") & Q(reviewed_at__isnull=False)),
                name="meterreading_reviewed_by_somebody",
            ),
        ]
