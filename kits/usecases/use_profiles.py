"""What people said of a machine's use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from catalog.models import Machine
from catalog.usecases.refusals import Gathered
from kits.domain.engine_hours import plain_hours
from kits.domain.use_profile_documents import period_document, period_from
from kits.models import UseProfile
from kits.usecases.metering import By
from kits.usecases.service_files import filed, refuse_future
from service.errors import DomainError, Invalid

Row = Mapping[str, Any]


def add_profile(machine: Machine, row: Row, by: By) -> tuple[UseProfile, int]:
    """Say how the machine is used from that day on. Raises what `Gathered.tell` raises, with every problem."""
    problems = Gathered()
    periods = _periods(row.get("periods") or (), problems)
    said_on: date = row.get("said_on") or by.owner.dealer.today(by.owner.now)
    with problems.each():
        refuse_future(said_on, by.owner, "/said_on")
    problems.tell()
    profile = UseProfile(
        machine=machine, said_on=said_on, said_by=row.get("said_by") or by.name, severe=row.get("severe"),
        periods=periods,
    )  # fmt: skip
    with filed(machine, by.owner) as file:
        profile.save(force_insert=True)
    return profile, file.version


def _periods(rows: Sequence[Row], problems: Gathered) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    for at, row in enumerate(rows):
        stated = {**row, **{name: plain_hours(row[name]) for name in ("least", "most")}}
        stated |= {name: row[name].isoformat() for name in ("first", "last") if row.get(name) is not None}
        try:
            found.append(period_document(period_from(stated)))
        except DomainError as error:
            problems.errors.append(Invalid(error.message, pointer=f"/periods/{at}", code=error.code))
    return found


def profile_document(row: UseProfile) -> dict[str, Any]:
    return {
        "id": row.pk,
        "said_on": row.said_on.isoformat(),
        "said_by": row.said_by,
        "severe": row.severe,
        "periods": row.periods,
    }
