"""Background work. The ``Job`` row is the queue: whoever turns it to running holds it until the lease runs out.

A worker that dies leaves its lease to run out; the job is then taken up again from its last checkpoint. Handlers
save a checkpoint in the same transaction as each batch, so a batch is done once however often the job is taken up.
"""

from __future__ import annotations

import logging
import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import F, Q, QuerySet

from service.errors import Conflict, DomainError, Problems
from service.operations.models import Dealer, Job, JobProblem, JobState
from service.operations.models.job import MAX_ATTEMPTS, VALUE_LENGTH

log = logging.getLogger(__name__)

LEASE = timedelta(minutes=5)
WAIT_AFTER_A_FAILURE = timedelta(seconds=30)
WAIT_FOR_ANOTHER = timedelta(seconds=5)

Clock = Callable[[], datetime]


class JobCancelled(Exception):
    """Somebody asked for the job to stop; raised by ``Lease.save`` and to be let through."""


class LeaseLost(Exception):
    """Another worker has taken the job up; raised by ``Lease.save`` so that this one's batch is rolled back."""


class NotYet(Exception):
    """Other work has to end first; a handler raises it before it has done anything, and is asked again in a while."""


@dataclass(frozen=True, slots=True)
class Progress:
    done: int = 0
    total: int | None = None
    errors: int = 0


@dataclass(frozen=True, slots=True)
class RowProblem:
    """One thing wrong with one row of a job's input."""

    code: str
    detail: str
    line: int | None = None
    column: str = ""
    value: str = ""


class Lease:
    """A job in hand. ``checkpoint`` is what the last saved batch left, empty at the very start."""

    def __init__(self, job: Job, clock: Clock) -> None:
        self.job_id: uuid.UUID = job.pk
        self.dealer: Dealer | None = job.dealer
        self.input: Mapping[str, Any] = job.input
        self.checkpoint: Mapping[str, Any] = job.checkpoint
        self.progress = Progress(job.done, job.total, job.errors)
        self.clock = clock
        self._mine = Q(pk=job.pk, state=JobState.RUNNING, attempt=job.attempt)

    def save(
        self,
        checkpoint: Mapping[str, Any],
        progress: Progress,
        now: datetime,
        problems: Iterable[RowProblem] = (),
    ) -> None:
        """Keep how far the work has come and hold the lease for longer.

        Call it inside the transaction of the batch. Raises ``JobCancelled`` or ``LeaseLost``, either of which is
        to leave that transaction.
        """
        with transaction.atomic():
            kept = Job.objects.filter(self._mine, cancel_asked_at=None).update(
                checkpoint=dict(checkpoint),
                done=progress.done,
                total=progress.total,
                errors=progress.errors,
                heartbeat_at=now,
                lease_until=now + LEASE,
            )
            if not kept:
                raise JobCancelled if Job.objects.filter(self._mine).exists() else LeaseLost
            JobProblem.objects.bulk_create(_as_row(self.job_id, problem) for problem in problems)
        self.checkpoint, self.progress = dict(checkpoint), progress

    def finish(self, state: JobState, now: datetime, **fields: Any) -> None:
        """End the job, unless another worker has it by now."""
        Job.objects.filter(self._mine).update(state=state, finished_at=now, lease_until=None, **fields)

    def give_back(self, now: datetime) -> None:
        """Put the job back into the queue to be tried again a little later."""
        Job.objects.filter(self._mine).update(
            state=JobState.QUEUED, lease_until=None, run_after=now + WAIT_AFTER_A_FAILURE
        )

    def put_off(self, now: datetime) -> None:
        """Put the job back into the queue without having tried it: however long it waits, no attempt is used up."""
        Job.objects.filter(self._mine).update(
            state=JobState.QUEUED, lease_until=None, run_after=now + WAIT_FOR_ANOTHER, attempt=F("attempt") - 1
        )


Handler = Callable[[Lease], Mapping[str, Any] | None]
_handlers: dict[str, Handler] = {}


def register(kind: str) -> Callable[[Handler], Handler]:
    """Make a function the handler of a kind of job. Modules with handlers are imported by their AppConfig."""

    def keep(handler: Handler) -> Handler:
        if _handlers.setdefault(kind, handler) is not handler:
            raise RuntimeError(f"Job kind {kind!r} has a handler already: {_handlers[kind].__qualname__}.")
        return handler

    return keep


def enqueue(
    kind: str,
    input: Mapping[str, Any] | None = None,  # noqa: A002 - the name it has in the contract
    *,
    now: datetime,
    dealer: Dealer | None = None,
    idempotency: str | None = None,
    run_after: datetime | None = None,
) -> Job:
    """Add a job, or find the one already added under the same ``idempotency`` text."""
    if kind not in _handlers:
        raise ValueError(f"No handler for jobs of kind {kind!r}; there are {', '.join(sorted(_handlers)) or 'none'}.")
    fields = {"kind": kind, "input": dict(input or {}), "dealer": dealer}
    try:
        with transaction.atomic():
            return Job.objects.create(**fields, idempotency=idempotency, created_at=now, run_after=run_after or now)
    except IntegrityError:
        known = Job.objects.filter(idempotency=idempotency).first() if idempotency else None
        if known is None:
            raise
        return known


