"""The feed: what changed, in the order in which it was committed."""

from __future__ import annotations

from typing import Any, Self

from django.db import models
from django.db.models import Q

from service.operations.models.dealer import Dealer


class ChangeQuerySet(models.QuerySet["Change"]):
    def visible_to(self, dealer: Dealer | None) -> Self:
        """What is shared, and what is this dealer's own."""
        shared = Q(dealer=None)
        return self.filter(shared if dealer is None else shared | Q(dealer=dealer))


class Change(models.Model):
    """One change of one thing; without a dealer it is shared. Written by ``operations.changes`` alone."""

    seq = models.BigAutoField(primary_key=True)
    kind = models.CharField(max_length=60)
    object_type = models.CharField(max_length=60)
    object_id = models.CharField(max_length=60)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, null=True, blank=True, related_name="changes")
    payload: models.JSONField[Any, Any] = models.JSONField(default=dict)
    at = models.DateTimeField(db_index=True)

    objects = ChangeQuerySet.as_manager()

    class Meta:
        ordering = ["seq"]
        indexes = [models.Index(fields=["dealer", "seq"], name="change_of_a_dealer_in_order")]
        constraints = [
            models.CheckConstraint(
                condition=~Q(kind="") & ~Q(object_type="") & ~Q(object_id=""), name="change_names_its_object"
            ),
        ]


class FeedHorizon(models.Model):
    """One row: how far the feed has been cleared away, so that a reader who fell behind is told."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    cleared_through = models.PositiveBigIntegerField(default=0)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="feed_horizon_is_one_row")]
