"""A worker that is killed at any statement leaves whole batches, and the next one finishes with right counts."""

import signal
from datetime import timedelta

import pytest
from django.utils import timezone

from catalog.models import Maker, Part, SupplyStage
from kits.models import ImportState, StockBatch, StockImport, StockItem
from kits.usecases.stock_importing import ROWS_AT_ONCE
from service.operations.models import Job, JobProblem, JobState
from tests.api.world import Desk
from tests.imports.killed_worker import Workers, workers
from tests.stock.sending import outcome, send

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
SOUND, WRONG = 2 * ROWS_AT_ONCE + 7, 2
BATCHES = (0, ROWS_AT_ONCE, 2 * ROWS_AT_ONCE, SOUND)


def queued(desk: Desk) -> str:
    rows = [f"main,VRD,KS-{n:05d},{n % 7}" for n in range(SOUND)] + ["main,VRD,KS-00000x,1", "main,VRD,3-Dec,1"]
    response = send(desk, "\n".join(["branch,maker,number,on_hand", *rows]), table="stock")
    assert response.status_code == 202, response.content
    number: str = response.json()["id"]
    return number


def test_killed_at_any_point_whole_batches_stand_and_the_next_worker_finishes(desk: Desk) -> None:
    SupplyStage.objects.all().delete()  # else the worker first works out every supply line, which takes minutes
    maker = Maker.objects.get(code="VRD")
    parts = [Part(maker=maker, number=f"KS-{n:05d}", category="seal") for n in range(SOUND)]
    for part in parts:
        part.derive_keys()
    Part.objects.bulk_create(parts, batch_size=500)
    with workers() as worker:
        assert worker.work().code == 0  # the day's housekeeping, which is no part of the count
        number = queued(desk)
        whole = worker.work()
        assert whole.code == 0
        assert outcome(number).counts == (SOUND, 0, 0)
        for share in (0.6, 0.9):
            StockBatch.objects.all().delete()
            StockItem.objects.all().delete()
            StockImport.objects.all().delete()
            _killed(queued(desk), worker, round(whole.statements * share))


def _killed(number: str, worker: Workers, statement: int) -> None:
    assert worker.work(statement).code == -signal.SIGKILL
    job = Job.objects.get(pk=number)
    written = StockBatch.objects.count()
    assert written in BATCHES
    assert written == job.checkpoint.get("applied", {}).get("added", 0)
    Job.objects.filter(pk=number, state=JobState.RUNNING).update(lease_until=timezone.now() - timedelta(seconds=1))
    assert worker.work().code == 0
    done = outcome(number)
    assert (done.row.state, done.counts) == (ImportState.APPLIED, (SOUND, 0, 0))
    assert StockBatch.objects.count() == SOUND
    assert JobProblem.objects.filter(job=done.job).count() == WRONG