def jobs_of(dealer: Dealer | None) -> QuerySet[Job]:
    """This dealer's jobs; for people who belong to no dealer, those of the shared catalogue."""
    return Job.objects.filter(dealer=dealer)


def claim_next(now: datetime) -> Job | None:
    """Take up the oldest job that waits or whose worker has gone; none when nothing is due.

    The update repeats what was read, so of several workers that saw the same job one gets it.
    """
    _settle_abandoned(now)
    waiting = Q(state=JobState.QUEUED, run_after__lte=now)
    abandoned = Q(state=JobState.RUNNING, lease_until__lte=now)
    while True:
        job = Job.objects.filter(waiting | abandoned, attempt__lt=MAX_ATTEMPTS).order_by("created_at", "id").first()
        if job is None:
            return None
        unchanged = Q(pk=job.pk, state=job.state, attempt=job.attempt, lease_until=job.lease_until)
        taken = Job.objects.filter(unchanged, cancel_asked_at=job.cancel_asked_at).update(
            state=JobState.RUNNING, attempt=F("attempt") + 1, lease_until=now + LEASE, heartbeat_at=now
        )
        if taken:
            return Job.objects.select_related("dealer").get(pk=job.pk)


def cancel(job: Job, now: datetime) -> None:
    """Stop a job: at once while it waits, at its next save while it runs. Raises ``Conflict`` once it has ended."""
    waiting = Job.objects.filter(pk=job.pk, state=JobState.QUEUED)
    if waiting.update(state=JobState.CANCELLED, finished_at=now, cancel_asked_at=now):
        job.refresh_from_db()
        return
    asked = Job.objects.filter(pk=job.pk, state=JobState.RUNNING).update(cancel_asked_at=now)
    job.refresh_from_db()
    if not asked and job.state != JobState.CANCELLED:
        raise Conflict(
            f"The job has {job.state} already and cannot be cancelled.", code="job_finished", state=job.state
        )


def run_due(clock: Clock) -> int:
    """Work until nothing is due; answers how many jobs were taken up."""
    count = 0
    while (job := claim_next(clock())) is not None:
        run(job, clock)
        count += 1
    return count


def run(job: Job, clock: Clock) -> None:
    """Run one claimed job to its end, its cancellation or its next attempt."""
    lease = Lease(job, clock)
    try:
        result = _handler_of(job.kind)(lease)
    except JobCancelled:
        lease.finish(JobState.CANCELLED, clock())
    except NotYet:
        lease.put_off(clock())
    except LeaseLost:
        log.warning("Job %s was taken up by another worker.", job.pk)
    except DomainError as error:
        lease.finish(JobState.FAILED, clock(), problem=_told(error))
    except Exception:
        log.exception("Job %s (%s) broke off at attempt %s.", job.pk, job.kind, job.attempt)
        _after_a_fault(job, lease, clock())
    else:
        lease.finish(JobState.SUCCEEDED, clock(), result=dict(result or {}))


def _handler_of(kind: str) -> Handler:
    if kind not in _handlers:
        raise DomainError(f"Nothing here knows how to do a job of kind {kind!r}.", code="unknown_job_kind")
    return _handlers[kind]


def _after_a_fault(job: Job, lease: Lease, now: datetime) -> None:
    if job.attempt < MAX_ATTEMPTS:
        lease.give_back(now)
    else:
        lease.finish(JobState.FAILED, now, problem=_GIVEN_UP)


def _settle_abandoned(now: datetime) -> None:
    """End the jobs whose worker has gone and that are not to be taken up again."""
    gone = Job.objects.filter(state=JobState.RUNNING, lease_until__lte=now)
    ended = {"finished_at": now, "lease_until": None}
    gone.filter(cancel_asked_at__isnull=False).update(state=JobState.CANCELLED, **ended)
    gone.filter(attempt__gte=MAX_ATTEMPTS).update(state=JobState.FAILED, problem=_GIVEN_UP, **ended)


# No words of the fault itself: they are in the log, and may hold what the asker is not to see.
GIVEN_UP = "job_given_up"
_GIVEN_UP = {
    "code": GIVEN_UP,
    "detail": f"The job broke off {MAX_ATTEMPTS} times and was given up; it is a fault here, not in what was sent.",
}


def _told(error: DomainError) -> dict[str, Any]:
    told: dict[str, Any] = {"code": error.code, "detail": error.message}
    if isinstance(error, Problems):
        told["errors"] = [{"pointer": p.pointer, "code": p.code, "detail": p.detail} for p in error.problems]
    return told


def _as_row(job_id: uuid.UUID, problem: RowProblem) -> JobProblem:
    return JobProblem(
        job_id=job_id,
        line=problem.line,
        column=problem.column,
        code=problem.code,
        detail=problem.detail,
        value=problem.value[:VALUE_LENGTH],
    )
