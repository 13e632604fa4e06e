"""The worker: one job after the other, housekeeping once a day, and an end after the job in hand."""

import threading
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from django.core.management import call_command
from django.utils import timezone

from service.management.commands.worker import Worker
from service.operations import jobs
from service.operations.models import Job, JobState

pytestmark = pytest.mark.db

KIND = "tell to stop"
STOP = threading.Event()


@jobs.register(KIND)
def tell_to_stop(lease: jobs.Lease) -> Mapping[str, Any]:
    STOP.set()
    return {}


@pytest.fixture
def stop() -> Iterator[threading.Event]:
    STOP.clear()
    yield STOP
    STOP.clear()


def states(kind: str) -> list[str]:
    return list(Job.objects.filter(kind=kind).order_by("created_at").values_list("state", flat=True))


def test_what_is_due_is_run_and_then_it_ends(stop: threading.Event) -> None:
    jobs.enqueue(KIND, now=timezone.now())
    call_command("worker", once=True)
    assert states(KIND) == [JobState.SUCCEEDED]


def test_the_days_housekeeping_is_done_once_however_often_a_worker_starts() -> None:
    for _ in range(2):
        call_command("worker", once=True)
    assert states("housekeeping") == [JobState.SUCCEEDED]


def test_told_to_stop_the_worker_finishes_the_job_in_hand_and_takes_no_other(stop: threading.Event) -> None:
    for _ in range(2):
        jobs.enqueue(KIND, now=timezone.now())
    Worker().work(stop, rest=0.01)
    assert states(KIND) == [JobState.SUCCEEDED, JobState.QUEUED]
