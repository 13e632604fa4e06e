"""The way a fuel takes through an engine, stage by stage."""

from __future__ import annotations

from django.db import models
from django.db.models import Q, UniqueConstraint

from catalog.models.engine import EngineSpecification, Position


class SupplyStage(models.Model):
    """One stage of one fuel's supply line, counted from the container; `position` where a part of the build is it."""

    specification = models.ForeignKey(EngineSpecification, on_delete=models.CASCADE, related_name="supply_stages")
    fuel = models.CharField(max_length=60)
    order = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=60)  # container, hose, filter, lock_off, vaporiser, regulator, rail, injector
    position = models.ForeignKey(Position, on_delete=models.SET_NULL, null=True, blank=True, related_name="stages")

    class Meta:
        constraints = [
            UniqueConstraint("specification", "fuel", "order", name="supplystage_once_in_order"),
            models.CheckConstraint(condition=~Q(fuel="") & ~Q(kind=""), name="supplystage_is_named"),
        ]
