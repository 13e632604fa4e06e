"""Service plans: what is done to one kind of engine, when, and with which parts."""

from __future__ import annotations

import uuid
from typing import Self

from django.db import models
from django.db.models import Q, UniqueConstraint

from catalog.models import EngineSpecification, Maker, Part, Status
from catalog.models.typed_values import choices
from kits.domain.meters import Counts
from service.operations.models import Dealer

CODE_LENGTH = 60


class ServicePlanQuerySet(models.QuerySet["ServicePlan"]):
    def visible_to(self, dealer: Dealer | None) -> Self:
        """The shared plans, and this dealer's own."""
        shared = Q(dealer=None)
        return self.filter(shared if dealer is None else shared | Q(dealer=dealer))


class ServicePlan(models.Model):
    """Tasks, levels and joints in one `document` (`kits.domain.plan_documents`); without a dealer it is shared.

    It is for one specification, else for a maker's model, else only for machines whose file names it. `version` moves
    with every change, and `document` is read once for each version.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, null=True, blank=True, related_name="service_plans")
    code = models.CharField(max_length=CODE_LENGTH)
    name = models.CharField(max_length=200)
    maker = models.ForeignKey(Maker, on_delete=models.PROTECT, null=True, blank=True, related_name="service_plans")
    model = models.CharField(max_length=60, blank=True, default="")
    specification = models.ForeignKey(
        EngineSpecification, on_delete=models.PROTECT, null=True, blank=True, related_name="service_plans"
    )
    counts = models.CharField(max_length=10, choices=choices(Counts), default=Counts.ENGINE.value)
    document = models.TextField()
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.ACTIVE)
    version = models.PositiveIntegerField(default=1)
    changed_at = models.DateTimeField()

    objects = ServicePlanQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["maker", "model"], name="serviceplan_by_model")]
        constraints = [
            UniqueConstraint(
                "dealer", "code", condition=Q(dealer__isnull=False), name="serviceplan_code_once_a_dealer"
            ),
            UniqueConstraint("code", condition=Q(dealer=None), name="serviceplan_code_once_among_shared"),
            models.CheckConstraint(condition=~Q(code="") & ~Q(name=""), name="serviceplan_is_named"),
            models.CheckConstraint(condition=~Q(document=""), name="serviceplan_has_a_document"),
            models.CheckConstraint(
                condition=Q(maker=None, model="") | (Q(maker__isnull=False) & ~Q(model="")),
                name="serviceplan_model_of_a_maker",
            ),
            models.CheckConstraint(
                condition=Q(specification=None) | ~Q(model=""), name="serviceplan_specification_of_a_model"
            ),
            models.CheckConstraint(condition=Q(counts__in=list(Counts)), name="serviceplan_counts_is_known"),
            models.CheckConstraint(condition=Q(status__in=Status.values), name="serviceplan_status_is_known"),
            models.CheckConstraint(condition=Q(version__gte=1), name="serviceplan_version_counts_from_one"),
        ]


class PlanPart(models.Model):
    """A part that a plan's document names, derived from it: so the part stays, and where it is used can be asked."""

    plan = models.ForeignKey(ServicePlan, on_delete=models.CASCADE, related_name="plan_parts")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="plan_parts")

    class Meta:
        constraints = [UniqueConstraint("plan", "part", name="planpart_once_a_plan")]
