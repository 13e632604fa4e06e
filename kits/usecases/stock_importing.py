"""Importing a file of stock or prices: read whole, compared with what is in force, then written in batches.

What looks damaged is held: last night's stock stays in force until a person releases or rejects the file. A batch is
one transaction that ends with a checkpoint, so it is done once however often the job is taken up. All-or-nothing is
one transaction over all of them.
"""

from __future__ import annotations

import gc
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db import connection, transaction
from django.db.models import F

from kits.domain.stock_files.holding import (
    COLUMNS_RENAMED,
    Compared,
    FileFigures,
    Reason,
    no_good_row,
    reasons_to_hold,
    rows_refused,
)
from kits.domain.stock_files.reading import FileProblem
from kits.models import ImportMode, ImportState, StockBatch, StockImport
from kits.usecases.stock_import_files import ReadStockFile, read_stock_file, refuse_columns, refuse_out_of_order
from kits.usecases.stock_staging import Staged, compared, staged
from kits.usecases.stock_writing import Applied, Writing
from service.errors import DomainError, Invalid
from service.operations import changes, files, jobs
from service.operations.idempotency import Claim
from service.operations.models import Dealer, Job

KIND = "stock_import"
ROWS_AT_ONCE = 5_000
REST_BETWEEN_BATCHES = 0.005  # seconds in which others get their turn to write, where one writes at a time
MOST_TOLD = 200  # items named in the feed of which more is promised than was counted


@dataclass(frozen=True, slots=True)
class SentStockFile:
    """A file as it came, with how it is to be read and used."""

    content: bytes
    name: str
    table: str
    feed: str
    mode: str
    whole: bool
    supplied_on: date | None
    declared_rows: int | None
    dialect: Mapping[str, str | None]


def accept_stock_file(
    sent: SentStockFile, *, dealer: Dealer, by: str, now: datetime, idempotency: Claim, tell: Callable[[Job], Any]
) -> None:
    """Keep the file and queue its import, which has the id of its first job; the claim is completed as 202.

    Raises Invalid for a file of a day to come: no other of its feed would be loaded until then.
    """
    _refuse_future(sent.supplied_on, dealer.today(now))
    with transaction.atomic():
        job = open_import(sent, dealer=dealer, by=by, now=now)
        headers = {"Location": f"/api/v1/jobs/{job.pk}/", "Retry-After": "1"}
        idempotency.complete(202, tell(job), headers)


def _refuse_future(supplied_on: date | None, today: date) -> None:
    # Tomorrow has begun where some suppliers are.
    if supplied_on is not None and supplied_on > today + timedelta(days=1):
        words = f"{supplied_on} is after today, {today}; give the day that the file is of, or leave it out."
        raise Invalid(words, pointer="/supplied_on", code="in_the_future")


def open_import(sent: SentStockFile, *, dealer: Dealer, by: str, now: datetime) -> Job:
    """Keep the file and queue the job of its import, which has the same id. Belongs in a transaction."""
    kept = files.keep_file(sent.content, name=sent.name, dealer=dealer, now=now)
    job = jobs.enqueue(KIND, {"file": kept.name, "table": sent.table}, now=now, dealer=dealer)
    StockImport.objects.create(
        pk=job.pk,
        dealer=dealer,
        feed=sent.feed or sent.table,
        table=sent.table,
        file=kept,
        file_name=kept.name,
        sha256=kept.sha256,
        dialect=dict(sent.dialect),
        mode=sent.mode,
        whole=sent.whole,
        declared_rows=sent.declared_rows,
        supplied_on=sent.supplied_on or dealer.today(now),
        job=job,
        created_at=now,
        created_by=by,
    )
    return job


def run_stock_import(lease: jobs.Lease) -> dict[str, Any]:
    """Do an import, or go on with it.

    Raises NotYet where another has to end first, and what `read_stock_file` and the refusals of its module raise.
    """
    row = StockImport.objects.select_related("dealer").get(job=lease.job_id)
    if "result" in lease.checkpoint:
        return dict(lease.checkpoint["result"])
    _take_turn(row)
    try:
        return _Importing(row, lease).run()
    except DomainError as error:
        _end(row, ImportState.FAILED, {"refused": {"code": error.code, "detail": error.message}})
        raise


