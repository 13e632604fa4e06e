"""A worker that is killed at any statement leaves nothing half saved, and the next one finishes with right counts."""

import json
import os
import signal
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest
from django.db import connection
from django.utils import timezone

from catalog.models import Part, PartAttribute
from catalog.usecases.catalogue_writes import MOST_AGGREGATES
from service.operations.models import Change, Job, JobProblem, JobState
from tests.api.world import Desk, load_world
from tests.imports.importer import Imported, outcome, queued

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
ROOT = Path(__file__).resolve().parents[2]
SOUND = 2 * MOST_AGGREGATES + 7
WRONG = 3
PREFIX = "KILL-"


def file() -> str:
    rows = [f"VRD,{PREFIX}{n:05d},spark_plug,maker,sheet,0.7" for n in range(SOUND)]
    rows += [f"VRD,{PREFIX}X{n},spark_plug,maker,sheet,seven" for n in range(WRONG)]
    rows[3:3] = ["VRD,KILL-TAKEN,spark_plug,maker,sheet,0.7 kPa gauge"]
    return "\n".join(["maker,number,category,source_kind,source,attr:gap [mm]", *rows])


def work(kill_at: int = 0) -> subprocess.CompletedProcess[str]:
    settings = {name: connection.settings_dict[name] for name in ("NAME", "USER", "PASSWORD", "HOST", "PORT")}
    command = [sys.executable, "-m", "tests.imports.killed_worker", json.dumps(settings, default=str), str(kill_at)]
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "service.settings_test"}
    return subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)


def written() -> tuple[int, int, int]:
    parts = Part.objects.filter(number__startswith=PREFIX)
    values = PartAttribute.objects.filter(part__in=parts)
    told = Change.objects.filter(
        kind="part.created", object_id__in=[str(part) for part in parts.values_list("pk", flat=True)]
    )
    return parts.count(), values.count(), told.count()


def taken_up_again(job: Job) -> Imported:
    """The lease of the dead worker runs out, and another one works."""
    Job.objects.filter(pk=job.pk, state=JobState.RUNNING).update(lease_until=timezone.now() - timedelta(seconds=1))
    ended = work()
    assert ended.returncode == 0, ended.stderr
    return outcome(job)


def test_killed_at_any_point_nothing_is_half_saved_and_the_next_worker_finishes() -> None:
    desk = Desk.of(load_world())
    work()  # the day's housekeeping, which is no part of the count
    job = queued(desk, file(), table="parts")
    whole = work()
    assert whole.returncode == 0, whole.stderr
    statements, done = int(whole.stdout), outcome(job)
    assert done.counts == (SOUND, 0, 0)
    for part in (0.3, 0.6, 0.97):
        Part.objects.filter(number__startswith=PREFIX).delete()
        _killed(desk, round(statements * part))


def _killed(desk: Desk, statement: int) -> None:
    job = queued(desk, file(), table="parts")
    assert work(statement).returncode == -signal.SIGKILL
    job.refresh_from_db()
    parts, values, told = written()
    assert parts == values == told
    # One row of the first batch is refused when its batch comes.
    assert parts in (0, MOST_AGGREGATES - 1, 2 * MOST_AGGREGATES - 1, SOUND)
    assert parts == sum(counts["added"] for counts in job.checkpoint.get("written", {}).values())
    done = taken_up_again(job)
    assert done.job.state == JobState.SUCCEEDED
    assert done.counts == (SOUND, 0, 0)
    assert written() == (SOUND, SOUND, SOUND)
    assert JobProblem.objects.filter(job=job).count() == done.job.errors == WRONG + 1


def test_all_or_nothing_killed_before_its_end_has_applied_nothing() -> None:
    desk = Desk.of(load_world())
    work()
    sound = "\n".join(line for line in file().splitlines() if "seven" not in line and "TAKEN" not in line)
    job = queued(desk, sound, table="parts", mode="all_or_nothing")
    assert work(70).returncode == -signal.SIGKILL
    assert written() == (0, 0, 0)
    assert taken_up_again(job).counts == (SOUND, 0, 0)
    assert written() == (SOUND, SOUND, SOUND)
