"""A file of stock or prices that a dealer sent: what was in it, whether it was held, and who decided."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models
from django.db.models import Q
from django.db.models.functions import Length
from django.db.models.lookups import Exact

from service.operations.models import Dealer, Job, JobState, OwnedQuerySet, StoredFile
from service.operations.models.stored_file import NAME_LENGTH, SHA256_LENGTH

FEED_LENGTH = 60
WHY_LENGTH = 1000
_GOING_ON = (JobState.QUEUED, JobState.RUNNING)


class ImportState(models.TextChoices):
    """`held` waits for a person; `rejected` was refused by one; `failed` changed nothing: unread, old or wrong."""

    QUEUED = "queued"
    RUNNING = "running"
    HELD = "held"
    APPLIED = "applied"
    REJECTED = "rejected"
    FAILED = "failed"


class ImportMode(models.TextChoices):
    NORMAL = "normal"
    ALL_OR_NOTHING = "all_or_nothing"


class ImportTable(models.TextChoices):
    STOCK = "stock"
    PRICES = "prices"


class StockImportQuerySet(OwnedQuerySet["StockImport"]):
    def applied_of(self, dealer: Dealer, feed: str) -> StockImportQuerySet:
        """The files of one feed that were applied, the one in force first."""
        found = self.visible_to(dealer).filter(feed=feed, state=ImportState.APPLIED)
        return found.order_by("-supplied_on", "-applied_at")

    def before(self, row: StockImport) -> StockImportQuerySet:
        """Files of the same dealer and table that have to end before this one starts; none once it is running."""
        if row.state == ImportState.RUNNING:
            return self.none()
        first = Q(state=ImportState.RUNNING) | Q(state=ImportState.QUEUED, created_at__lt=row.created_at)
        at_work = self.filter(first, dealer=row.dealer_id, table=row.table, job__state__in=_GOING_ON)
        return at_work.exclude(pk=row.pk)


class StockImport(models.Model):
    """One file. Files of one `feed` are compared with the last one applied: what is a drop, what is older.

    `whole` says that it lists everything, so that what it does not list is none there. `counts` holds what was found
    in it (rows, leading zeros, header) and what applying it did; `held_for` why it waits, as code and words.
    `decided_*` is who released or rejected it, when and why.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="stock_imports")
    feed = models.CharField(max_length=FEED_LENGTH)
    table = models.CharField(max_length=10, choices=ImportTable.choices)
    file = models.ForeignKey(StoredFile, on_delete=models.SET_NULL, null=True, blank=True, related_name="stock_imports")
    file_name = models.CharField(max_length=NAME_LENGTH)
    sha256 = models.CharField(max_length=SHA256_LENGTH)
    dialect: models.JSONField[Any, Any] = models.JSONField(default=dict)
    mode = models.CharField(max_length=20, choices=ImportMode.choices, default=ImportMode.NORMAL)
    whole = models.BooleanField(default=False)
    declared_rows = models.PositiveIntegerField(null=True, blank=True)
    supplied_on = models.DateField()
    state = models.CharField(max_length=10, choices=ImportState.choices, default=ImportState.QUEUED)
    held_for: models.JSONField[Any, Any] = models.JSONField(default=list)
    counts: models.JSONField[Any, Any] = models.JSONField(default=dict)
    job = models.ForeignKey(Job, on_delete=models.SET_NULL, null=True, blank=True, related_name="stock_imports")
    created_at = models.DateTimeField()
    created_by = models.CharField(max_length=250, blank=True, default="")
    applied_at = models.DateTimeField(null=True, blank=True)
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.CharField(max_length=250, blank=True, default="")
    decided_why = models.CharField(max_length=WHY_LENGTH, blank=True, default="")

    objects = StockImportQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["dealer", "feed", "state", "supplied_on"], name="stockimport_last_of_feed")]
        constraints = [
            models.CheckConstraint(condition=~Q(feed="") & ~Q(file_name=""), name="stockimport_is_named"),
            models.CheckConstraint(condition=Q(table__in=ImportTable.values), name="stockimport_table_is_known"),
            models.CheckConstraint(condition=Q(mode__in=ImportMode.values), name="stockimport_mode_is_known"),
            models.CheckConstraint(condition=Q(state__in=ImportState.values), name="stockimport_state_is_known"),
            models.CheckConstraint(
                condition=Q(Exact(Length("sha256"), SHA256_LENGTH)), name="stockimport_hash_is_whole"
            ),
            models.CheckConstraint(
                condition=~Q(state=ImportState.APPLIED) | Q(applied_at__isnull=False),
                name="stockimport_applied_has_its_time",
            ),
            models.CheckConstraint(
                condition=Q(decided_at=None, decided_by="", decided_why="")
                | (Q(decided_at__isnull=False) & ~Q(decided_by="") & ~Q(decided_why="")),
                name="stockimport_decided_by_somebody_for_a_reason",
            ),
            models.CheckConstraint(
                condition=~Q(state=ImportState.REJECTED) | Q(decided_at__isnull=False),
                name="stockimport_rejected_by_somebody",
            ),
        ]