def _take_turn(row: StockImport) -> None:
    """Mark it as running: of a dealer's files of one table one runs at a time, in the order they were sent.

    One that was broken off keeps its turn while its job is to be taken up again. Raises NotYet for all others.
    """
    with transaction.atomic():
        changes.lock_feed()  # so that of two workers one sees what the other has marked
        if StockImport.objects.before(row).exists():
            raise jobs.NotYet
        StockImport.objects.filter(pk=row.pk, state=ImportState.QUEUED).update(state=ImportState.RUNNING)


class _Importing:
    """One run of one import."""

    def __init__(self, row: StockImport, lease: jobs.Lease) -> None:
        self.row, self.lease = row, lease
        self.released = row.decided_at is not None

    def run(self) -> dict[str, Any]:
        with ExitStack() as until_done:
            with _uncollected():
                read = read_stock_file(self.row)
                last = StockImport.objects.applied_of(self.row.dealer, self.row.feed).exclude(pk=self.row.pk).first()
                refuse_out_of_order(self.row, read, last)
                before = None if last is None else FileFigures.of(last.counts)
                if before is None or self.released:
                    refuse_columns(read)
                if read.missing or read.unknown:
                    return self._renamed(read, before)
                stage = until_done.enter_context(staged(read.table, read.header, read.rows, self.row.dealer))
                read.rows.stated.clear()  # they are in the stage, so neither memory nor collector is to keep them
            return self._decided(read, stage, before)

    def _decided(self, read: ReadStockFile, stage: Staged, before: FileFigures | None) -> dict[str, Any]:
        problems = sorted([*read.rows.problems, *stage.problems], key=lambda one: (one.line, one.column))
        if problems and self.row.mode == ImportMode.ALL_OR_NOTHING:
            return self._refused(read, problems, rows_refused(len({one.line for one in problems}), read.figures.rows))
        if not self.lease.checkpoint:
            reasons = () if self.released else reasons_to_hold(
                read.figures, before, compared(read.table, read.header)
            )  # fmt: skip
            if reasons:
                return self._held(read, problems, reasons)
            if not stage.sound:
                return self._refused(read, problems, no_good_row(read.figures.rows))
            progress = jobs.Progress(0, stage.count, len(problems))
            self.lease.save({"next": 0, "applied": asdict(Applied())}, progress, self.lease.clock(), _told(problems))
        return self._written(read, stage)

    def _written(self, read: ReadStockFile, stage: Staged) -> dict[str, Any]:
        writing = Writing(read.table, read.header, self.row)
        if self.row.mode == ImportMode.ALL_OR_NOTHING:
            with transaction.atomic():
                applied = writing.write(0, stage.count)
                return self._finished(read, stage, writing, applied)
        for start in range(int(self.lease.checkpoint["next"]), stage.count, ROWS_AT_ONCE):
            end = min(start + ROWS_AT_ONCE, stage.count)
            with transaction.atomic():
                applied = Applied(**self.lease.checkpoint["applied"]) + writing.write(start, end)
                progress = jobs.Progress(end, stage.count, self.lease.progress.errors)
                self.lease.save({"next": end, "applied": asdict(applied)}, progress, self.lease.clock())
            if connection.vendor == "sqlite":
                time.sleep(REST_BETWEEN_BATCHES)
        with transaction.atomic():
            return self._finished(read, stage, writing, Applied(**self.lease.checkpoint["applied"]))

    def _finished(self, read: ReadStockFile, stage: Staged, writing: Writing, applied: Applied) -> dict[str, Any]:
        """The last of it, in the transaction that puts the file in force."""
        changes.lock_feed()
        rest_kept = self.row.whole and bool(read.rows.nameless or stage.near)
        if self.row.whole and not rest_kept:
            applied += writing.empty_the_rest()
        now = self.lease.clock()
        short = self._overpromised(now)
        told = {"rest_kept": rest_kept, "overpromised": short}
        result = self._result(read, ImportState.APPLIED, applied, self.lease.progress.errors, told)
        applied_change = changes.NewChange(
            "stock_import.applied", "stock_import", self.row.pk, self.row.dealer, asdict(applied)
        )
        changes.append(applied_change, now)
        _end(self.row, ImportState.APPLIED, {"applied": asdict(applied), **told}, figures=read.figures, applied_at=now)
        progress = jobs.Progress(read.figures.rows, read.figures.rows, self.lease.progress.errors)
        self.lease.save({**self.lease.checkpoint, "result": result}, progress, now)
        return result

    def _overpromised(self, now: datetime) -> int:
        """Tell in the feed of which items more is promised than lies there, so that their kits are looked at again."""
        rows = StockBatch.objects.overpromised().filter(item__dealer=self.row.dealer)
        items = sorted(set(rows.values_list("item", flat=True)))
        changes.append_all(
            [
                changes.NewChange("stock_item.overpromised", "stock_item", item, self.row.dealer)
                for item in items[:MOST_TOLD]
            ],
            now,
        )
        return len(items)

    def _renamed(self, read: ReadStockFile, before: FileFigures | None) -> dict[str, Any]:
        """Held where columns of last time are gone, so that a person sees it; else it never was such a file."""
        reasons = reasons_to_hold(read.figures, before, Compared())
        if not any(reason.code == COLUMNS_RENAMED for reason in reasons):
            refuse_columns(read)
        return self._held(read, [], reasons)

    def _held(self, read: ReadStockFile, problems: list[FileProblem], reasons: tuple[Reason, ...]) -> dict[str, Any]:
        held_for = tuple(asdict(reason) for reason in reasons)
        return self._ended(read, problems, ImportState.HELD, {"held_for": list(held_for)}, held_for)

    def _refused(self, read: ReadStockFile, problems: list[FileProblem], reason: Reason) -> dict[str, Any]:
        return self._ended(read, problems, ImportState.FAILED, {"held_for": [], "refused": asdict(reason)})

    def _ended(
        self,
        read: ReadStockFile,
        problems: list[FileProblem],
        state: ImportState,
        why: Mapping[str, Any],
        held_for: tuple[dict[str, Any], ...] = (),
    ) -> dict[str, Any]:
        """End without having applied anything, and say why."""
        result = self._result(read, state, Applied(), len(problems), why)
        now = self.lease.clock()
        told = {name: said for name, said in why.items() if name == "refused"}
        with transaction.atomic():
            _end(self.row, state, told, figures=read.figures, held_for=held_for)
            progress = jobs.Progress(0, read.figures.rows, len(problems))
            self.lease.save({"result": result}, progress, now, _told(problems))
        return result

    def _result(
        self, read: ReadStockFile, state: ImportState, applied: Applied, problems: int, told: Mapping[str, Any]
    ) -> dict[str, Any]:
        return {
            "import": str(self.row.pk),
            "state": state.value,
            "file": {"name": self.row.file_name, "sha256": self.row.sha256},
            "table": self.row.table,
            "dialect": asdict(read.dialect),
            "mode": self.row.mode,
            "whole": self.row.whole,
            "supplied_on": self.row.supplied_on.isoformat(),
            "rows": read.figures.rows,
            "applied": state == ImportState.APPLIED,
            **asdict(applied),
            "problems": problems,
            **told,
        }


@contextmanager
def _uncollected() -> Iterator[None]:
    """Without the collector of cycles: a file's rows make none, and it would look through all of them many times."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _end(
    row: StockImport,
    state: ImportState,
    told: Mapping[str, Any],
    *,
    figures: FileFigures | None = None,
    held_for: tuple[dict[str, Any], ...] = (),
    applied_at: datetime | None = None,
) -> None:
    counts = {**({} if figures is None else figures.document()), **told}
    StockImport.objects.filter(pk=row.pk).update(
        state=state, counts=counts, held_for=list(held_for), applied_at=applied_at or F("applied_at")
    )


def _told(problems: list[FileProblem]) -> list[jobs.RowProblem]:
    return [
        jobs.RowProblem(one.code, one.detail, line=one.line, column=one.column[:120], value=one.value)
        for one in problems
    ]
