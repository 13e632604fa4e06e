"""Kits: the parts for the work due on one machine, each with its check, and what the shelf promises to it."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models
from django.db.models import Q, UniqueConstraint

from catalog.models import Check, Machine, Part, RulebookVersion, WorkOrder
from catalog.models.json_columns import holds_a_list
from catalog.models.typed_values import choices
from kits.domain.kit_lines import Unit
from kits.domain.kit_settling import SETTLED, LineState
from kits.domain.kit_steps import ENDED, KitState
from kits.models.service_plan import ServicePlan
from kits.models.stock import StockBatch
from service.operations.models import Branch, Dealer, OwnedQuerySet

WHY_LENGTH = 500
__all__ = [
    "ENDED", "WHY_LENGTH", "Kit", "KitEvent", "KitLine", "KitState", "KitUse", "Reservation", "ReservationState",
]  # fmt: skip


class Kit(models.Model):
    """One machine's kit. `asked` is the request and `work` what it comes to: tasks, levels, those beaten by others.

    `as_of` is the day the due list was read for and `fitted_on` the day of the service, which decides what is too old.
    `left_out`, `packing` and `review` are documents as they are shown; `packing` is final once the kit is fulfilled.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="kits")
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="kits")
    number = models.PositiveIntegerField()
    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="kits")
    work_order = models.ForeignKey(WorkOrder, on_delete=models.PROTECT, null=True, blank=True, related_name="kits")
    plan = models.ForeignKey(ServicePlan, on_delete=models.PROTECT, related_name="kits")
    plan_version = models.PositiveIntegerField()
    state = models.CharField(max_length=12, choices=choices(KitState), default=KitState.BUILT.value)
    asked: models.JSONField[Any, Any] = models.JSONField(default=dict)
    work: models.JSONField[Any, Any] = models.JSONField(default=dict)
    left_out: models.JSONField[Any, Any] = models.JSONField(default=list)
    packing: models.JSONField[Any, Any] = models.JSONField(default=dict)
    review: models.JSONField[Any, Any] = models.JSONField(default=list)
    as_of = models.DateField()
    fitted_on = models.DateField()
    complete = models.BooleanField(default=False)
    catalogue_version = models.PositiveBigIntegerField()
    rulebook = models.ForeignKey(RulebookVersion, on_delete=models.PROTECT, to_field="number", related_name="kits")
    built_at = models.DateTimeField()
    built_by = models.CharField(max_length=250)
    version = models.PositiveIntegerField(default=1)

    objects = OwnedQuerySet["Kit"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["dealer", "built_at", "id"], name="kit_of_a_dealer")]
        constraints = [
            UniqueConstraint("dealer", "number", name="kit_number_once_a_dealer"),
            models.CheckConstraint(condition=Q(state__in=list(KitState)), name="kit_state_is_known"),
            holds_a_list("left_out", name="kit_left_out_is_a_list"),
            holds_a_list("review", name="kit_review_is_a_list"),
            models.CheckConstraint(condition=~Q(state="needs_review") | ~Q(review=[]), name="kit_review_has_a_reason"),
        ]


