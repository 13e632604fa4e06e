"""The head of a machine's service record, and the one way in which anything below it is changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from typing import Any

from django.db import transaction

from catalog.models import Machine, Status
from catalog.usecases.machine_writing import Owner
from catalog.usecases.refusals import Gathered
from kits.models import ServiceFile
from kits.usecases.plan_writing import plan_of
from kits.usecases.refusals import PlanWithdrawn
from service.errors import DomainError, Invalid, Stale
from service.operations.changes import NewChange, append, lock_feed
from service.operations.models import Dealer

Row = Mapping[str, Any]


def file_of(machine: Machine) -> ServiceFile:
    """The machine's service file; one that was never written has version 0."""
    rows = ServiceFile.objects.select_related("plan__maker", "plan__specification")
    return rows.filter(machine=machine).first() or ServiceFile(machine=machine, version=0)


@contextmanager
def filed(machine: Machine, owner: Owner, *, version: int | None = None) -> Iterator[ServiceFile]:
    """A change of the record in one transaction, alone with the feed: it moves the file's version and is told.

    Raises Stale where `version` is given and the file has moved on since.
    """
    with transaction.atomic():
        lock_feed()
        file = file_of(machine)
        if version is not None and file.version != version:
            raise Stale("It has changed since it was read; read it again and send the new ETag in If-Match.")
        file.version += 1
        yield file
        file.save()
        payload = {"version": file.version}
        append(NewChange("service_file.changed", "machine", machine.pk, owner.dealer, payload), owner.now)


def change_file(machine: Machine, patch: Row, version: int, owner: Owner) -> ServiceFile:
    """Choose the plan, say since when it runs and whether all its work is on file; null takes a fact away.

    Raises what `Gathered.tell` raises, with every problem; Stale.
    """
    problems, plan = Gathered(), None
    with problems.each():
        plan = _plan(owner.dealer, patch)
    with problems.each():
        refuse_future(patch.get("in_service"), owner, "/in_service")
    problems.tell()
    with filed(machine, owner, version=version) as file:
        if "plan" in patch:
            file.plan = plan
        if "in_service" in patch:
            file.in_service = patch["in_service"]
        file.record_complete = patch.get("record_complete", file.record_complete)
    return file


def _plan(dealer: Dealer, patch: Row) -> Any:
    if patch.get("plan") is None:
        return None
    try:
        plan = plan_of(dealer, patch["plan"])
    except DomainError as error:
        error.pointer = "/plan"
        raise
    if plan.status == Status.WITHDRAWN:
        raise PlanWithdrawn(f"The service plan {plan.code} is withdrawn; choose another.", pointer="/plan")
    return plan


def refuse_future(day: date | None, owner: Owner, pointer: str) -> None:
    """Raises Invalid for a day after the dealer's today: nothing on record has happened yet."""
    today = owner.dealer.today(owner.now)
    if day is not None and day > today:
        words = f"{day.isoformat()} is after today, {today.isoformat()}; give the day on which it was."
        raise Invalid(words, pointer=pointer, code="in_the_future")
