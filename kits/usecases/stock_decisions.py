"""A person's decision about a file that is held: release it, or reject it for good."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from kits.models import ImportState, StockImport
from kits.usecases.stock_importing import KIND
from service.errors import Conflict, NotFound
from service.operations import changes, jobs
from service.operations.models import Dealer, JobState

_LEFT = (ImportState.QUEUED, ImportState.RUNNING)


class UnknownImport(NotFound):
    code = "unknown_import"


class NotHeld(Conflict):
    """Only a file that is held is released or rejected."""

    code = "not_held"


@dataclass(frozen=True, slots=True)
class Decision:
    """Who decides, when and why."""

    by: str
    at: datetime
    why: str


def import_of(dealer: Dealer, number: UUID) -> StockImport:
    """This dealer's import. Raises UnknownImport, for another dealer's too."""
    found = StockImport.objects.visible_to(dealer).select_related("job").filter(pk=number).first()
    if found is None:
        raise UnknownImport("There is no such stock import of yours.")
    return found


def release(row: StockImport, decision: Decision) -> StockImport:
    """Queue what was held to be applied as it is. Raises NotHeld."""
    with transaction.atomic():
        changes.lock_feed()
        job = jobs.enqueue(KIND, {"file": row.file_name, "table": row.table}, now=decision.at, dealer=row.dealer)
        _decide(row, decision, state=ImportState.QUEUED, job=job)
        _tell("released", row, decision)
    return import_of(row.dealer, row.pk)


def reject(row: StockImport, decision: Decision) -> StockImport:
    """What is in force stays so, and this file is never applied. Raises NotHeld."""
    with transaction.atomic():
        changes.lock_feed()
        _decide(row, decision, state=ImportState.REJECTED)
        _tell("rejected", row, decision)
    return import_of(row.dealer, row.pk)


def _decide(row: StockImport, decision: Decision, **columns: Any) -> None:
    held = StockImport.objects.filter(pk=row.pk, state=ImportState.HELD)
    if not held.update(decided_at=decision.at, decided_by=decision.by, decided_why=decision.why, **columns):
        raise NotHeld(f"This import is {state_of(row)}; only one that is held is released or rejected.")


def _tell(kind: str, row: StockImport, decision: Decision) -> None:
    change = changes.NewChange(f"stock_import.{kind}", "stock_import", row.pk, row.dealer, {"by": decision.by})
    changes.append(change, decision.at)


def state_of(row: StockImport) -> str:
    """Its state; failed too where its job was given up or cancelled on the way."""
    ended = row.job is not None and row.job.state in (JobState.FAILED, JobState.CANCELLED)
    return ImportState.FAILED.value if ended and row.state in _LEFT else str(row.state)


def import_document(row: StockImport) -> dict[str, Any]:
    decided = None
    if row.decided_at is not None:
        decided = {"by": row.decided_by, "at": _instant(row.decided_at), "why": row.decided_why}
    return {
        "id": str(row.pk),
        "state": state_of(row),
        "table": row.table,
        "feed": row.feed,
        "file": {"name": row.file_name, "sha256": row.sha256},
        "dialect": row.dialect,
        "mode": row.mode,
        "whole": row.whole,
        "supplied_on": row.supplied_on.isoformat(),
        "held_for": row.held_for,
        "counts": row.counts,
        "job": None if row.job_id is None else str(row.job_id),
        "created_at": _instant(row.created_at),
        "created_by": row.created_by,
        "applied_at": None if row.applied_at is None else _instant(row.applied_at),
        "decided": decided,
    }


def _instant(at: datetime) -> str:
    return at.isoformat().replace("+00:00", "Z")
