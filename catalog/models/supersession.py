"""Numbers that replace numbers, as the makers publish it; nothing here says yet what that means for an engine."""

from __future__ import annotations

from django.db import models
from django.db.models import Q, UniqueConstraint

from catalog.domain.answers import SourceKind
from catalog.domain.supersessions import SupersessionKind
from catalog.models.applicability import Applicability
from catalog.models.part import Part, Status
from catalog.models.typed_values import choices


class Side(models.TextChoices):
    OLD = "old"
    NEW = "new"


class Supersession(Applicability):
    """One replacement. `both_ways` lets the old side be used up where it holds; it is stated, never assumed."""

    kind = models.CharField(max_length=20, choices=choices(SupersessionKind))
    both_ways = models.BooleanField(default=False)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.ACTIVE)
    source_kind = models.CharField(max_length=20, choices=choices(SourceKind))
    source_citation = models.CharField(max_length=400, blank=True, default="")
    changed_in = models.PositiveBigIntegerField(default=0)

    class Meta(Applicability.Meta):
        constraints = [
            *Applicability.Meta.constraints,
            models.CheckConstraint(condition=Q(kind__in=list(SupersessionKind)), name="supersession_kind_is_known"),
            models.CheckConstraint(
                condition=Q(both_ways=False) | ~Q(kind=SupersessionKind.DISCONTINUED.value),
                name="supersession_by_nothing_is_one_way",
            ),
            models.CheckConstraint(condition=Q(status__in=Status.values), name="supersession_status_is_known"),
            models.CheckConstraint(condition=Q(source_kind__in=list(SourceKind)), name="supersession_source_is_known"),
        ]


class SupersessionMember(models.Model):
    """A number on one side of a replacement, and how many; no number stands on both sides of one."""

    supersession = models.ForeignKey(Supersession, on_delete=models.CASCADE, related_name="members")
    side = models.CharField(max_length=3, choices=Side.choices)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="supersession_members")
    quantity = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            UniqueConstraint("supersession", "part", name="supersessionmember_on_one_side"),
            models.CheckConstraint(condition=Q(side__in=Side.values), name="supersessionmember_side_is_known"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="supersessionmember_is_not_empty"),
        ]
