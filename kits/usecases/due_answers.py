"""What is due, as it is told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from catalog.domain.answers import Fact
from catalog.usecases.answers import source_document
from kits.domain.due import Due, point_words
from kits.domain.due_points import DuePoint
from kits.domain.engine_hours import MeterUnit, Tenths, plain_hours, steps_typed
from kits.domain.forecasting import OLD_AFTER
from kits.domain.meters import Held, LifetimeReading
from kits.domain.plans import levels_for
from kits.domain.windows import Window
from kits.models import ServicePlan
from kits.usecases.due_asking import MachineDue

Document = dict[str, Any]


def due_document(found: MachineDue, horizon_days: int | None = None) -> Document:
    """One machine's due list with all that it rests on."""
    return {
        **due_head(found),
        "horizon_days": horizon_days,
        "held": [_held(held, found) for held in found.life.held],
        "tasks": [task_document(due) for due in found.within(horizon_days)],
        "levels": _levels(found),
        "series": {
            "readings": [_read(reading) for reading in found.life.readings],
            "forecast": [{"hours": plain_hours(mark.hours), **window_document(mark.window)} for mark in found.ahead()],
        },
        "cautions": _cautions(found),
    }


def due_head(found: MachineDue) -> Document:
    """The machine, the plan it goes by and the hours it has run."""
    last = found.life.last
    return {
        "machine": {"id": str(found.asked.machine.id), "name": found.asked.machine.name},
        "as_of": found.as_of.isoformat(),
        "plan": None if found.asked.row is None else plan_name(found.asked.row),
        "lifetime": None if last is None else {**_read(last), "age_days": (found.as_of - last.on).days},
        "missing": facts((*found.asked.missing, *found.life.missing)),
    }


def plan_name(row: ServicePlan) -> Document:
    return {"id": str(row.pk), "code": row.code, "name": row.name, "version": row.version}


def task_document(due: Due) -> Document:
    """One task: at what it falls due, between which days, from what, and what is missing to say more."""
    forecast = due.forecast
    used: tuple[LifetimeReading, ...] = () if forecast is None else forecast.used
    return {
        "task": {
            "code": due.task.code,
            "name": due.task.name,
            "kind": due.task.kind.value,
            "subject": due.task.subject,
            "who": due.task.who.value,
            "source": source_document(due.task.source),
        },
        "state": due.state.value,
        **_point(due.point),
        "window": None if due.window is None else window_document(due.window),
        "decided_by": None if due.decided_by is None else due.decided_by.value,
        "readings_used": [_read(reading) for reading in used],
        "last_reading_age_days": None if forecast is None else forecast.age_days,
        "forecast_from": None if forecast is None else forecast.basis.value,
        "if_severe": None if due.if_severe is None else _point(due.if_severe),
        "missing": facts(due.missing),
        "words": due.words,
    }


def _point(point: DuePoint) -> Document:
    """`open` names the limits that are the earliest there can be, or not known, until what is missing is told."""
    opened = (("hours", point.hours_open), ("date", point.on_open))
    return {
        "due_at_hours": _hours(point.hours),
        "due_on": None if point.on is None else point.on.isoformat(),
        "open": [name for name, is_open in opened if is_open],
        "may_be_late": {"hours": plain_hours(point.late_hours), "days": point.late_days},
        "counted_from": point.since or None,
        "limits": point_words(point) or None,
        "settled": point.settled,
    }


def window_document(window: Window) -> Document:
    ends = {"earliest": window.earliest, "likely": window.likely, "latest": window.latest}
    return {name: None if day is None else day.isoformat() for name, day in ends.items()}


def facts(missing: Iterable[Fact]) -> list[Document]:
    return [{"fact": fact.name, "question": fact.question} for fact in missing]


def _read(reading: LifetimeReading) -> Document:
    return {"on": reading.on.isoformat(), "hours": plain_hours(reading.hours)}


def _hours(tenths: Tenths | None) -> str | None:
    return None if tenths is None else plain_hours(tenths)


def _held(held: Held, found: MachineDue) -> Document:
    units = {meter.code: meter.unit for meter in found.asked.records.meters}
    reading = held.reading
    return {
        "meter": reading.meter,
        "on": reading.on.isoformat(),
        "value": steps_typed(reading.shows, units.get(reading.meter, MeterUnit.HOURS)),
        "reason": held.reason.value,
        "words": held.words,
    }


def _levels(found: MachineDue) -> list[str]:
    """The levels that what is due now calls for."""
    plan = found.asked.plan
    return [] if plan is None else list(levels_for(plan.when, found.pressing))


def _cautions(found: MachineDue) -> list[Document]:
    """What a reader should know before relying on the list."""
    said = [("meter_gap", text) for text in found.life.cautions]
    said += [("meter_overlap", text) for text in found.life.twice]
    last, row = found.life.last, found.asked.row
    age = 0 if last is None else (found.as_of - last.on).days
    if age > OLD_AFTER:
        said.append(
            ("old_reading", f"The last reading is {age} days old; read the meter before you rely on forecasts.")
        )
    if found.life.held:
        said.append(("readings_held", "Readings are held that cannot be believed; somebody has to look at them."))
    if row is not None and row.status != "active":
        said.append(("plan_withdrawn", f"The service plan {row.code} that was chosen here is withdrawn."))
    if found.asked.records.profile(found.as_of) is None:
        said.append(("no_use_profile", "Nobody has said how this machine is used; forecasts know no season."))
    return [{"code": code, "text": text} for code, text in said]
