"""Stock and prices of the invented dealership, loaded as a dealer's own nightly files are."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from kits.models import CalendarDay, ImportState, StockBatch, StockImport, Supplier, WorkCalendar
from kits.usecases.stock_importing import SentStockFile, open_import
from service.operations import jobs
from service.operations.models import Dealer

SUPPLIER, NAME, ZONE, CURRENCY = "fenmoor", "Fenmoor Engine & Pump", "Europe/Paris", "USD"
YEAR = 2026
CLOSED = (date(2026, 4, 3), date(2026, 4, 6))
SUPPLIED_ON = date(2026, 3, 9)
# Promised to jobs that the demo does not hold, by maker and number.
PROMISED: Mapping[tuple[str, str], int] = {("VRD", "0021-460"): 2, ("VRD", "4410-12"): 8}
_DIALECT = {"separator": "comma", "decimal": "point", "encoding": "utf-8"}


@dataclass(frozen=True, slots=True)
class LoadedStock:
    """Rows written, and rows left out because the catalogue lacks their part yet."""

    written: int = 0
    left_out: int = 0


def load_stock(files: Mapping[str, bytes], dealer: Dealer, clock: Callable[[], datetime]) -> LoadedStock:
    """Import each table's file, unless it is in force with every row of it."""
    open_supplier(dealer)
    before = set(StockBatch.objects.filter(item__dealer=dealer).values_list("pk", flat=True))
    written = left_out = 0
    for table, content in files.items():
        row = _imported(table, content, dealer, clock)
        if row is not None and row.job is not None:
            applied = row.counts.get("applied", {})
            written += applied.get("added", 0) + applied.get("changed", 0)
            left_out += row.job.errors
    _promise(dealer, before)
    return LoadedStock(written, left_out)


def open_supplier(dealer: Dealer) -> Supplier:
    """The supplier with the days it works."""
    with transaction.atomic():
        calendar, made = WorkCalendar.objects.get_or_create(
            dealer=dealer, code=SUPPLIER, defaults={"name": NAME, "first_year": YEAR, "last_year": YEAR}
        )
        if made:
            CalendarDay.objects.bulk_create(CalendarDay(calendar=calendar, date=day) for day in CLOSED)
        known = {"name": NAME, "zone": ZONE, "currency": CURRENCY, "calendar": calendar}
        supplier, _ = Supplier.objects.get_or_create(dealer=dealer, code=SUPPLIER, defaults=known)
    return supplier


def _imported(table: str, content: bytes, dealer: Dealer, clock: Callable[[], datetime]) -> StockImport | None:
    """The import that was made; None where the file is in force and nothing of it was left out."""
    sent = SentStockFile(
        content=content,
        name=f"{table}.csv",
        table=table,
        feed="",
        mode="normal",
        whole=False,
        supplied_on=SUPPLIED_ON,
        declared_rows=None,
        dialect=_DIALECT,
    )
    last = StockImport.objects.applied_of(dealer, table).select_related("file", "job").first()
    # A dealership that has sent a file of its own since is left as it is.
    if last is not None and (last.file_name != sent.name or (last.job is not None and not last.job.errors)):
        return None
    with transaction.atomic():
        job = open_import(sent, dealer=dealer, by="demo", now=clock())
    jobs.run_due(clock)
    row = StockImport.objects.select_related("job").get(pk=job.pk)
    if row.state != ImportState.APPLIED:
        raise RuntimeError(f"{sent.name} of the demo is {row.state}: {row.held_for or row.counts}")
    return row


def _promise(dealer: Dealer, before: set[int]) -> None:
    for (maker, number), pieces in PROMISED.items():
        rows = StockBatch.objects.filter(item__dealer=dealer, item__part__maker__code=maker, item__part__number=number)
        for batch in rows.exclude(pk__in=before):
            StockBatch.objects.reserve(batch.pk, pieces)
