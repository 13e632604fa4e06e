"""A worker that is killed at any statement leaves nothing half saved, and the next one finishes with right counts."""

import signal
from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.utils import timezone

from catalog.models import Part, PartAttribute, SupplyStage
from catalog.usecases.catalogue_writes import MOST_AGGREGATES
from service.operations.models import Change, Job, JobProblem, JobState
from tests.api.world import Desk
from tests.imports.importer import Imported, outcome, queued
from tests.imports.killed_worker import Workers, workers

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
SOUND = 2 * MOST_AGGREGATES + 7
WRONG = 3
PREFIX = "KILL-"


def file() -> str:
    rows = [f"VRD,{PREFIX}{n:05d},spark_plug,maker,sheet,0.7" for n in range(SOUND)]
    rows += [f"VRD,{PREFIX}X{n},spark_plug,maker,sheet,seven" for n in range(WRONG)]
    rows[3:3] = ["VRD,KILL-TAKEN,spark_plug,maker,sheet,0.7 kPa gauge"]
    return "\n".join(["maker,number,category,source_kind,source,attr:gap [mm]", *rows])


@pytest.fixture
def worker(world: None) -> Iterator[Workers]:
    """With the day's housekeeping done, which is no part of the count."""
    SupplyStage.objects.all().delete()  # else a worker works every supply line out anew after each change
    with workers() as started:
        assert started.work().code == 0
        yield started


def written() -> tuple[int, int, int]:
    parts = Part.objects.filter(number__startswith=PREFIX)
    values = PartAttribute.objects.filter(part__in=parts)
    told = Change.objects.filter(
        kind="part.created", object_id__in=[str(part) for part in parts.values_list("pk", flat=True)]
    )
    return parts.count(), values.count(), told.count()


def taken_up_again(worker: Workers, job: Job) -> Imported:
    """The lease of the dead worker runs out, and another one works."""
    Job.objects.filter(pk=job.pk, state=JobState.RUNNING).update(lease_until=timezone.now() - timedelta(seconds=1))
    assert worker.work().code == 0
    return outcome(job)


def test_killed_at_any_point_nothing_is_half_saved_and_the_next_worker_finishes(desk: Desk, worker: Workers) -> None:
    job = queued(desk, file(), table="parts")
    whole = worker.work()
    assert whole.code == 0
    assert outcome(job).counts == (SOUND, 0, 0)
    for part in (0.3, 0.6, 0.9, 0.97):
        Part.objects.filter(number__startswith=PREFIX).delete()
        _killed(desk, worker, round(whole.statements * part))


def _killed(desk: Desk, worker: Workers, statement: int) -> None:
    job = queued(desk, file(), table="parts")
    assert worker.work(statement).code == -signal.SIGKILL
    job.refresh_from_db()
    parts, values, told = written()
    assert parts == values == told
    # One row of the first batch is refused when its batch comes.
    assert parts in (0, MOST_AGGREGATES - 1, 2 * MOST_AGGREGATES - 1, SOUND)
    assert parts == sum(counts["added"] for counts in job.checkpoint.get("written", {}).values())
    done = taken_up_again(worker, job)
    assert done.job.state == JobState.SUCCEEDED
    assert done.counts == (SOUND, 0, 0)
    assert written() == (SOUND, SOUND, SOUND)
    assert JobProblem.objects.filter(job=job).count() == done.job.errors == WRONG + 1


def test_all_or_nothing_killed_before_its_end_has_applied_nothing(desk: Desk, worker: Workers) -> None:
    sound = "\n".join(line for line in file().splitlines() if "seven" not in line and "TAKEN" not in line)
    job = queued(desk, sound, table="parts", mode="all_or_nothing")
    assert worker.work(70).code == -signal.SIGKILL
    assert written() == (0, 0, 0)
    assert taken_up_again(worker, job).counts == (SOUND, 0, 0)
    assert written() == (SOUND, SOUND, SOUND)
