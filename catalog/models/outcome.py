"""What became of checked parts, and the holds that follow from it."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models
from django.db.models import Q, UniqueConstraint

from catalog.domain.outcomes import OutcomeKind
from catalog.models.check import Check
from catalog.models.engine import EngineSpecification
from catalog.models.part import Part
from catalog.models.typed_values import choices
from service.operations.models import Dealer, OwnedQuerySet


class Outcome(models.Model):
    """What a dealer reports of a part that was checked. It is added to and never changed."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="outcomes")
    reported_check = models.ForeignKey(Check, on_delete=models.PROTECT, related_name="outcomes")
    kind = models.CharField(max_length=20, choices=choices(OutcomeKind))
    reported_on = models.DateField()
    by = models.CharField(max_length=250)
    note = models.CharField(max_length=1000, blank=True, default="")
    recorded_at = models.DateTimeField()

    objects = OwnedQuerySet["Outcome"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(kind__in=list(OutcomeKind)), name="outcome_kind_is_known"),
            models.CheckConstraint(condition=~Q(by=""), name="outcome_is_reported_by_somebody"),
        ]

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise RuntimeError("A reported outcome is never changed; report another.")
        super().save(*args, force_insert=True)


class HoldQuerySet(OwnedQuerySet[Any]):
    def open(self) -> Any:
        return self.filter(closed_at=None)


class Hold(models.Model):
    """One part at one position of one specification, on hold: for its dealer, and once confirmed for all.

    While it is open it stands in the part's derived `held` too. Closed it stays as it was.
    """

    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="holds")
    outcome = models.ForeignKey(Outcome, on_delete=models.PROTECT, related_name="holds")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="holds")
    specification = models.ForeignKey(EngineSpecification, on_delete=models.PROTECT, related_name="holds")
    position = models.CharField(max_length=60)
    confirmed_at = models.DateTimeField(null=True, blank=True)
    confirmed_by = models.CharField(max_length=250, blank=True, default="")
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.CharField(max_length=250, blank=True, default="")
    closed_reason = models.CharField(max_length=1000, blank=True, default="")

    objects = HoldQuerySet.as_manager()

    class Meta:
        constraints = [
            UniqueConstraint("outcome", "part", "specification", name="hold_once_an_outcome"),
            models.CheckConstraint(condition=~Q(position=""), name="hold_names_its_position"),
            models.CheckConstraint(
                condition=Q(confirmed_at=None, confirmed_by="") | (Q(confirmed_at__isnull=False) & ~Q(confirmed_by="")),
                name="hold_confirmed_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(closed_at=None, closed_by="", closed_reason="")
                | (Q(closed_at__isnull=False) & ~Q(closed_by="") & ~Q(closed_reason="")),
                name="hold_closed_by_somebody_for_a_reason",
            ),
        ]

    @property
    def state(self) -> str:
        """`own` to its dealer, `all` for everybody, or `closed`."""
        if self.closed_at is not None:
            return "closed"
        return "own" if self.confirmed_at is None else "all"
