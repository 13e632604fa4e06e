"""A dealer's customers, their engines as they stand, and the work on them."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models
from django.db.models import F, Q, UniqueConstraint

from catalog.domain.answers import SourceKind
from catalog.domain.fuels import RecordMode
from catalog.models.engine import EngineSpecification
from catalog.models.json_columns import holds_a_list
from catalog.models.part import Part, Status
from catalog.models.typed_values import choices
from service.operations.models import Dealer, OwnedQuerySet


class Customer(models.Model):
    """Whose engines a dealer looks after; `version` moves with every change."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="customers")
    name = models.CharField(max_length=200)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.ACTIVE)
    version = models.PositiveIntegerField(default=1)

    objects = OwnedQuerySet["Customer"].as_manager()

    class Meta:
        constraints = [
            UniqueConstraint("dealer", "name", name="customer_name_once_a_dealer"),
            models.CheckConstraint(condition=~Q(name=""), name="customer_is_named"),
            models.CheckConstraint(condition=Q(status__in=Status.values), name="customer_status_is_known"),
        ]


class Machine(models.Model):
    """A customer's engine. What is empty or null is unknown. `serial` is as typed; `facts` is derived from the rows.

    `version` moves with every change of the machine, its fuel records and its as-built positions. `line_demands` is
    what the supply lines of a rebuilt machine ask, by position; null until it is worked out, and where it cannot be.
    `line_digest` stands for all that it was last worked out from.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="machines")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, null=True, blank=True, related_name="machines")
    name = models.CharField(max_length=120)
    specification = models.ForeignKey(
        EngineSpecification, on_delete=models.PROTECT, null=True, blank=True, related_name="machines"
    )
    serial = models.CharField(max_length=40, blank=True, default="")
    plate_fuels: models.JSONField[Any, Any] = models.JSONField(default=list)
    place_of_use = models.CharField(max_length=60, blank=True, default="")
    dusty = models.BooleanField(null=True, blank=True)
    certified = models.BooleanField(null=True, blank=True)
    ecu = models.BooleanField(null=True, blank=True)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.ACTIVE)
    line_demands: models.JSONField[Any, Any] = models.JSONField(null=True, default=None, editable=False)
    line_digest = models.CharField(max_length=64, blank=True, default="", editable=False)
    facts = models.TextField(default="", editable=False)
    version = models.PositiveIntegerField(default=1)

    objects = OwnedQuerySet["Machine"].as_manager()

    class Meta:
        constraints = [
            UniqueConstraint("dealer", "name", name="machine_name_once_a_dealer"),
            models.CheckConstraint(condition=~Q(name=""), name="machine_is_named"),
            models.CheckConstraint(condition=Q(status__in=Status.values), name="machine_status_is_known"),
            holds_a_list("plate_fuels", name="machine_plate_fuels_are_a_list"),
        ]


class FuelRecord(models.Model):
    """What somebody found the engine burning. It is added to and never changed: a later look is a later record.

    The `confirmed_` columns are the licensed person who confirmed the equipment: all of them, or none.
    """

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="fuel_records")
    fuels: models.JSONField[Any, Any] = models.JSONField(default=list)
    mode = models.CharField(max_length=20, choices=choices(RecordMode))
    found_on = models.DateField()
    by = models.CharField(max_length=200, blank=True, default="")
    evidence = models.CharField(max_length=500, blank=True, default="")
    conversion_paper = models.BooleanField(default=False)
    confirmed_name = models.CharField(max_length=200, blank=True, default="")
    confirmed_licence = models.CharField(max_length=60, blank=True, default="")
    confirmed_area = models.CharField(max_length=60, blank=True, default="")
    confirmed_expires = models.DateField(null=True, blank=True)
    confirmed_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["found_on", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(mode__in=list(RecordMode)), name="fuelrecord_mode_is_known"),
            holds_a_list("fuels", name="fuelrecord_fuels_are_a_list"),
            models.CheckConstraint(condition=~Q(fuels=[]), name="fuelrecord_names_a_fuel"),
            models.CheckConstraint(
                condition=Q(
                    confirmed_name="", confirmed_licence="", confirmed_area="", confirmed_expires=None,
                    confirmed_on=None,
                )
                | (
                    Q(confirmed_on__isnull=False, confirmed_expires__gte=F("confirmed_on"))
                    & ~Q(confirmed_name="") & ~Q(confirmed_licence="") & ~Q(confirmed_area="")
                ),
                name="fuelrecord_confirmed_under_a_licence_in_force",
            ),
        ]  # fmt: skip


class AsBuilt(models.Model):
    """A position as it is on a converted machine: it takes the place of the specification's position of that code.

    `removed` says that nothing stands there any more. `ports` are `{"port", "classes", "fuel"}`, `media` what its seals
    touch: `{"name", "slot", "temperature", "dynamic"}`. What stands there is a part of the catalogue, or what somebody
    read off it.
    """

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="as_built")
    position = models.CharField(max_length=60)
    category = models.CharField(max_length=60, blank=True, default="")
    quantity = models.PositiveSmallIntegerField(null=True, blank=True)
    branch = models.CharField(max_length=60, blank=True, default="")
    ports: models.JSONField[Any, Any] = models.JSONField(default=list)
    media: models.JSONField[Any, Any] = models.JSONField(default=list)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, null=True, blank=True, related_name="as_built")
    maker_text = models.CharField(max_length=200, blank=True, default="")
    number_text = models.CharField(max_length=200, blank=True, default="")
    removed = models.BooleanField(default=False)
    source_kind = models.CharField(max_length=20, choices=choices(SourceKind))
    source_citation = models.CharField(max_length=400, blank=True, default="")

    class Meta:
        constraints = [
            UniqueConstraint("machine", "position", name="asbuilt_position_once_a_machine"),
            models.CheckConstraint(condition=~Q(position=""), name="asbuilt_names_its_position"),
            models.CheckConstraint(condition=Q(removed=True) | ~Q(category=""), name="asbuilt_stands_or_is_removed"),
            models.CheckConstraint(
                condition=Q(removed=False) | Q(part=None, maker_text="", number_text=""),
                name="asbuilt_removed_has_no_part",
            ),
            models.CheckConstraint(
                condition=Q(part=None) | Q(maker_text="", number_text=""), name="asbuilt_part_or_its_description"
            ),
            models.CheckConstraint(condition=~Q(quantity=0), name="asbuilt_takes_something"),
            models.CheckConstraint(condition=Q(source_kind__in=list(SourceKind)), name="asbuilt_source_is_known"),
            holds_a_list("ports", name="asbuilt_ports_are_a_list"),
            holds_a_list("media", name="asbuilt_media_are_a_list"),
        ]


class WorkState(models.TextChoices):
    OPEN = "open"
    CLOSED = "closed"
    CANCELLED = "cancelled"


class WorkOrder(models.Model):
    """Shop work on a machine, by the dealer's own number. Once closed or cancelled it stays so.

    `planned_on` is the day it is planned for, in the dealer's zone; null while nobody has said.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="work_orders")
    number = models.CharField(max_length=60)
    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, null=True, blank=True, related_name="work_orders")
    state = models.CharField(max_length=10, choices=WorkState.choices, default=WorkState.OPEN)
    planned_on = models.DateField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = OwnedQuerySet["WorkOrder"].as_manager()

    class Meta:
        constraints = [
            UniqueConstraint("dealer", "number", name="workorder_number_once_a_dealer"),
            models.CheckConstraint(condition=~Q(number=""), name="workorder_is_numbered"),
            models.CheckConstraint(condition=Q(state__in=WorkState.values), name="workorder_state_is_known"),
            models.CheckConstraint(condition=Q(ended_at=None) | ~Q(state="open"), name="workorder_open_has_no_end"),
        ]
