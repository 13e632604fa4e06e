"""When the work on supply lines is queued: after every change of the catalogue, and of a machine that was rebuilt."""

from __future__ import annotations

from datetime import datetime

from catalog import loading
from catalog.models import Machine, SupplyStage
from service.operations import jobs

CATALOGUE, MACHINE = "line_demands", "machine_line_demands"


def plan_catalogue(now: datetime, *, since: int | None = None) -> int:
    """Queue the job where the catalogue has any line and has changed `since` a version; answers the version now.

    The job's own writing makes a version too; worked out again, it changes nothing and makes no further one.
    """
    version = loading.standing().version
    if version != since and SupplyStage.objects.exists():
        jobs.enqueue(CATALOGUE, now=now, idempotency=f"{CATALOGUE}:{version}")
    return version


def plan_machine(machine: Machine, now: datetime) -> None:
    """Queue the machine's own lines where it was rebuilt; belongs in the transaction that changes the machine."""
    lined = SupplyStage.objects.filter(specification=machine.specification_id)
    if machine.specification_id and machine.as_built.exists() and lined.exists():
        text = str(machine.pk)
        jobs.enqueue(MACHINE, {"machine": text}, now=now, idempotency=f"{MACHINE}:{text}:{machine.version}")