class KitLine(models.Model):
    """One part at one position. `quantity` is in `unit`; what is null is not known, and then the line is not settled.

    `check_made` is the check that the state rests on. `choice` is who put another part in the place of the plan's, and
    of which. A line `to_follow` was left behind when the kit was handed out, for the reason beside it.
    """

    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="lines")
    line = models.PositiveSmallIntegerField()
    position = models.CharField(max_length=60, blank=True, default="")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, null=True, blank=True, related_name="kit_lines")
    quantity = models.PositiveBigIntegerField(null=True, blank=True)
    unit = models.CharField(max_length=12, choices=choices(Unit), default=Unit.EACH.value)
    tasks: models.JSONField[Any, Any] = models.JSONField(default=list)
    asked_by = models.CharField(max_length=250, blank=True, default="")
    state = models.CharField(max_length=16, choices=choices(LineState))
    words: models.JSONField[Any, Any] = models.JSONField(default=list)
    missing: models.JSONField[Any, Any] = models.JSONField(default=list)
    alternatives: models.JSONField[Any, Any] = models.JSONField(default=list)
    check_made = models.ForeignKey(Check, on_delete=models.PROTECT, null=True, blank=True, related_name="kit_lines")
    choice: models.JSONField[Any, Any] = models.JSONField(default=dict)
    to_follow = models.BooleanField(default=False)
    to_follow_why = models.CharField(max_length=WHY_LENGTH, blank=True, default="")

    class Meta:
        ordering = ["line"]
        constraints = [
            UniqueConstraint("kit", "line", name="kitline_number_once_a_kit"),
            models.CheckConstraint(condition=Q(state__in=list(LineState)), name="kitline_state_is_known"),
            models.CheckConstraint(condition=Q(unit__in=list(Unit)), name="kitline_unit_is_known"),
            models.CheckConstraint(
                condition=~Q(state__in=sorted(SETTLED)) | Q(part__isnull=False, quantity__gte=1),
                name="kitline_settled_names_part_and_quantity",
            ),
            models.CheckConstraint(
                condition=~Q(state__in=["accepted", "approved"]) | Q(check_made__isnull=False),
                name="kitline_yes_has_its_check",
            ),
            models.CheckConstraint(
                condition=Q(to_follow=False, to_follow_why="") | (Q(to_follow=True) & ~Q(to_follow_why="")),
                name="kitline_follows_for_a_reason",
            ),
        ]


class KitUse(models.Model):
    """What a settled line takes from the shelf: pieces of a part, or containers of `content` microlitres of a fluid."""

    line = models.ForeignKey(KitLine, on_delete=models.CASCADE, related_name="uses")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="kit_uses")
    content = models.PositiveBigIntegerField(null=True, blank=True)
    quantity = models.PositiveIntegerField()

    class Meta:
        ordering = ["id"]
        constraints = [
            # Two rows without a content count as different in a plain constraint.
            UniqueConstraint("line", "part", "content", name="kituse_container_once_a_line"),
            UniqueConstraint(fields=["line", "part"], condition=Q(content=None), name="kituse_part_once_a_line"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="kituse_takes_something"),
            models.CheckConstraint(condition=~Q(content=0), name="kituse_container_is_not_empty"),
        ]


class ReservationState(models.TextChoices):
    HELD = "held"
    RELEASED = "released"
    TAKEN = "taken"


class Reservation(models.Model):
    """Pieces of one batch promised to one use. `held` ones are counted in the batch's `reserved` column."""

    use = models.ForeignKey(KitUse, on_delete=models.CASCADE, related_name="reservations")
    batch = models.ForeignKey(StockBatch, on_delete=models.PROTECT, related_name="reservations")
    quantity = models.PositiveIntegerField()
    state = models.CharField(max_length=8, choices=ReservationState.choices, default=ReservationState.HELD)
    made_at = models.DateTimeField()
    made_by = models.CharField(max_length=250)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.CharField(max_length=250, blank=True, default="")

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["batch"], condition=Q(state="held"), name="reservation_held_of_a_batch")]
        constraints = [
            models.CheckConstraint(condition=Q(quantity__gte=1), name="reservation_holds_something"),
            models.CheckConstraint(condition=Q(state__in=ReservationState.values), name="reservation_state_is_known"),
            models.CheckConstraint(
                condition=Q(state="held", ended_at=None, ended_by="")
                | (~Q(state="held") & Q(ended_at__isnull=False) & ~Q(ended_by="")),
                name="reservation_ended_by_somebody",
            ),
        ]


class KitEvent(models.Model):
    """What was done to a kit, by whom, and what it changed; added to and never changed."""

    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="events")
    at = models.DateTimeField()
    by = models.CharField(max_length=250)
    what = models.CharField(max_length=40)
    detail: models.JSONField[Any, Any] = models.JSONField(default=dict)

    class Meta:
        ordering = ["id"]
        constraints = [models.CheckConstraint(condition=~Q(what="") & ~Q(by=""), name="kitevent_says_what_and_who")]
