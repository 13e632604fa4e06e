"""A machine's meters: fitted, taken off with what they showed, and put right where somebody wrote them down wrongly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from catalog.models import Machine
from catalog.usecases.machine_writing import Owner
from catalog.usecases.refusals import Gathered, Taken
from kits.domain.engine_hours import MeterUnit, steps_read, steps_typed
from kits.models import MachineMeter
from kits.usecases.refusals import MeterInUse, MeterRemoved, UnknownMeter
from kits.usecases.service_files import filed, refuse_future
from service.errors import DomainError, Invalid

Row = Mapping[str, Any]
REMOVAL = ("removed_on", "removed_at", "removed_by")


@dataclass(frozen=True, slots=True)
class By:
    """Who asks, by the name that is written down."""

    owner: Owner
    name: str


def meter_of(machine: Machine, code: str, pointer: str | None = None) -> MachineMeter:
    """Raises UnknownMeter, with the machine's meters."""
    meters = {row.code: row for row in machine.meters.order_by("id")}
    if code not in meters:
        known = ", ".join(meters) or "none yet"
        raise UnknownMeter(f"{machine.name} has no meter {code[:40]!r}; its meters: {known}.", pointer=pointer)
    return meters[code]


def add_meter(machine: Machine, row: Row, by: By) -> tuple[MachineMeter, int]:
    """Add a meter, and take off the one it replaces in the same change; answers the file's version too.

    Raises what `Gathered.tell` raises, with every problem; Taken for a code the machine has.
    """
    problems, old = Gathered(), None
    meter = MachineMeter(machine=machine, code=row["code"], unit=row["unit"], counts=row["counts"])
    with problems.each():
        _state(meter, row, by, "")
    if row.get("replaces") is not None:
        with problems.each():
            old = _replaced(machine, meter, row["replaces"], by)
    problems.tell()
    with filed(machine, by.owner) as file:
        if machine.meters.filter(code=meter.code).exists():
            raise Taken(
                f"{machine.name} has a meter {meter.code!r} already; give it a code of its own.", pointer="/code"
            )
        if old is not None:
            old.save()
        meter.save(force_insert=True)
    return meter, file.version


def _replaced(machine: Machine, meter: MachineMeter, row: Row, by: By) -> MachineMeter:
    old = meter_of(machine, row["meter"], "/replaces/meter")
    if old.removed_on is not None:
        words = f"Meter {old.code} was taken off on {old.removed_on.isoformat()} already; leave replaces out."
        raise MeterRemoved(words, pointer="/replaces/meter")
    removal = {**row, "removed_on": row.get("removed_on") or meter.fitted_on}
    if removal["removed_on"] is None:
        words = "Give the day the old meter was taken off, or the day the new one was fitted."
        raise Invalid(words, pointer="/replaces/removed_on", code="required")
    _state(old, {name: removal[name] for name in REMOVAL if name in removal}, by, "/replaces")
    fitted, removed = meter.fitted_on, removal["removed_on"]
    if fitted is not None and removed > fitted:
        words = f"{old.code} was taken off on {removed.isoformat()}, after the new one was fitted on "
        words += f"{fitted.isoformat()}: both would count the days between. Which day is right?"
        raise Invalid(words, pointer="/replaces/removed_on", code="order")
    return old


def change_meter(machine: Machine, meter: MachineMeter, patch: Row, version: int, by: By) -> int:
    """Take a meter off, or put right what is known of it; null takes a fact away. Answers the file's new version.

    Raises MeterInUse for another unit where it has readings, Stale, and what `Gathered.tell` raises.
    """
    unit = patch.get("unit", meter.unit)
    if unit != meter.unit and (meter.readings.exists() or meter.start is not None):
        words = f"Meter {meter.code} has readings in {meter.unit}; fit it anew under another code to count {unit}."
        raise MeterInUse(words, pointer="/unit")
    meter.unit, meter.counts = unit, patch.get("counts", meter.counts)
    _state(meter, patch, by, "")
    with filed(machine, by.owner, version=version) as file:
        meter.save()
    return file.version


def _state(meter: MachineMeter, row: Row, by: By, at: str) -> None:
    """Put dates and readings onto the row, unsaved. Raises what `Gathered.tell` raises, with every problem."""
    problems = Gathered()
    for name in ("fitted_on", "removed_on"):
        if name in row:
            with problems.each():
                refuse_future(row[name], by.owner, f"{at}/{name}")
                setattr(meter, name, row[name])
    for name in ("start", "removed_at"):
        if name in row:
            with problems.each():
                typed = row[name]
                setattr(meter, name, None if typed is None else steps_of(typed, meter.unit, f"{at}/{name}"))
    meter.removed_by = "" if meter.removed_on is None else row.get("removed_by") or meter.removed_by or by.name
    with problems.each():
        _refuse_impossible(meter, at)
    problems.tell()


def steps_of(text: str, unit: str, pointer: str) -> int:
    """A reading as typed, in the meter's own steps. Raises Invalid."""
    try:
        return steps_read(text, MeterUnit(unit))
    except DomainError as error:
        raise Invalid(error.message, pointer=pointer, code=error.code) from None


def _refuse_impossible(meter: MachineMeter, at: str) -> None:
    fitted, removed = meter.fitted_on, meter.removed_on
    if removed is None and meter.removed_at is not None:
        words = "A meter that showed something when it was taken off was taken off on a day; give removed_on."
        raise Invalid(words, pointer=f"{at}/removed_on", code="required")
    if fitted is not None and removed is not None and removed < fitted:
        words = f"It was taken off on {removed.isoformat()}, before it was fitted on {fitted.isoformat()}."
        raise Invalid(words, pointer=f"{at}/removed_on", code="order")
    if meter.removed_at is not None and meter.start is not None and meter.removed_at < meter.start:
        words = f"It cannot show less when taken off than the {meter_text(meter, meter.start)} it began at."
        raise Invalid(words, pointer=f"{at}/removed_at", code="order")


def meter_text(meter: MachineMeter, steps: int | None) -> str | None:
    return None if steps is None else steps_typed(steps, MeterUnit(meter.unit))


def meter_document(meter: MachineMeter) -> dict[str, Any]:
    """A meter as it is shown: readings as typed off it."""
    return {
        "code": meter.code,
        "unit": meter.unit,
        "counts": meter.counts,
        "fitted_on": meter.fitted_on and meter.fitted_on.isoformat(),
        "start": meter_text(meter, meter.start),
        "removed_on": meter.removed_on and meter.removed_on.isoformat(),
        "removed_at": meter_text(meter, meter.removed_at),
        "removed_by": meter.removed_by or None,
    }
