"""Sending a file of stock or prices, having the worker do it, and looking at what came of it."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from kits.models import StockBatch, StockImport, SupplierPrice
from service.operations import jobs
from service.operations.models import Job, JobProblem
from tests.api.world import Desk


@dataclass(frozen=True, slots=True)
class Sent:
    """A file that was sent, after the worker."""

    job: Job
    row: StockImport
    problems: tuple[tuple[int | None, str, str], ...]

    @property
    def counts(self) -> tuple[int, int, int]:
        result = self.job.result or {}
        return result["added"], result["changed"], result["unchanged"]

    @property
    def reasons(self) -> list[str]:
        return [reason["code"] for reason in self.row.held_for]

    def told(self, code: str) -> str:
        return JobProblem.objects.filter(job=self.job, code=code).values_list("detail", flat=True)[0]


def send(desk: Desk, content: str | bytes, *, table: str, name: str = "night.csv", **form: str) -> Any:
    """The answer to one upload."""
    data = content if isinstance(content, bytes) else content.encode()
    headers: Mapping[str, str] = {"Authorization": f"Bearer {desk.key}", "Idempotency-Key": uuid.uuid4().hex}
    body = {"file": SimpleUploadedFile(name, data), "table": table, **form}
    return desk.client.post("/api/v1/stock-imports/", body, headers=headers)


def loaded(desk: Desk, content: str | bytes, *, table: str, **form: str) -> Sent:
    """The file loaded by a worker in this process."""
    response = send(desk, content, table=table, **form)
    assert response.status_code == 202, response.content
    number = response.json()["id"]
    jobs.run_due(timezone.now)
    return outcome(number)


def outcome(number: str) -> Sent:
    row = StockImport.objects.get(pk=number)
    assert row.job is not None
    rows = JobProblem.objects.filter(job=row.job).order_by("id").values_list("line", "column", "code")
    return Sent(row.job, row, tuple(rows))


def on_hand(number: str) -> int:
    return sum(StockBatch.objects.filter(item__part__number=number).values_list("on_hand", flat=True))


def price(number: str) -> int:
    return SupplierPrice.objects.get(part__number=number).price


def stock_file(rows: Mapping[str, int], *, header: str = "branch,maker,number,on_hand") -> str:
    return "\n".join([header, *(f"main,VRD,{number},{count}" for number, count in rows.items())])
