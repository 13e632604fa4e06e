"""Engine specifications: the builds that decide parts, with their positions and what those demand."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import F, Q, UniqueConstraint, Value
from django.db.models.functions import Coalesce

from catalog.domain.answers import Basis
from catalog.models.json_columns import holds_a_list
from catalog.models.part import Maker, Status
from catalog.models.typed_values import TypedValue, choices

DEMAND_BASES = (Basis.STATED, Basis.COMPUTED)


class EngineSpecification(models.Model):
    """One build. `fuels` are those it can be built for; `facts` is derived from its rows.

    `line_digest` stands for all that its supply lines were last worked out from.
    """

    maker = models.ForeignKey(Maker, on_delete=models.PROTECT, related_name="specifications")
    model = models.CharField(max_length=60)
    spec = models.CharField(max_length=60)
    name = models.CharField(max_length=200, blank=True, default="")
    cylinders = models.PositiveSmallIntegerField(null=True, blank=True)
    heads = models.PositiveSmallIntegerField(null=True, blank=True)
    fuels: models.JSONField[Any, Any] = models.JSONField(default=list)
    serial_prefixes: models.JSONField[Any, Any] = models.JSONField(
        default=list
    )  # "" stands for serials without a prefix
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.ACTIVE)
    facts = models.TextField(default="", editable=False)
    line_digest = models.CharField(max_length=64, blank=True, default="", editable=False)
    changed_in = models.PositiveBigIntegerField(default=0)

    class Meta:
        constraints = [
            UniqueConstraint("model", "spec", name="enginespecification_once"),
            models.CheckConstraint(condition=~Q(model="") & ~Q(spec=""), name="enginespecification_is_named"),
            models.CheckConstraint(condition=~Q(cylinders=0), name="enginespecification_has_cylinders"),
            models.CheckConstraint(condition=~Q(heads=0), name="enginespecification_has_heads"),
            models.CheckConstraint(condition=Q(status__in=Status.values), name="enginespecification_status_is_known"),
            holds_a_list("fuels", name="enginespecification_fuels_are_a_list"),
            holds_a_list("serial_prefixes", name="enginespecification_prefixes_are_a_list"),
        ]

    def __str__(self) -> str:
        return self.shown

    @property
    def shown(self) -> str:
        return f"{self.model} {self.spec}"


class Position(models.Model):
    """A place where one category sits; `branch` is one fuel burned, or empty where the place is common to all."""

    specification = models.ForeignKey(EngineSpecification, on_delete=models.CASCADE, related_name="positions")
    code = models.CharField(max_length=60)
    name = models.CharField(max_length=200, blank=True, default="")
    category = models.CharField(max_length=60)
    quantity = models.PositiveSmallIntegerField(null=True, blank=True)
    branch = models.CharField(max_length=60, blank=True, default="")
    carries_fuel = models.BooleanField(default=True)
    adapter_forbidden = models.CharField(max_length=200, blank=True, default="")  # the reason why
    inside_of = models.ForeignKey("self", on_delete=models.CASCADE, null=True, blank=True, related_name="inside")

    class Meta:
        constraints = [
            UniqueConstraint("specification", "code", name="position_code_once_a_specification"),
            models.CheckConstraint(condition=~Q(code="") & ~Q(category=""), name="position_is_named"),
            models.CheckConstraint(condition=~Q(quantity=0), name="position_takes_something"),
            models.CheckConstraint(
                condition=Q(inside_of=None) | ~Q(inside_of=F("id")), name="position_is_not_inside_itself"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} of {self.specification}"


class PositionPort(models.Model):
    """The fuel service classes at one port; `fuel` is empty where they hold whatever is burned."""

    position = models.ForeignKey(Position, on_delete=models.CASCADE, related_name="ports")
    port = models.CharField(max_length=60)
    fuel = models.CharField(max_length=60, blank=True, default="")
    classes: models.JSONField[Any, Any] = models.JSONField(default=list)

    class Meta:
        constraints = [
            UniqueConstraint("position", "port", "fuel", name="positionport_once_a_fuel"),
            models.CheckConstraint(condition=~Q(port=""), name="positionport_is_named"),
            holds_a_list("classes", name="positionport_classes_are_a_list"),
        ]


class PositionMedium(models.Model):
    """Something the seals here touch; temperatures in thousandths of a kelvin, an end that is null not stated.

    `slot` is the side that touches it, empty where every side does.
    """

    position = models.ForeignKey(Position, on_delete=models.CASCADE, related_name="media")
    name = models.CharField(max_length=60)
    slot = models.CharField(max_length=60, blank=True, default="")
    lo = models.BigIntegerField(null=True, blank=True)
    hi = models.BigIntegerField(null=True, blank=True)
    unit = models.CharField(max_length=20, blank=True, default="")
    dynamic = models.BooleanField(null=True, blank=True)

    class Meta:
        constraints = [
            UniqueConstraint("position", "name", "slot", name="positionmedium_once_a_side"),
            models.CheckConstraint(condition=~Q(name=""), name="positionmedium_is_named"),
            models.CheckConstraint(condition=Q(lo__lte=F("hi")), name="positionmedium_lo_not_above_hi"),
        ]


class PositionDemand(TypedValue):
    """What the position asks of one attribute: stated by the maker, or computed for its supply line."""

    position = models.ForeignKey(Position, on_delete=models.CASCADE, related_name="demands")
    basis = models.CharField(max_length=20, choices=choices(DEMAND_BASES), default=Basis.STATED.value)

    class Meta(TypedValue.Meta):
        constraints = [
            *TypedValue.Meta.constraints,
            models.CheckConstraint(condition=Q(basis__in=list(DEMAND_BASES)), name="positiondemand_basis_is_known"),
            UniqueConstraint(
                "position",
                "attribute",
                Coalesce("slot", Value("")),
                "basis",
                "source_kind",
                "source_citation",
                name="positiondemand_once_a_place_and_source",
            ),
        ]
