"""What was read off a machine's meters: added as typed, held where it cannot be believed, reviewed by people."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from catalog.models import Machine
from catalog.usecases.answers import instant
from catalog.usecases.refusals import Gathered
from kits.domain.believing_readings import believed
from kits.domain.local_times import instant_in
from kits.domain.meters import Held, Reading, Review
from kits.loading import ServiceRecords, service_records
from kits.models import MachineMeter, MeterReading
from kits.usecases.branches import branch_meant
from kits.usecases.metering import By, meter_of, meter_text, steps_of
from kits.usecases.refusals import AlreadyReviewed, UnknownReading
from kits.usecases.service_files import filed, refuse_future
from service.errors import DomainError, Invalid

Row = Mapping[str, Any]
HeldReadings = Mapping[Reading, Held]


def add_reading(machine: Machine, row: Row, by: By) -> tuple[MeterReading, int]:
    """Add a reading; answers the file's version too. Raises what `Gathered.tell` raises, with every problem."""
    problems, meter, shows = Gathered(), None, 0
    with problems.each():
        meter = _meter(machine, row.get("meter"))
        shows = steps_of(row["value"], meter.unit, "/value")
    on, at = date.min, None
    with problems.each():
        on, at = _when(row, by)
    problems.tell()
    reading = MeterReading(
        meter=meter, on=on, at=at, shows=shows, entered_by=by.name, entered_at=by.owner.now, note=row.get("note") or ""
    )
    with filed(machine, by.owner) as file:
        reading.save(force_insert=True)
    return reading, file.version


def _meter(machine: Machine, code: str | None) -> MachineMeter:
    """The meter named, else the only one that is on the machine."""
    if code is not None:
        return meter_of(machine, code, "/meter")
    on_it = list(machine.meters.filter(removed_on=None).order_by("id"))
    if len(on_it) == 1:
        return on_it[0]
    known = ", ".join(meter.code for meter in on_it) or "none"
    words = f"Which meter was read? On {machine.name} now: {known}."
    raise Invalid(words, pointer="/meter", code="required")


def _when(row: Row, by: By) -> tuple[date, datetime | None]:
    """The day in the zone of the branch or the dealer, and the instant where one was given."""
    dealer, local = by.owner.dealer, row.get("at")
    zone = dealer.zone
    if row.get("branch") is not None:
        zone = branch_meant(dealer, row["branch"]).zone
    if local is None:
        day: date = row["on"]
        refuse_future(day, by.owner, "/on")
        return day, None
    try:
        found = instant_in(ZoneInfo(zone), local)
    except DomainError as error:
        error.pointer = "/at"
        raise
    if found > by.owner.now:
        raise Invalid(f"{found.isoformat()} has not come yet; when was it read?", pointer="/at", code="in_the_future")
    return found.date(), found.astimezone(UTC)


def review_reading(machine: Machine, number: UUID, verdict: Review, by: By) -> MeterReading:
    """Confirm or reject a reading, once. Raises UnknownReading, AlreadyReviewed."""
    reading = reading_of(machine, number)
    with filed(machine, by.owner):
        if not MeterReading.objects.review(reading.pk, verdict, at=by.owner.now, by=by.name):
            words = "Somebody has said already what this reading is; add a reading that is right."
            raise AlreadyReviewed(words, review=reading_of(machine, number).review)
    return reading_of(machine, number)


def reading_of(machine: Machine, number: UUID) -> MeterReading:
    found: MeterReading | None = readings_of(machine).filter(pk=number).first()
    if found is None:
        raise UnknownReading("There is no such reading of this machine.")
    return found


def readings_of(machine: Machine) -> Any:
    return MeterReading.objects.filter(meter__machine=machine).select_related("meter")


def held_today(machine: Machine, today: date) -> HeldReadings:
    """The readings that are not believed, of every meter, each with why."""
    return held_of(service_records([machine.pk])[machine.pk], today)


def held_of(records: ServiceRecords, today: date) -> HeldReadings:
    """The same of records that are at hand."""
    found: dict[Reading, Held] = {}
    for meter in records.meters:
        of_it = (reading for reading in records.readings if reading.meter == meter.code)
        found |= {held.reading: held for held in believed(meter, of_it, today)[1]}
    return found


def reading_documents(rows: Iterable[MeterReading], held: HeldReadings) -> list[dict[str, Any]]:
    return [reading_document(row, held) for row in rows]


def reading_document(row: MeterReading, held: HeldReadings) -> dict[str, Any]:
    """A reading as typed, whether it is believed, and who looked at it."""
    known = Reading(row.meter.code, row.on, row.shows, row.at, Review(row.review), row.entered_at)
    against = held.get(known)
    return {
        "id": str(row.pk),
        "meter": row.meter.code,
        "value": meter_text(row.meter, row.shows),
        "unit": row.meter.unit,
        "on": row.on.isoformat(),
        "at": row.at and instant(row.at),
        "entered_by": row.entered_by,
        "note": row.note or None,
        "review": row.review,
        "reviewed_by": row.reviewed_by or None,
        "reviewed_at": row.reviewed_at and instant(row.reviewed_at),
        "held": None if against is None else {"reason": against.reason.value, "words": against.words},
    }
