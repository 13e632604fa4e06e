"""Importing a file of tables: read whole, then written in batches, each of them done once however often it is begun.

A batch is one transaction: what it writes, what was wrong in it and how far the import has come are kept together or
not at all. All-or-nothing and dry runs are one transaction over all batches.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import datetime
from itertools import groupby
from operator import itemgetter
from typing import Any

from django.db import transaction

from catalog import loading
from catalog.domain.import_rows import Gathering, ImportProblem
from catalog.domain.import_tables import Aggregate
from catalog.domain.rules import Rulebook
from catalog.models import Part
from catalog.usecases.catalogue_writes import MOST_AGGREGATES, catalogue_write
from catalog.usecases.import_files import ImportOrder, Mode, ReadFile, Unit, read_import
from catalog.usecases.import_machines import import_machines
from catalog.usecases.import_outcomes import Batch
from catalog.usecases.import_parts import import_parts
from catalog.usecases.import_specifications import import_specifications
from catalog.usecases.import_statements import import_statements
from catalog.usecases.import_supersessions import import_supersessions
from catalog.usecases.part_writing import Written
from catalog.usecases.refusals import NoRulebook
from service.errors import Invalid
from service.operations import files, jobs
from service.operations.changes import NewChange
from service.operations.idempotency import Claim
from service.operations.models import Dealer, Job

KIND = "catalogue_import"
MOST_AT_ONCE = 20_000  # aggregates in one transaction: beyond, others would wait for their turn to write too long
MOST_CHANGES_SHOWN = 1_000
REST_BETWEEN_BATCHES = 0.005  # seconds in which others get their turn to write
# How each aggregate is written. Whatever is added to the registry of tables is added here.
WRITERS: Mapping[Aggregate, Callable[[Batch, Sequence[Gathering]], None]] = {
    Aggregate.PART: import_parts,
    Aggregate.SPECIFICATION: import_specifications,
    Aggregate.STATEMENT: import_statements,
    Aggregate.SUPERSESSION: import_supersessions,
    Aggregate.MACHINE: import_machines,
}


@dataclass(frozen=True, slots=True)
class SentFile:
    """A file as it came, with how it is to be read and used."""

    content: bytes
    name: str
    order: Mapping[str, Any]


@dataclass(slots=True)
class _Tally:
    """What came of the batches so far."""

    written: dict[str, Written] = field(default_factory=dict)
    problems: list[ImportProblem] = field(default_factory=list)
    changes: list[NewChange] = field(default_factory=list)

    def add(self, aggregate: Aggregate, batch: Batch) -> None:
        self.written[aggregate] = self.written.get(aggregate, Written()) + batch.written
        self.problems += batch.problems


def accept_import(
    sent: SentFile, *, dealer: Dealer | None, now: datetime, idempotency: Claim, tell: Callable[[Job], Any]
) -> None:
    """Keep the file and queue its import; the claim is completed with what `tell` makes of the job, as 202."""
    with transaction.atomic():
        kept = files.keep_file(sent.content, name=sent.name, dealer=dealer, now=now)
        order = ImportOrder.of({**sent.order, "file": str(kept.pk), "name": kept.name, "sha256": kept.sha256})
        job = jobs.enqueue(KIND, order.document(), now=now, dealer=dealer)
        headers = {"Location": f"/api/v1/jobs/{job.pk}/", "Retry-After": "1"}
        idempotency.complete(202, tell(job), headers)


def run_import(lease: jobs.Lease) -> dict[str, Any]:
    """Do an import, or go on with it. Raises TableRefused for a file that cannot be read as tables."""
    order = ImportOrder.of(lease.input)
    rulebook = _rulebook(lease.checkpoint)
    read = read_import(order, rulebook)
    if not lease.checkpoint:
        _begin(lease, read, rulebook)
    if order.mode is Mode.ALL_OR_NOTHING or order.dry_run:
        return _at_once(lease, order, read, rulebook)
    return _in_batches(lease, order, read, rulebook)


def _rulebook(checkpoint: Mapping[str, Any]) -> Rulebook:
    """The rulebook the import began with, so that rows are read alike to its end."""
    standing = loading.standing()
    number, digest = checkpoint.get("rulebook", (standing.rulebook, standing.digest))
    if not number:
        raise NoRulebook("No rulebook is published yet; load the reference data first.")
    return loading.load_rulebook(number, digest)


def _begin(lease: jobs.Lease, read: ReadFile, rulebook: Rulebook) -> None:
    """Keep what is wrong with the rows themselves, all of it, before anything is written."""
    wrong = read.found.problems
    progress = jobs.Progress(0, len(read.units), _stopping(wrong))
    checkpoint = {"rulebook": [rulebook.number, rulebook.digest], "next": 0, "written": {}}
    lease.save(checkpoint, progress, lease.clock(), _told(wrong, read))


def _in_batches(lease: jobs.Lease, order: ImportOrder, read: ReadFile, rulebook: Rulebook) -> dict[str, Any]:
    start = int(lease.checkpoint["next"])
    for end in range(start + MOST_AGGREGATES, len(read.units) + MOST_AGGREGATES, MOST_AGGREGATES):
        tally = _Tally({name: Written(**counts) for name, counts in lease.checkpoint["written"].items()})
        units = read.units[end - MOST_AGGREGATES : end]
        with transaction.atomic():
            _write(units, lease, read, rulebook, tally)
            checkpoint = {**lease.checkpoint, "next": end, "written": _counts(tally)}
            errors = lease.progress.errors + _stopping(tally.problems)
            done = jobs.Progress(min(end, len(read.units)), len(read.units), errors)
            lease.save(checkpoint, done, lease.clock(), _told(tally.problems, read))
        time.sleep(REST_BETWEEN_BATCHES)
    return _result(order, read, lease.checkpoint["written"], lease.progress.errors, applied=True)


def _at_once(lease: jobs.Lease, order: ImportOrder, read: ReadFile, rulebook: Rulebook) -> dict[str, Any]:
    """All batches in one transaction, kept only where nothing is wrong and it is no dry run."""
    if len(read.units) > MOST_AT_ONCE:
        words = f"{len(read.units)} entries are in the file; dry runs and all-or-nothing take at most {MOST_AT_ONCE}."
        raise Invalid(f"{words} Send it in parts.", code="too_many_rows")
    if "result" in lease.checkpoint:
        return dict(lease.checkpoint["result"])
    tally, before = _Tally(), lease.progress
    with transaction.atomic():
        for start in range(0, len(read.units), MOST_AGGREGATES):
            _write(read.units[start : start + MOST_AGGREGATES], lease, read, rulebook, tally)
        changes = _named(tally.changes) if order.dry_run else []
        wrong = before.errors + _stopping(tally.problems)
        applied = not order.dry_run and not wrong
        result = {**_result(order, read, _counts(tally), wrong, applied=applied), "changes": changes}
        if applied:
            _keep(lease, read, tally, result)
        else:
            transaction.set_rollback(True)
    if not applied:
        _keep(lease, read, tally, result)
    return result


def _keep(lease: jobs.Lease, read: ReadFile, tally: _Tally, result: Mapping[str, Any]) -> None:
    """Keep what came of all batches together; taken up again after this, the import has only to say so."""
    progress = jobs.Progress(len(read.units), len(read.units), result["problems"])
    lease.save({**lease.checkpoint, "result": result}, progress, lease.clock(), _told(tally.problems, read))


def _write(units: Sequence[Unit], lease: jobs.Lease, read: ReadFile, rulebook: Rulebook, tally: _Tally) -> None:
    """Write one batch in one version of the catalogue."""
    with catalogue_write(lease.clock()) as write:
        for aggregate, group in groupby(units, key=itemgetter(0)):
            named = frozenset(read.found.entries.get(aggregate, ()))
            batch = Batch(rulebook, write, lease.dealer, named, now=lease.clock())
            WRITERS[aggregate](batch, [entry for _, entry in group])
            tally.add(aggregate, batch)
        tally.changes += write.changes


def _told(problems: Sequence[ImportProblem], read: ReadFile) -> list[jobs.RowProblem]:
    """The problems as the job keeps them; where a workbook has several tables, each says which."""
    several = len(read.sheets) > 1
    return [
        jobs.RowProblem(
            code=problem.code,
            detail=f"Table {problem.cell.table}: {problem.detail}" if several else problem.detail,
            line=problem.cell.line,
            column=problem.cell.column[:120],
            value=problem.cell.value,
        )
        for problem in problems
    ]


def _stopping(problems: Sequence[ImportProblem]) -> int:
    return sum(problem.stops for problem in problems)


def _counts(tally: _Tally) -> dict[str, dict[str, int]]:
    return {name: asdict(written) for name, written in tally.written.items()}


def _named(changes: Sequence[NewChange]) -> list[dict[str, str]]:
    """What would change, in words; parts by their numbers."""
    shown = changes[:MOST_CHANGES_SHOWN]
    numbers = [int(str(change.object_id)) for change in shown if change.object_type == "part"]
    parts = {str(part.pk): part.shown for part in Part.objects.select_related("maker").filter(pk__in=numbers)}
    return [
        {"kind": change.kind, "name": parts.get(str(change.object_id), f"{change.object_type} {change.object_id}")}
        for change in shown
    ]


def _result(
    order: ImportOrder, read: ReadFile, written: Mapping[str, Mapping[str, int]], problems: int, *, applied: bool
) -> dict[str, Any]:
    totals = {name: sum(counts[name] for counts in written.values()) for name in ("added", "changed", "unchanged")}
    return {
        "file": {"name": order.name, "sha256": order.sha256},
        "tables": [
            {"table": sheet.name, "rows": len(sheet.rows) + len(sheet.damages), "dialect": asdict(sheet.dialect)}
            for sheet in read.sheets
        ],
        "mode": order.mode.value,
        "dry_run": order.dry_run,
        "applied": applied,
        **totals,
        "by_kind": {name: dict(counts) for name, counts in written.items()},
        "problems": problems,
    }
