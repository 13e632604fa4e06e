"""P7: files of prices imported, against the same rows read with the csv module and inserted as they come.

The other side is the least that could be done: the csv module, one insert of many rows (SQLite) or one COPY
(PostgreSQL), into a table without index or constraint, nothing looked up. Ours reads and checks every cell, finds each
part by its number, compares the prices with those in force and writes what differs, by the job and its checkpoints.
"""

from __future__ import annotations

import csv
import gc
import io
import statistics
import time
from collections.abc import Callable
from datetime import date
from functools import partial
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from catalog.models import Maker, Part
from kits.models import ImportState, StockImport, Supplier, SupplierPrice
from kits.usecases.stock_importing import SentStockFile, open_import
from service.operations import jobs
from service.operations.models import Dealer
from tests.benchmarks.measuring import Row
from tests.benchmarks.served import empty_database

# Rows of a file, and how often it is imported: the largest that is taken, and one of which many rounds are soon done.
ROUNDS = {20_000: 5, 100_000: 3}
AIMS = {"sqlite": 8.0, "postgresql": 24.0}
HEADER = ("supplier", "maker", "number", "price", "pack", "minimum", "lead_days", "supplier_number")


def measure() -> list[Row]:
    with empty_database():
        dealer = _catalogue(max(ROUNDS))
        return [row for rows in ROUNDS for row in _of_size(dealer, rows)]


def _of_size(dealer: Dealer, rows: int) -> list[Row]:
    content = _file(rows)
    _raw(content)
    times: dict[str, list[float]] = {"raw": [], "first": [], "repeat": []}
    for number in range(ROUNDS[rows]):
        SupplierPrice.objects.all().delete()
        load = partial(_imported, dealer, content, rows, number)
        for side, work in (("raw", partial(_raw, content)), ("first", load), ("repeat", load)):
            times[side].append(_timed(work))
    taken = {name: statistics.median(found) for name, found in times.items()}
    return [_row(rows, what, side, taken) for what, side in (("first load", "first"), ("the same again", "repeat"))]


def _row(rows: int, what: str, side: str, taken: dict[str, float]) -> Row:
    aim = AIMS[connection.vendor]
    ratio = taken[side] / taken["raw"]
    beside = {f"{name} ms": value * 1_000 for name, value in taken.items()}
    name = f"P7 {rows:,} prices, {what}, {connection.vendor}"
    return Row(name, ratio, "x csv and raw insert", f"<= {aim:.0f}", ratio <= aim, beside)


def _timed(work: Callable[[], Any]) -> float:
    gc.collect()
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def _catalogue(size: int) -> Dealer:
    dealer = Dealer.objects.create(code="bench", name="Bench")
    Supplier.objects.create(dealer=dealer, code="fenmoor", name="Fenmoor", zone="UTC", currency="USD")
    maker = Maker.objects.create(code="VRD", name="Veredin Motors")
    parts = [Part(maker=maker, number=_number(one), category="seal") for one in range(size)]
    for part in parts:
        part.derive_keys()
    Part.objects.bulk_create(parts, batch_size=500)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return dealer


def _number(one: int) -> str:
    return f"{one // 1000:04d}-{one % 1000:03d}"


def _file(rows: int) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(HEADER)
    writer.writerows(
        ("fenmoor", "VRD", _number(one), f"{one % 997 + 1}.{one % 100:02d}", 1 + one % 6, 6, one % 12, f"F{one:06d}")
        for one in range(rows)
    )
    return text.getvalue().encode()


def _raw(content: bytes) -> None:
    rows: Any = csv.reader(io.StringIO(content.decode(), newline=""))
    next(rows)
    columns = ", ".join(f"{name} text" for name in HEADER)
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("DROP TABLE IF EXISTS raw_rows")
        cursor.execute(f"CREATE TABLE raw_rows ({columns})")
        if connection.vendor == "postgresql":
            with cursor.copy("COPY raw_rows FROM STDIN") as copy:
                for row in rows:
                    copy.write_row(row)
        else:
            marks = ", ".join(["%s"] * len(HEADER))
            cursor.executemany(f"INSERT INTO raw_rows VALUES ({marks})", rows)  # noqa: S608 - marks alone


def _imported(dealer: Dealer, content: bytes, rows: int, number: int) -> None:
    sent = SentStockFile(
        content=content,
        name="prices.csv",
        table="prices",
        feed=f"{rows} rows, round {number}",
        mode="normal",
        whole=False,
        supplied_on=date(2026, 3, 9),
        declared_rows=rows,
        dialect={"separator": None, "decimal": None, "encoding": None},
    )
    with transaction.atomic():
        job = open_import(sent, dealer=dealer, by="bench", now=timezone.now())
    jobs.run_due(timezone.now)
    done = StockImport.objects.get(pk=job.pk)
    if done.state != ImportState.APPLIED or SupplierPrice.objects.count() != rows:
        raise RuntimeError(f"The import is {done.state}: {done.held_for} {done.counts}")
