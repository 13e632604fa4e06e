"""One write of the catalogue: the version moves, what was touched is stamped with it, and the feed says so."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from uuid import uuid4

from django.db import transaction
from django.db.models import F

from catalog.models import CatalogueState, SupplyStage
from service.operations import jobs
from service.operations.changes import NewChange, append_all, lock_feed

MOST_AGGREGATES = 500
LINE_DEMANDS = "line_demands"


@dataclass(slots=True)
class CatalogueWrite:
    """An open write. Nothing is counted as a write until `begin` is called: looking and finding no change is none."""

    version: int = 0
    changes: list[NewChange] = field(default_factory=list)

    def begin(self) -> int:
        """Move the version on, before the first row is written; answers the version to stamp rows with."""
        if not self.version:
            stamp = uuid4().hex
            if not CatalogueState.objects.update(version=F("version") + 1, stamp=stamp):
                CatalogueState.objects.create(version=1, stamp=stamp)
            self.version = CatalogueState.objects.values_list("version", flat=True).get()
        return self.version

    def touched(self, kind: str, object_type: str, object_id: object) -> None:
        self.changes.append(NewChange(kind, object_type, object_id, payload={"catalogue_version": self.version}))


@contextmanager
def catalogue_write(now: datetime, *, asks_lines: bool = True) -> Iterator[CatalogueWrite]:
    """A transaction that is alone in writing the catalogue, so that commit, version and feed keep one order.

    What changed may change what supply lines ask of their positions, which a job works out (`asks_lines`).
    """
    with transaction.atomic():
        lock_feed()
        write = CatalogueWrite()
        yield write
        append_all(write.changes, now)
        if asks_lines and write.version:
            work_out_lines(write.version, now)


def work_out_lines(version: int, now: datetime) -> None:
    """Queue the job that works out the lines' demands, where there are any lines."""
    if SupplyStage.objects.exists():
        jobs.enqueue(LINE_DEMANDS, now=now, idempotency=f"{LINE_DEMANDS}:{version}")
