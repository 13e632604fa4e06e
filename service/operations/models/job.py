"""Queued computer work. The row with its lease is the queue itself: there is no second record to disagree with."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models
from django.db.models import Q

from service.operations.models.dealer import Dealer
from service.operations.models.owned import OwnedQuerySet

MAX_ATTEMPTS = 3
VALUE_LENGTH = 80


class JobState(models.TextChoices):
    QUEUED = "queued"
    RUNNING = "running"
    SUCCEEDED = "succeeded"
    FAILED = "failed"
    CANCELLED = "cancelled"


FINISHED = (JobState.SUCCEEDED, JobState.FAILED, JobState.CANCELLED)


class Job(models.Model):
    """One piece of work.

    ``attempt`` counts how often it was taken up and fences off a worker that lost its lease. ``checkpoint`` is
    whatever the handler needs to go on from where the last saved batch ended.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=60)
    state = models.CharField(max_length=10, choices=JobState.choices, default=JobState.QUEUED)
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, null=True, blank=True, related_name="jobs")
    idempotency = models.CharField(max_length=200, unique=True, null=True, blank=True)
    input: models.JSONField[Any, Any] = models.JSONField(default=dict)
    checkpoint: models.JSONField[Any, Any] = models.JSONField(default=dict)
    done = models.PositiveBigIntegerField(default=0)
    total = models.PositiveBigIntegerField(null=True, blank=True)
    errors = models.PositiveBigIntegerField(default=0)
    result: models.JSONField[Any, Any] = models.JSONField(null=True, blank=True)
    problem: models.JSONField[Any, Any] = models.JSONField(null=True, blank=True)
    attempt = models.PositiveSmallIntegerField(default=0)
    created_at = models.DateTimeField()
    run_after = models.DateTimeField()
    lease_until = models.DateTimeField(null=True, blank=True)
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    cancel_asked_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    objects = OwnedQuerySet["Job"].as_manager()

    class Meta:
        indexes = [
            models.Index(
                fields=["created_at", "id"],
                condition=Q(state__in=[JobState.QUEUED, JobState.RUNNING]),
                name="job_open_in_order",
            ),
        ]
        constraints = [
            models.CheckConstraint(condition=~Q(kind=""), name="job_has_a_kind"),
            models.CheckConstraint(condition=Q(state__in=JobState.values), name="job_state_is_known"),
            models.CheckConstraint(
                condition=Q(state=JobState.RUNNING, lease_until__isnull=False)
                | (~Q(state=JobState.RUNNING) & Q(lease_until=None)),
                name="job_is_leased_while_running",
            ),
            models.CheckConstraint(
                condition=Q(state__in=FINISHED, finished_at__isnull=False)
                | (~Q(state__in=FINISHED) & Q(finished_at=None)),
                name="job_has_an_end_when_finished",
            ),
            models.CheckConstraint(
                condition=Q(state=JobState.FAILED, problem__isnull=False)
                | (~Q(state=JobState.FAILED) & Q(problem__isnull=True)),
                name="job_failed_with_a_problem",
            ),
            models.CheckConstraint(condition=Q(attempt__lte=MAX_ATTEMPTS), name="job_attempts_are_limited"),
        ]

    @property
    def is_finished(self) -> bool:
        return self.state in FINISHED


class JobProblem(models.Model):
    """One thing wrong with one row of what a job was given; ``value`` is what stood there, cut short."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="problems")
    line = models.PositiveBigIntegerField(null=True, blank=True)
    column = models.CharField(max_length=120, blank=True, default="")
    code = models.CharField(max_length=60)
    detail = models.TextField()
    value = models.CharField(max_length=VALUE_LENGTH, blank=True, default="")

    class Meta:
        ordering = ["id"]
