"""Requests that were given an idempotency key, and the answer each got."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models
from django.db.models import Q

from service.operations.models.dealer import Dealer

KEY_LENGTH = 255
PATH_LENGTH = 400


class IdempotencyRecord(models.Model):
    """One keyed request. Claimed under a lease while it runs; ``status`` is there once it has been answered.

    ``claim`` tells the holder of the lease from one who took over after it ran out. ``body`` is JSON text, not a
    JSON column, so that a repeat gets members in the order of the first answer on every database.
    """

    dealer = models.ForeignKey(Dealer, on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    method = models.CharField(max_length=10)
    path = models.CharField(max_length=PATH_LENGTH)
    key = models.CharField(max_length=KEY_LENGTH)
    fingerprint = models.CharField(max_length=64)
    claim = models.UUIDField(default=uuid.uuid4)
    lease_until = models.DateTimeField(null=True, blank=True)
    status = models.PositiveSmallIntegerField(null=True, blank=True)
    headers: models.JSONField[Any, Any] = models.JSONField(default=dict)
    body = models.TextField(default="")
    expires_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["dealer", "method", "path", "key"], name="idempotency_key_once_a_dealer"),
            # Two rows without a dealer count as different in the constraint above.
            models.UniqueConstraint(
                fields=["method", "path", "key"],
                condition=Q(dealer=None),
                name="idempotency_key_once_without_dealer",
            ),
            models.CheckConstraint(
                condition=Q(status=None, lease_until__isnull=False) | Q(status__isnull=False, lease_until=None),
                name="idempotency_leased_or_answered",
            ),
        ]

    @property
    def is_answered(self) -> bool:
        return self.status is not None
