"""Sending a file of tables to be imported, having the worker do it, and looking at what came of it."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from service.operations import jobs
from service.operations.models import Job, JobProblem
from tests.api.world import Desk

HEAD = "maker,maker_name,number,name,category,supplied_as,barcodes,source_kind,source"
SHEET = "maker,sheet of 2026"


@dataclass(frozen=True, slots=True)
class Imported:
    job: Job
    problems: tuple[tuple[int | None, str, str], ...]

    @property
    def counts(self) -> tuple[int, int, int]:
        result = self.job.result or {}
        return result["added"], result["changed"], result["unchanged"]

    def told(self, code: str) -> str:
        return JobProblem.objects.filter(job=self.job, code=code).values_list("detail", flat=True)[0]


def send(desk: Desk, content: str | bytes, *, key: str | None = None, name: str = "night.csv", **form: str) -> Any:
    """The answer to one upload."""
    data = content if isinstance(content, bytes) else content.encode()
    headers: Mapping[str, str] = {"Authorization": f"Bearer {desk.key}", "Idempotency-Key": key or uuid.uuid4().hex}
    return desk.client.post(
        "/api/v1/catalogue-imports/", {"file": SimpleUploadedFile(name, data), **form}, headers=headers
    )  # fmt: skip


def queued(desk: Desk, content: str | bytes, **form: str) -> Job:
    response = send(desk, content, **form)
    assert response.status_code == 202, response.content
    assert response.headers["Location"] == f"/api/v1/jobs/{response.json()['id']}/"
    return Job.objects.get(pk=response.json()["id"])


def imported(desk: Desk, content: str | bytes, **form: str) -> Imported:
    """The file imported by a worker in this process."""
    job = queued(desk, content, **form)
    jobs.run_due(timezone.now)
    return outcome(job)


def outcome(job: Job) -> Imported:
    job.refresh_from_db()
    rows = JobProblem.objects.filter(job=job).values_list("line", "column", "code")
    return Imported(job, tuple(rows))
