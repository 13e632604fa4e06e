"""Approvals of conditional checks: added to, withdrawn, never changed otherwise."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any, NoReturn

from django.db import models
from django.db.models import F, Q

from catalog.domain.rules import Approver
from catalog.models.check import Check
from catalog.models.machine import FuelRecord, Machine, WorkOrder
from catalog.models.rulebook import DIGEST_LENGTH
from catalog.models.typed_values import choices
from service.operations.models import Dealer, OwnedQuerySet, Person

NEVER_CHANGED = "An approval is never changed; withdraw it and give another."


class ApprovalQuerySet(OwnedQuerySet[Any]):
    def update(self, **kwargs: Any) -> NoReturn:
        raise RuntimeError(NEVER_CHANGED)

    def delete(self) -> NoReturn:
        raise RuntimeError(NEVER_CHANGED)

    def withdraw(self, number: uuid.UUID, *, at: datetime, by: str, reason: str) -> bool:
        """Withdraw one that is not withdrawn yet; answers whether it was this that did it."""
        rows = self.filter(pk=number, withdrawn_at=None)
        return bool(super(ApprovalQuerySet, rows).update(withdrawn_at=at, withdrawn_by=by, withdrawn_reason=reason))


class Approval(models.Model):
    """A named person's yes to a conditional check.

    Name, role and licence are kept as they were that day. `binding` is the digest of what it is for and `bound_to` says
    it in words; both dates are in, in the dealer's zone. `fuel_record` is the confirmed one that a conversion rests on.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="approvals")
    approved_check = models.ForeignKey(Check, on_delete=models.PROTECT, related_name="approvals")
    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="approvals")
    binding = models.CharField(max_length=DIGEST_LENGTH)
    bound_to: models.JSONField[Any, Any] = models.JSONField(default=dict)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="approvals")
    name = models.CharField(max_length=200)
    role = models.CharField(max_length=20, choices=choices(Approver))
    licence_number = models.CharField(max_length=60, blank=True, default="")
    licence_area = models.CharField(max_length=60, blank=True, default="")
    licence_expires = models.DateField(null=True, blank=True)
    approved_at = models.DateTimeField()
    approved_on = models.DateField()
    first = models.DateField()
    last = models.DateField()
    work_order = models.ForeignKey(WorkOrder, on_delete=models.PROTECT, null=True, blank=True, related_name="approvals")
    fuel_record = models.ForeignKey(
        FuelRecord, on_delete=models.PROTECT, null=True, blank=True, related_name="approvals"
    )
    reason = models.CharField(max_length=1000)
    entered_by = models.CharField(max_length=250)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.CharField(max_length=250, blank=True, default="")
    withdrawn_reason = models.CharField(max_length=1000, blank=True, default="")

    objects = ApprovalQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["dealer", "binding"], name="approval_of_a_binding"),
            models.Index(fields=["dealer", "approved_at", "id"], name="approval_of_a_dealer"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(role__in=list(Approver)), name="approval_role_is_known"),
            models.CheckConstraint(condition=~Q(name="") & ~Q(reason=""), name="approval_has_name_and_reason"),
            models.CheckConstraint(
                condition=Q(first__gte=F("approved_on"), last__gte=F("first")), name="approval_dates_in_order"
            ),
            models.CheckConstraint(
                condition=~Q(role=Approver.GAS_TECHNICIAN.value)
                | (~Q(licence_number="") & ~Q(licence_area="") & Q(licence_expires__gte=F("approved_on"))),
                name="approval_technician_licence_in_force",
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at=None, withdrawn_by="", withdrawn_reason="")
                | (Q(withdrawn_at__isnull=False) & ~Q(withdrawn_by="") & ~Q(withdrawn_reason="")),
                name="approval_withdrawn_by_somebody_for_a_reason",
            ),
        ]

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise RuntimeError(NEVER_CHANGED)
        super().save(*args, force_insert=True)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise RuntimeError(NEVER_CHANGED)
