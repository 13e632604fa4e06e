"""When something a maker says holds: the same columns wherever it is kept."""

from __future__ import annotations

from typing import Any

from django.db import models

from catalog.models.engine import EngineSpecification
from catalog.models.json_columns import holds_a_list


class Applicability(models.Model):
    """When something holds. Empty facets ask nothing; `serials` are `{"first", "last", "prefix"}`, ends included."""

    specification = models.ForeignKey(
        EngineSpecification, on_delete=models.PROTECT, null=True, blank=True, related_name="%(class)ss"
    )
    serials: models.JSONField[Any, Any] = models.JSONField(default=list)
    any_fuel: models.JSONField[Any, Any] = models.JSONField(default=list)
    all_fuels: models.JSONField[Any, Any] = models.JSONField(default=list)
    places: models.JSONField[Any, Any] = models.JSONField(default=list)

    class Meta:
        abstract = True
        constraints = [
            holds_a_list("serials", name="%(class)s_serials_are_a_list"),
            holds_a_list("any_fuel", name="%(class)s_any_fuel_is_a_list"),
            holds_a_list("all_fuels", name="%(class)s_all_fuels_is_a_list"),
            holds_a_list("places", name="%(class)s_places_are_a_list"),
        ]
