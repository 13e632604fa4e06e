"""Service plans and records of the invented dealership: brought in where there are none yet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from catalog.models import Machine
from catalog.usecases.machine_writing import Owner
from kits.domain.plan_documents import tenths_of
from kits.models import ServiceFile, ServicePlan
from kits.usecases.metering import By, add_meter
from kits.usecases.observations import add_observation
from kits.usecases.plan_writing import add_plan
from kits.usecases.readings import add_reading
from kits.usecases.service_files import change_file
from kits.usecases.services_done import add_service
from kits.usecases.use_profiles import add_profile
from service.operations.models import Dealer

Row = Mapping[str, Any]
DAYS = frozenset({"on", "fitted_on", "removed_on", "in_service", "said_on", "first", "last", "manufactured", "fitted"})
HOURS = frozenset({"hours", "least", "most"})


@dataclass(frozen=True, slots=True)
class Loaded:
    """How many plans and machines' records were brought in; the others were there."""

    plans: int
    machines: int


def load_service(plans: Sequence[Row], machines: Sequence[Row], dealer: Dealer, now: datetime) -> Loaded:
    """Add the shared plans that are not there, and the records of machines of which nothing is on file.

    Raises what the use cases of each raise, for what the files get wrong.
    """
    there = set(ServicePlan.objects.filter(dealer=None).values_list("code", flat=True))
    new = [plan for plan in plans if plan["code"] not in there]
    for plan in new:
        add_plan(plan, None, now)
    filed = set(ServiceFile.objects.filter(machine__dealer=dealer).values_list("machine__name", flat=True))
    rows = {row["machine"]: _read(row) for row in machines if row["machine"] not in filed}
    known = Machine.objects.visible_to(dealer).select_related("specification", "dealer").filter(name__in=rows)
    found = {machine.name: machine for machine in known}
    for name, row in rows.items():
        _put_on_file(found[name], row, By(Owner(dealer, now), "demo"))
    return Loaded(len(new), len(rows))


def _put_on_file(machine: Machine, row: Row, by: By) -> None:
    if "file" in row:
        change_file(machine, row["file"], 0, by.owner)
    for meter in row.get("meters", ()):
        add_meter(machine, meter, by)
    for reading in row.get("readings", ()):
        add_reading(machine, reading, by)
    for profile in row.get("profiles", ()):
        add_profile(machine, profile, by)
    for service in row.get("services", ()):
        add_service(machine, service, by)
    for seen in row.get("observations", ()):
        add_observation(machine, seen, by)


def _read(value: Any, name: str = "") -> Any:
    """A row of the file as a body is read: dates as dates, hours as tenths."""
    if isinstance(value, Mapping):
        return {key: _read(entry, key) for key, entry in value.items()}
    if isinstance(value, list):
        return [_read(entry) for entry in value]
    if not isinstance(value, str):
        return value
    if name in DAYS:
        return date.fromisoformat(value)
    return tenths_of(value) if name in HOURS else value
