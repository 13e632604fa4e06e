"""The editors' list of what is wrong in the catalogue's data. It is the shared catalogue's and names no dealer."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import F, Q

from catalog.domain.data_errors import DataErrorKind
from catalog.models.json_columns import holds_a_list
from catalog.models.typed_values import choices

KEY_LENGTH = 200
NAME_LENGTH = 250


class ErrorState(models.TextChoices):
    OPEN = "open"
    CLOSED = "closed"


class DataError(models.Model):
    """One error, once: `key` says which, whoever comes upon it and however often.

    `parts` are those involved, as answers name them. `times_seen` counts how often it was come upon anew: at first,
    and again after an editor had closed it. `last_seen` moves at most once an hour. `revision` moves when it is opened
    or closed.
    """

    kind = models.CharField(max_length=20, choices=choices(DataErrorKind))
    key = models.CharField(max_length=KEY_LENGTH, unique=True)
    words = models.TextField()
    parts: models.JSONField[Any, Any] = models.JSONField(default=list)
    state = models.CharField(max_length=10, choices=ErrorState.choices, default=ErrorState.OPEN)
    times_seen = models.PositiveIntegerField(default=1)
    first_seen = models.DateTimeField()
    last_seen = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.CharField(max_length=NAME_LENGTH, blank=True, default="")
    reason = models.TextField(blank=True, default="")
    revision = models.PositiveBigIntegerField(default=1)

    class Meta:
        indexes = [models.Index(fields=["state", "id"], name="dataerror_by_state")]
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=list(DataErrorKind)), name="dataerror_kind_is_known"),
            models.CheckConstraint(condition=~Q(key="") & ~Q(words=""), name="dataerror_says_what_it_is"),
            models.CheckConstraint(
                condition=Q(state=ErrorState.OPEN, closed_at=None)
                | (Q(state=ErrorState.CLOSED, closed_at__isnull=False) & ~Q(reason="")),
                name="dataerror_is_closed_with_a_reason",
            ),
            models.CheckConstraint(condition=Q(first_seen__lte=F("last_seen")), name="dataerror_seen_in_order"),
            models.CheckConstraint(condition=Q(times_seen__gte=1), name="dataerror_was_seen"),
            holds_a_list("parts", name="dataerror_parts_are_a_list"),
        ]

    def __str__(self) -> str:
        return self.words[:80]
