"""What counter staff ask somebody else to approve."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from catalog.models.check import Check
from service.operations.models import Dealer, OwnedQuerySet, Person


class ApprovalRequest(models.Model):
    """A conditional check laid before whoever may approve it, with what was typed. Once a check.

    It is answered by being declined here; an approval of the check answers it just as well, and is kept as its own
    row. `declined_why` is empty until then.
    """

    check_asked = models.OneToOneField(Check, on_delete=models.CASCADE, primary_key=True, related_name="request")
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="approval_requests")
    note = models.CharField(max_length=500)
    asked_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="approvals_asked")
    asked_at = models.DateTimeField()
    declined_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="approvals_declined"
    )
    declined_at = models.DateTimeField(null=True, blank=True)
    declined_why = models.CharField(max_length=500, blank=True, default="")

    objects = OwnedQuerySet["ApprovalRequest"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["dealer", "-asked_at"], name="approval_request_of_a_dealer")]
        constraints = [
            models.CheckConstraint(condition=~Q(note=""), name="approval_request_says_why"),
            models.CheckConstraint(
                condition=Q(declined_by=None, declined_at=None, declined_why="")
                | (Q(declined_by__isnull=False, declined_at__isnull=False) & ~Q(declined_why="")),
                name="approval_request_declined_with_a_reason",
            ),
        ]
