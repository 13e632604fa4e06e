"""Keys by which another system asks on behalf of a dealer. Only the hash of a key is kept."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import Exact

from service.operations.models.dealer import Dealer
from service.operations.models.owned import OwnedQuerySet
from service.operations.models.person import Person

ID_LENGTH = 8
HASH_LENGTH = 64
MOST_CALLS_PER_MINUTE = 1_000_000


class KeyMode(models.TextChoices):
    LIVE = "live"
    TEST = "test"


class Scope(models.TextChoices):
    CATALOGUE_READ = "catalogue:read"
    CATALOGUE_WRITE = "catalogue:write"
    CHECKS_WRITE = "checks:write"
    APPROVALS_WRITE = "approvals:write"
    MACHINES_WRITE = "machines:write"
    STOCK_READ = "stock:read"
    STOCK_WRITE = "stock:write"
    KITS_WRITE = "kits:write"
    ORDERS_WRITE = "orders:write"
    JOBS_READ = "jobs:read"
    JOBS_WRITE = "jobs:write"


class Key(models.Model):
    """One key: ``id8`` may be shown and logged, ``hash`` is SHA-256 (hex) of the whole text.

    ``calls_per_minute`` is the key's own limit, 0 for none; null where the service's holds.
    """

    id8 = models.CharField(max_length=ID_LENGTH, unique=True)
    hash = models.CharField(max_length=HASH_LENGTH)
    mode = models.CharField(max_length=4, choices=KeyMode.choices)
    name = models.CharField(max_length=200)
    scopes = models.JSONField(default=list)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="keys")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="keys")
    calls_per_minute = models.PositiveIntegerField(null=True, blank=True)
    expires_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    objects = OwnedQuerySet["Key"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(Exact(Length("id8"), ID_LENGTH)), name="key_id_is_whole"),
            models.CheckConstraint(condition=Q(Exact(Length("hash"), HASH_LENGTH)), name="key_hash_is_whole"),
            models.CheckConstraint(condition=Q(mode__in=KeyMode.values), name="key_mode_is_known"),
            models.CheckConstraint(condition=~Q(name=""), name="key_is_named"),
            models.CheckConstraint(
                condition=Q(calls_per_minute__isnull=True)
                | Q(calls_per_minute__gte=0, calls_per_minute__lte=MOST_CALLS_PER_MINUTE),
                name="key_limit_is_in_range",
            ),
        ]

    def allows(self, scope: str) -> bool:
        return scope in self.scopes
