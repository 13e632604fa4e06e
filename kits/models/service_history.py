"""What is on file of a machine's service: its plan, its use, what was done to it and what was seen on it."""

from __future__ import annotations

import uuid
from typing import Any, ClassVar

from django.db import models
from django.db.models import Q

from catalog.models import Machine, WorkOrder
from catalog.models.json_columns import holds_a_list
from kits.models.append_only import AppendOnly, AppendOnlyQuerySet, Withdrawable
from kits.models.service_plan import CODE_LENGTH, ServicePlan


class ServiceFile(models.Model):
    """The head of a machine's service record; `version` moves with every change of it and of the rows below.

    `plan` null leaves the plan to what holds for its engine. `record_complete` says that all work since new is on
    file: only then is work that is not on file known not to have been done.
    """

    machine = models.OneToOneField(Machine, on_delete=models.CASCADE, primary_key=True, related_name="service_file")
    plan = models.ForeignKey(ServicePlan, on_delete=models.PROTECT, null=True, blank=True, related_name="chosen_by")
    in_service = models.DateField(null=True, blank=True)
    record_complete = models.BooleanField(default=False)
    version = models.PositiveIntegerField(default=1)


class UseProfile(AppendOnly):
    """How a machine is used, as somebody said it on a day: the latest said on or before the day of asking counts.

    `periods` are documents of `kits.domain.use_profile_documents`; `severe` null is not known.
    """

    never_changed: ClassVar[str] = "What was said of the use is never changed; say it anew."

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="use_profiles")
    said_on = models.DateField()
    said_by = models.CharField(max_length=250)
    severe = models.BooleanField(null=True, blank=True)
    periods: models.JSONField[Any, Any] = models.JSONField(default=list)

    objects = AppendOnlyQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["machine", "said_on"], name="useprofile_by_day")]
        constraints = [
            models.CheckConstraint(condition=~Q(said_by=""), name="useprofile_said_by_somebody"),
            holds_a_list("periods", name="useprofile_periods_are_a_list"),
        ]


class ServiceRecord(Withdrawable):
    """Work done on a day: tasks and levels by code, at lifetime hours in tenths; `hours` null were not written down.

    `parts` are `{"maker", "number", "quantity", "position"}` as used; `plan` is the one whose codes are meant.
    """

    never_changed: ClassVar[str] = "A service on record is never changed; withdraw it and record it anew."

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="services_done")
    plan = models.ForeignKey(ServicePlan, on_delete=models.PROTECT, null=True, blank=True, related_name="services_done")
    on = models.DateField()
    hours = models.BigIntegerField(null=True, blank=True)
    tasks: models.JSONField[Any, Any] = models.JSONField(default=list)
    levels: models.JSONField[Any, Any] = models.JSONField(default=list)
    work_order = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, null=True, blank=True, related_name="services_done"
    )
    by = models.CharField(max_length=250)
    entered_at = models.DateTimeField()
    note = models.CharField(max_length=1000, blank=True, default="")
    parts: models.JSONField[Any, Any] = models.JSONField(default=list)

    class Meta(Withdrawable.Meta):
        indexes = [models.Index(fields=["machine", "on"], name="servicerecord_by_day")]
        constraints = [
            *Withdrawable.Meta.constraints,
            models.CheckConstraint(condition=~Q(by=""), name="servicerecord_done_by_somebody"),
            models.CheckConstraint(condition=Q(hours=None) | Q(hours__gte=0), name="servicerecord_hours_not_negative"),
            models.CheckConstraint(condition=~Q(tasks=[], levels=[]), name="servicerecord_names_its_work"),
            holds_a_list("tasks", name="servicerecord_tasks_are_a_list"),
            holds_a_list("levels", name="servicerecord_levels_are_a_list"),
            holds_a_list("parts", name="servicerecord_parts_are_a_list"),
        ]


class ObservationKind(models.TextChoices):
    PART_FITTED = "part_fitted"
    CONDITION = "condition"
    EVENT = "event"


class ServiceObservation(Withdrawable):
    """A part's date code or the day it was fitted, a condition looked at, or an event, with the columns of its kind."""

    never_changed: ClassVar[str] = "What was seen is never changed; withdraw it and record it anew."

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="service_observations")
    kind = models.CharField(max_length=20, choices=ObservationKind.choices)
    on = models.DateField()
    by = models.CharField(max_length=250)
    entered_at = models.DateTimeField()
    note = models.CharField(max_length=500, blank=True, default="")
    subject = models.CharField(max_length=CODE_LENGTH, blank=True, default="")
    manufactured = models.DateField(null=True, blank=True)
    fitted = models.DateField(null=True, blank=True)
    task = models.CharField(max_length=CODE_LENGTH, blank=True, default="")
    met = models.BooleanField(null=True, blank=True)
    event = models.CharField(max_length=CODE_LENGTH, blank=True, default="")
    hours = models.BigIntegerField(null=True, blank=True)

    class Meta(Withdrawable.Meta):
        indexes = [models.Index(fields=["machine", "on"], name="serviceobservation_by_day")]
        constraints = [
            *Withdrawable.Meta.constraints,
            models.CheckConstraint(condition=~Q(by=""), name="serviceobservation_seen_by_somebody"),
            models.CheckConstraint(
                condition=(
                    Q(kind="part_fitted", task="", met=None, event="", hours=None) & ~Q(subject="")
                    & (Q(manufactured__isnull=False) | Q(fitted__isnull=False))
                )
                | (
                    Q(kind="condition", subject="", manufactured=None, fitted=None, event="", hours=None)
                    & ~Q(task="") & Q(met__isnull=False)
                )
                | (Q(kind="event", subject="", manufactured=None, fitted=None, task="", met=None) & ~Q(event="")),
                name="serviceobservation_columns_suit_its_kind",
            ),
            models.CheckConstraint(
                condition=Q(hours=None) | Q(hours__gte=0), name="serviceobservation_hours_not_negative"
            ),
        ]  # fmt: skip
