"""What is on file of machines' service, as frozen values: six statements however many machines are asked for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from kits.domain.engine_hours import MeterUnit
from kits.domain.histories import ConditionSeen, EventSeen, FittedPart, History, ServiceDone
from kits.domain.meters import Counts, Meter, Reading, Review
from kits.domain.use_profile_documents import profile_from
from kits.domain.use_profiles import UseProfile
from kits.models import (
    MachineMeter,
    MeterReading,
    ObservationKind,
    ServiceFile,
    ServiceObservation,
    ServiceRecord,
)
from kits.models import (
    UseProfile as UseProfileRow,
)


@dataclass(frozen=True, slots=True)
class Said:
    on: date
    profile: UseProfile


@dataclass(frozen=True, slots=True)
class ServiceRecords:
    """One machine's rows. `version` is that of its service file, 0 where nothing was ever put on file."""

    version: int = 0
    chosen: UUID | None = None
    in_service: date | None = None
    complete: bool = False
    meters: tuple[Meter, ...] = ()
    readings: tuple[Reading, ...] = ()
    said: tuple[Said, ...] = ()
    done: tuple[ServiceDone, ...] = ()
    fitted: tuple[tuple[date, FittedPart], ...] = ()
    conditions: tuple[ConditionSeen, ...] = ()
    events: tuple[EventSeen, ...] = ()

    def profile(self, as_of: date) -> UseProfile | None:
        """The latest that was said on or before that day."""
        return next((said.profile for said in reversed(self.said) if said.on <= as_of), None)

    def history(self, as_of: date) -> History:
        """What was known on that day; of each subject the part that was noted last."""
        fitted = {part.subject: part for on, part in self.fitted if on <= as_of}
        return History(
            in_service=self.in_service,
            complete=self.complete,
            done=self.done,
            parts=tuple(fitted.values()),
            conditions=tuple(seen for seen in self.conditions if seen.on <= as_of),
            events=tuple(event for event in self.events if event.on <= as_of),
        )


def service_records(machines: Iterable[UUID]) -> dict[UUID, ServiceRecords]:
    """The records of each of these machines, those without any among them."""
    wanted = sorted(set(machines))
    if not wanted:
        return {}
    found = {number: _Gathering() for number in wanted}
    _add_meters(found, wanted)
    for row in UseProfileRow.objects.filter(machine__in=wanted).order_by("said_on", "id"):
        profile = profile_from(row.periods, severe=row.severe)
        found[row.machine_id].said.append(Said(row.said_on, profile))
    of_these, in_time = {"machine__in": wanted, "withdrawn_at": None}, ("on", "entered_at", "id")
    for record in ServiceRecord.objects.filter(**of_these).order_by(*in_time):
        done = ServiceDone(record.on, record.hours, tuple(record.tasks), tuple(record.levels))
        found[record.machine_id].done.append(done)
    for seen in ServiceObservation.objects.filter(**of_these).order_by(*in_time):
        found[seen.machine_id].see(seen)
    files = {row.machine_id: row for row in ServiceFile.objects.filter(machine__in=wanted)}
    return {number: gathered.records(files.get(number)) for number, gathered in found.items()}


def _add_meters(found: dict[UUID, _Gathering], wanted: list[UUID]) -> None:
    for row in MachineMeter.objects.filter(machine__in=wanted).order_by("id"):
        found[row.machine_id].meters.append(meter_from(row))
    columns = ("meter__machine", "meter__code", "on", "shows", "at", "review", "entered_at")
    rows = MeterReading.objects.filter(meter__machine__in=wanted).order_by("on", "id").values_list(*columns)
    for machine, code, on, shows, at, review, entered in rows:
        found[machine].readings.append(Reading(code, on, shows, at, Review(review), entered))


def meter_from(row: MachineMeter) -> Meter:
    return Meter(
        code=row.code,
        fitted_on=row.fitted_on,
        start=row.start,
        removed_on=row.removed_on,
        removed_at=row.removed_at,
        unit=MeterUnit(row.unit),
        counts=Counts(row.counts),
    )


@dataclass(slots=True)
class _Gathering:
    meters: list[Meter] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    said: list[Said] = field(default_factory=list)
    done: list[ServiceDone] = field(default_factory=list)
    fitted: list[tuple[date, FittedPart]] = field(default_factory=list)
    conditions: list[ConditionSeen] = field(default_factory=list)
    events: list[EventSeen] = field(default_factory=list)

    def see(self, row: ServiceObservation) -> None:
        if row.kind == ObservationKind.PART_FITTED:
            self.fitted.append((row.on, FittedPart(row.subject, row.manufactured, row.fitted)))
        elif row.kind == ObservationKind.CONDITION:
            self.conditions.append(ConditionSeen(row.task, row.on, bool(row.met)))
        else:
            self.events.append(EventSeen(row.event, row.on, row.hours))

    def records(self, file: ServiceFile | None) -> ServiceRecords:
        return ServiceRecords(
            version=file.version if file else 0,
            chosen=file.plan_id if file else None,
            in_service=file.in_service if file else None,
            complete=bool(file and file.record_complete),
            meters=tuple(self.meters),
            readings=tuple(self.readings),
            said=tuple(self.said),
            done=tuple(self.done),
            fitted=tuple(self.fitted),
            conditions=tuple(self.conditions),
            events=tuple(self.events),
        )
