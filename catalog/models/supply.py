"""The way a fuel takes through an engine, stage by stage."""

from __future__ import annotations

from django.db import models
from django.db.models import Q, UniqueConstraint, Value
from django.db.models.functions import Coalesce

from catalog.domain.supply.stages import StageKind
from catalog.models.engine import EngineSpecification, Position
from catalog.models.typed_values import TypedValue, choices


class SupplyStage(models.Model):
    """One stage of one fuel's supply line, counted from the container; `position` where a part of the build is it."""

    specification = models.ForeignKey(EngineSpecification, on_delete=models.CASCADE, related_name="supply_stages")
    fuel = models.CharField(max_length=60)
    order = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=60, choices=choices(StageKind))
    name = models.CharField(max_length=200, blank=True, default="")
    position = models.ForeignKey(Position, on_delete=models.SET_NULL, null=True, blank=True, related_name="stages")

    class Meta:
        ordering = ("fuel", "order")
        constraints = [
            UniqueConstraint("specification", "fuel", "order", name="supplystage_once_in_order"),
            models.CheckConstraint(condition=~Q(fuel="") & ~Q(kind=""), name="supplystage_is_named"),
            models.CheckConstraint(condition=Q(kind__in=list(StageKind)), name="supplystage_kind_is_known"),
        ]


class StageValue(TypedValue):
    """What is known of a stage by itself, whatever part stands there: a rail's window, an engine's power."""

    stage = models.ForeignKey(SupplyStage, on_delete=models.CASCADE, related_name="values")

    class Meta(TypedValue.Meta):
        constraints = [
            *TypedValue.Meta.constraints,
            UniqueConstraint("stage", "attribute", Coalesce("slot", Value("")), name="stagevalue_once_a_place"),
        ]
