"""A worker that is killed at any statement leaves whole batches, and the next one finishes with right counts."""

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

from catalog.models import Maker, Part, SupplyStage
from kits.models import ImportState, StockBatch, StockImport, StockItem
from kits.usecases.stock_importing import ROWS_AT_ONCE
from service.operations.models import Job, JobProblem, JobState
from tests.api.world import Desk, load_world
from tests.stock.sending import outcome, send

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
ROOT = Path(__file__).resolve().parents[2]
SOUND, WRONG = 2 * ROWS_AT_ONCE + 7, 2
BATCHES = (0, ROWS_AT_ONCE, 2 * ROWS_AT_ONCE, SOUND)


def work(kill_at: int = 0) -> subprocess.CompletedProcess[str]:
    settings = {name: connection.settings_dict[name] for name in ("NAME", "USER", "PASSWORD", "HOST", "PORT")}
    command = [sys.executable, "-m", "tests.imports.killed_worker", json.dumps(settings, default=str), str(kill_at)]
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "service.settings_test"}
    return subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)


def queued(desk: Desk) -> str:
    rows = [f"main,VRD,KS-{n:05d},{n % 7}" for n in range(SOUND)] + ["main,VRD,KS-00000x,1", "main,VRD,3-Dec,1"]
    response = send(desk, "\n".join(["branch,maker,number,on_hand", *rows]), table="stock")
    assert response.status_code == 202, response.content
    number: str = response.json()["id"]
    return number


def test_killed_at_any_point_whole_batches_stand_and_the_next_worker_finishes() -> None:
    desk = Desk.of(load_world())
    SupplyStage.objects.all().delete()  # else the worker first works out every supply line, which takes minutes
    maker = Maker.objects.get(code="VRD")
    parts = [Part(maker=maker, number=f"KS-{n:05d}", category="seal") for n in range(SOUND)]
    for part in parts:
        part.derive_keys()
    Part.objects.bulk_create(parts, batch_size=500)
    work()  # the day's housekeeping, which is no part of the count
    number = queued(desk)
    whole = work()
    assert whole.returncode == 0, whole.stderr
    assert outcome(number).counts == (SOUND, 0, 0)
    for share in (0.6, 0.9):
        StockBatch.objects.all().delete()
        StockItem.objects.all().delete()
        StockImport.objects.all().delete()
        _killed(queued(desk), round(int(whole.stdout) * share))


def _killed(number: str, statement: int) -> None:
    assert work(statement).returncode == -signal.SIGKILL
    job = Job.objects.get(pk=number)
    written = StockBatch.objects.count()
    assert written in BATCHES
    assert written == job.checkpoint.get("applied", {}).get("added", 0)
    Job.objects.filter(pk=number, state=JobState.RUNNING).update(lease_until=timezone.now() - timedelta(seconds=1))
    ended = work()
    assert ended.returncode == 0, ended.stderr
    done = outcome(number)
    assert (done.row.state, done.counts) == (ImportState.APPLIED, (SOUND, 0, 0))
    assert StockBatch.objects.count() == SOUND
    assert JobProblem.objects.filter(job=done.job).count() == WRONG
