"""One write of the catalogue: the version moves, what was touched is stamped with it, and the feed says so."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from uuid import uuid4

from django.db import transaction
from django.db.models import F

from catalog.models import CatalogueState
from service.operations.changes import NewChange, append_all, lock_feed

MOST_AGGREGATES = 500


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
def catalogue_write(now: datetime) -> Iterator[CatalogueWrite]:
    """A transaction that is alone in writing the catalogue, so that commit, version and feed keep one order."""
    with transaction.atomic():
        lock_feed()
        write = CatalogueWrite()
        yield write
        append_all(write.changes, now)
