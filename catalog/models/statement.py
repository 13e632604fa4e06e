"""What makers say of parts at positions, and when it holds."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from catalog.domain.answers import SourceKind
from catalog.domain.parts import StatementKind
from catalog.models.applicability import Applicability
from catalog.models.engine import Position
from catalog.models.part import Part, Status
from catalog.models.typed_values import choices


class Statement(Applicability):
    """One sentence of one maker. `specification` repeats the position's, so that a question loads by one index."""

    kind = models.CharField(max_length=20, choices=choices(StatementKind))
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="statements")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, related_name="statements")
    by = models.CharField(max_length=60)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.ACTIVE)
    source_kind = models.CharField(max_length=20, choices=choices(SourceKind))
    source_citation = models.CharField(max_length=400, blank=True, default="")
    changed_in = models.PositiveBigIntegerField(default=0)

    class Meta(Applicability.Meta):
        indexes = [models.Index(fields=["specification", "position"], name="statement_at_a_position")]
        constraints = [
            *Applicability.Meta.constraints,
            models.CheckConstraint(condition=Q(specification__isnull=False), name="statement_is_about_an_engine"),
            models.CheckConstraint(condition=Q(kind__in=list(StatementKind)), name="statement_kind_is_known"),
            models.CheckConstraint(condition=~Q(by=""), name="statement_has_an_author"),
            models.CheckConstraint(condition=Q(status__in=Status.values), name="statement_status_is_known"),
            models.CheckConstraint(condition=Q(source_kind__in=list(SourceKind)), name="statement_source_is_known"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} by {self.by}"
