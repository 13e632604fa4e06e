"""What makers say of parts at positions, and when it holds."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q

from catalog.domain.answers import SourceKind
from catalog.domain.parts import StatementKind
from catalog.models.engine import EngineSpecification, Position
from catalog.models.json_columns import holds_a_list
from catalog.models.part import Part
from catalog.models.typed_values import choices


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


class Statement(Applicability):
    """One sentence of one maker. `specification` repeats the position's, so that a question loads by one index."""

    kind = models.CharField(max_length=20, choices=choices(StatementKind))
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="statements")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, related_name="statements")
    by = models.CharField(max_length=60)
    source_kind = models.CharField(max_length=20, choices=choices(SourceKind))
    source_citation = models.CharField(max_length=400, blank=True, default="")

    class Meta(Applicability.Meta):
        indexes = [models.Index(fields=["specification", "position"], name="statement_at_a_position")]
        constraints = [
            *Applicability.Meta.constraints,
            models.CheckConstraint(condition=Q(specification__isnull=False), name="statement_is_about_an_engine"),
            models.CheckConstraint(condition=Q(kind__in=list(StatementKind)), name="statement_kind_is_known"),
            models.CheckConstraint(condition=~Q(by=""), name="statement_has_an_author"),
            models.CheckConstraint(condition=Q(source_kind__in=list(SourceKind)), name="statement_source_is_known"),
        ]
