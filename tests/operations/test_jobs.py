from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from service.errors import Conflict, FieldProblem, Problems
from service.operations import changes, jobs
from service.operations.models import Change, Dealer, Job, JobState
from tests.operations.workers import at_once

pytestmark = pytest.mark.db

BATCHES = 4
LATER = jobs.LEASE + timedelta(seconds=1)


def one_batch(lease: jobs.Lease, number: int) -> None:
    """One line in the feed for each batch, in the transaction of its checkpoint."""
    with transaction.atomic():
        changes.append(changes.NewChange("counted", "batch", number), lease.clock())
        problem = jobs.RowProblem(code="odd", detail="An odd one.", line=number, value="x" * 200)
        problems = [problem] if number % 2 else []
        lease.save({"next": number + 1}, jobs.Progress(number + 1, BATCHES, number // 2), lease.clock(), problems)


@jobs.register("test.count")
def count(lease: jobs.Lease) -> Mapping[str, Any]:
    for number in range(lease.checkpoint.get("next", 0), BATCHES):
        one_batch(lease, number)
    return {"counted": BATCHES}


@jobs.register("test.break")
def break_off(_lease: jobs.Lease) -> None:
    raise RuntimeError("the secret word is heron")


@jobs.register("test.refuse")
def refuse(_lease: jobs.Lease) -> None:
    raise Problems([FieldProblem("/file", "empty", "The file is empty; send one with rows.")])


@jobs.register("test.not_yet")
def not_yet(_lease: jobs.Lease) -> None:
    raise jobs.NotYet


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock(now: datetime) -> Clock:
    return Clock(now)


def taken_up(clock: Clock) -> tuple[Job, jobs.Lease]:
    job = jobs.claim_next(clock())
    assert job is not None
    return job, jobs.Lease(job, clock)


def batches_counted() -> list[str]:
    return list(Change.objects.order_by("seq").values_list("object_id", flat=True))


def test_a_queued_job_is_run_to_its_result(clock: Clock) -> None:
    job = jobs.enqueue("test.count", now=clock())
    assert jobs.run_due(clock) == 1
    job.refresh_from_db()
    assert (job.state, job.result, job.done, job.total) == (JobState.SUCCEEDED, {"counted": 4}, 4, 4)
    assert batches_counted() == ["0", "1", "2", "3"]
    assert jobs.run_due(clock) == 0


def test_row_problems_are_kept_in_order_with_their_values_cut(clock: Clock) -> None:
    job = jobs.enqueue("test.count", now=clock())
    jobs.run_due(clock)
    assert [(row.line, len(row.value)) for row in job.problems.all()] == [(1, 80), (3, 80)]


def test_a_killed_workers_job_goes_on_from_its_checkpoint_and_does_no_batch_twice(clock: Clock) -> None:
    job = jobs.enqueue("test.count", now=clock())
    _, dead = taken_up(clock)
    one_batch(dead, 0)
    one_batch(dead, 1)

    assert jobs.run_due(clock) == 0, "the lease still runs"
    clock.now += LATER
    assert jobs.run_due(clock) == 1
    job.refresh_from_db()
    assert (job.state, job.attempt) == (JobState.SUCCEEDED, 2)
    assert batches_counted() == ["0", "1", "2", "3"]


def test_a_worker_that_lost_its_lease_saves_nothing_more(clock: Clock) -> None:
    job = jobs.enqueue("test.count", now=clock())
    _, slow = taken_up(clock)
    clock.now += LATER
    _, fast = taken_up(clock)
    with pytest.raises(jobs.LeaseLost):
        one_batch(slow, 0)
    assert batches_counted() == []
    one_batch(fast, 0)

    slow.finish(JobState.SUCCEEDED, clock(), result={})
    job.refresh_from_db()
    assert job.state == JobState.RUNNING


def test_saving_holds_the_lease_for_longer(clock: Clock) -> None:
    jobs.enqueue("test.count", now=clock())
    _, lease = taken_up(clock)
    clock.now += jobs.LEASE - timedelta(seconds=1)
    one_batch(lease, 0)
    clock.now += jobs.LEASE - timedelta(seconds=1)
    assert jobs.claim_next(clock()) is None


def test_a_job_whose_worker_dies_every_time_is_given_up_with_a_problem(clock: Clock) -> None:
    job = jobs.enqueue("test.count", now=clock())
    for _ in range(3):
        taken_up(clock)
        clock.now += LATER
    assert jobs.claim_next(clock()) is None
    job.refresh_from_db()
    assert (job.state, job.attempt, job.problem["code"]) == (JobState.FAILED, 3, "job_given_up")


def test_a_job_that_breaks_off_is_tried_three_times_and_tells_no_inner_words(clock: Clock) -> None:
    job = jobs.enqueue("test.break", now=clock())
    tries = 0
    for _ in range(6):
        tries += jobs.run_due(clock)
        clock.now += jobs.WAIT_AFTER_A_FAILURE
    job.refresh_from_db()
    assert (tries, job.state) == (3, JobState.FAILED)
    assert "heron" not in str(job.problem)


def test_a_job_that_waits_for_another_is_asked_again_and_never_given_up(clock: Clock) -> None:
    job = jobs.enqueue("test.not_yet", now=clock())
    for _ in range(6):
        assert jobs.run_due(clock) == 1
        assert jobs.run_due(clock) == 0
        clock.now += jobs.WAIT_FOR_ANOTHER
    job.refresh_from_db()
    assert (job.state, job.attempt, job.lease_until) == (JobState.QUEUED, 0, None)


def test_a_refusal_in_words_ends_the_job_at_once(clock: Clock) -> None:
    job = jobs.enqueue("test.refuse", now=clock())
    jobs.run_due(clock)
    job.refresh_from_db()
    assert (job.state, job.attempt) == (JobState.FAILED, 1)
    assert job.problem["errors"] == [
        {"pointer": "/file", "code": "empty", "detail": "The file is empty; send one with rows."}
    ]


def test_a_waiting_job_is_cancelled_at_once(clock: Clock) -> None:
    job = jobs.enqueue("test.count", now=clock())
    jobs.cancel(job, clock())
    assert job.state == JobState.CANCELLED
    assert jobs.run_due(clock) == 0


def test_a_running_job_is_cancelled_at_its_next_save_and_that_batch_is_undone(clock: Clock) -> None:
    job = jobs.enqueue("test.count", now=clock())
    claimed, lease = taken_up(clock)
    one_batch(lease, 0)
    jobs.cancel(job, clock())
    assert job.state == JobState.RUNNING
    with pytest.raises(jobs.JobCancelled):
        one_batch(lease, 1)
    jobs.run(claimed, clock)
    job.refresh_from_db()
    assert (job.state, job.done) == (JobState.CANCELLED, 1)
    assert batches_counted() == ["0"]


def test_a_cancelled_job_whose_worker_died_is_not_taken_up_again(clock: Clock) -> None:
    job = jobs.enqueue("test.count", now=clock())
    taken_up(clock)
    jobs.cancel(job, clock())
    clock.now += LATER
    assert jobs.run_due(clock) == 0
    job.refresh_from_db()
    assert job.state == JobState.CANCELLED


def test_a_job_that_has_ended_cannot_be_cancelled(clock: Clock) -> None:
    job = jobs.enqueue("test.count", now=clock())
    jobs.run_due(clock)
    with pytest.raises(Conflict, match="succeeded"):
        jobs.cancel(job, clock())


def test_the_same_idempotency_text_gives_the_same_job(clock: Clock) -> None:
    first = jobs.enqueue("test.count", {"file": "a"}, now=clock(), idempotency="sha256:a")
    again = jobs.enqueue("test.count", {"file": "a"}, now=clock(), idempotency="sha256:a")
    assert (first.pk, Job.objects.count()) == (again.pk, 1)


def test_a_kind_without_a_handler_is_refused_when_it_is_added(clock: Clock) -> None:
    with pytest.raises(ValueError, match=r"test\.count"):
        jobs.enqueue("test.nothing", now=clock())


def test_jobs_are_taken_up_in_the_order_they_came_and_not_before_their_time(clock: Clock) -> None:
    early = jobs.enqueue("test.count", now=clock(), run_after=clock() + timedelta(hours=1))
    late = jobs.enqueue("test.count", now=clock() + timedelta(seconds=1), run_after=clock())
    assert taken_up(clock)[0] == late
    assert jobs.claim_next(clock()) is None
    clock.now += timedelta(hours=1)
    assert taken_up(clock)[0] == early


def test_a_dealer_sees_its_own_jobs_only(clock: Clock, tallis_bridge: Dealer, weir_lane: Dealer) -> None:
    job = jobs.enqueue("test.count", now=clock(), dealer=tallis_bridge)
    jobs.enqueue("test.count", now=clock())
    assert list(Job.objects.visible_to(tallis_bridge)) == [job]
    assert not Job.objects.visible_to(weir_lane).exists()


@pytest.mark.parametrize(
    "fields",
    [{"state": "running"}, {"state": "succeeded"}, {"state": "failed"}, {"attempt": 4}, {"state": "lost"}],
    ids=["running without a lease", "ended without an end", "failed without a problem", "tried too often", "unknown"],
)
def test_the_database_refuses_a_job_that_makes_no_sense(clock: Clock, fields: dict[str, Any]) -> None:
    job = jobs.enqueue("test.count", now=clock())
    with pytest.raises(IntegrityError), transaction.atomic():
        Job.objects.filter(pk=job.pk).update(**fields)


@pytest.mark.django_db(transaction=True)
def test_several_workers_at_once_take_up_each_job_once(clock: Clock) -> None:
    for _ in range(12):
        jobs.enqueue("test.count", now=clock())

    def work(_number: int) -> list[Job]:
        found = []
        while (job := jobs.claim_next(clock())) is not None:
            found.append(job)
        return found

    taken = [job.pk for found in at_once(4, work) for job in found]
    assert len(taken) == len(set(taken)) == 12
