"""What a part holds, and what else is needed to fit it."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q, UniqueConstraint

from catalog.models.part import Part


class PartContent(models.Model):
    """A part inside a kit or set, and how many.

    `only_together` marks the pieces of a matched set: they are never fitted apart, and a piece is of one such set.
    """

    container = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="contents")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="contained_in")
    quantity = models.PositiveIntegerField(default=1)
    only_together = models.BooleanField(default=False)

    class Meta:
        constraints = [
            UniqueConstraint("container", "part", name="partcontent_once_a_container"),
            UniqueConstraint(fields=["part"], condition=Q(only_together=True), name="partcontent_of_one_matched_set"),
            models.CheckConstraint(condition=~Q(container=F("part")), name="partcontent_is_not_itself"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="partcontent_is_not_empty"),
        ]


class PartNeed(models.Model):
    """A part that is needed as well when this one is fitted: a gasket, a washer, a bolt that stretches."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="needs")
    needed = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="needed_for")
    quantity = models.PositiveIntegerField(default=1)
    reason = models.CharField(max_length=200, blank=True, default="")

    class Meta:
        constraints = [
            UniqueConstraint("part", "needed", name="partneed_once_a_part"),
            models.CheckConstraint(condition=~Q(part=F("needed")), name="partneed_is_not_itself"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="partneed_is_not_empty"),
        ]
