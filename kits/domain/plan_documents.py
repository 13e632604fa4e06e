"""A plan's document, as it is kept and shown, in the domain's two shapes: when work falls due, and what it takes.

The document is `{"tasks": [...], "levels": [...], "joints": [...]}` with every member of every entry present. Hours are
decimal strings, spans `{"months", "days"}`, parts `{"maker", "number"}`; a trigger is told by its `kind`. A quantity is
whole pieces (`unit` "each") or a decimal string in a unit of volume. A joint whose `goods` are null opens like any
other, and nobody knows yet what it takes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from catalog.domain.answers import Source, SourceKind
from catalog.domain.applicability import Applicability
from catalog.domain.fuels import Fuel
from catalog.domain.parts import PartKey
from catalog.domain.quantities import quantity
from catalog.domain.serials import SerialRange
from kits.domain import kit_lines
from kits.domain.calendar_spans import Span
from kits.domain.engine_hours import MeterUnit, Tenths, tenths_read
from kits.domain.kit_lines import Choice, Joint, PartNeed, Per, Unit
from kits.domain.meters import Counts
from kits.domain.packing import Nature
from kits.domain.plans import Level, ServicePlan
from kits.domain.tasks import (
    AfterEvent,
    AgeClock,
    AgeLimit,
    Anchor,
    BeforeSeason,
    BeforeStorage,
    Every,
    EveryNth,
    Limits,
    Once,
    OnCondition,
    Task,
    TaskKind,
    Tolerance,
    Trigger,
    Worker,
)

Document = Mapping[str, Any]
TRIGGERS = (
    "every", "once", "every_nth", "age_limit", "on_condition", "before_season", "before_storage", "after_event",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ReadPlan:
    """One document in both shapes, joined by the codes of tasks; `work` has one entry for each task of `when`."""

    when: ServicePlan
    work: tuple[kit_lines.Task, ...]
    joints: tuple[Joint, ...]


def read_plan(code: str, counts: Counts, document: Document) -> ReadPlan:
    """A plan from a document whose form is known to be right; what it says may still be unsound (`plan_problems`)."""
    tasks = document["tasks"]
    return ReadPlan(
        ServicePlan(code, tuple(_task(row) for row in tasks), tuple(_levels(document["levels"])), counts),
        tuple(kit_lines.Task(row["code"], _needs(row["parts"]), tuple(row["opens"])) for row in tasks),
        tuple(Joint(row["code"], _needs(row["goods"])) for row in document["joints"] if row["goods"] is not None),
    )


def _levels(rows: Iterable[Document]) -> Iterable[Level]:
    return (Level(row["code"], row["name"], tuple(row["tasks"]), tuple(row["contains"])) for row in rows)


def needs_of(document: Document) -> Iterable[tuple[str, Document]]:
    """Every entry that names a position and its parts, each with the pointer to it."""
    for owner, member in (("tasks", "parts"), ("joints", "goods")):
        for at, row in enumerate(document[owner]):
            for index, need in enumerate(row[member] or ()):
                yield f"/{owner}/{at}/{member}/{index}", need


def parts_named(document: Document) -> frozenset[PartKey]:
    """Every part that any task or joint of the document may take."""
    choices = (choice for _, need in needs_of(document) for choice in need["choices"])
    return frozenset((choice["part"]["maker"], choice["part"]["number"]) for choice in choices)


def _task(row: Document) -> Task:
    tolerance = row["tolerance"]
    return Task(
        code=row["code"],
        name=row["name"],
        kind=TaskKind(row["kind"]),
        subject=row["subject"],
        trigger=_trigger(row["trigger"]),
        where=applicability_from(row["applicability"]),
        who=Worker(row["who"]),
        severe_percent=row["severe_percent"],
        tolerance=None if tolerance is None else Tolerance(tolerance["percent"], _source(tolerance["source"])),
        emission=row["emission"],
        warranty=row["warranty"],
        source=_source(row["source"]),
    )


def _trigger(row: Document) -> Trigger:  # noqa: PLR0911 - one for each kind
    match row["kind"]:
        case "every":
            first = row["first"]
            return Every(_limits(row), Anchor(row["anchor"]), None if first is None else _limits(first))
        case "once":
            return Once(_limits(row))
        case "every_nth":
            return EveryNth(row["of"], row["times"])
        case "age_limit":
            return AgeLimit(_span(row["span"]) or Span(), AgeClock(row["since"]))
        case "on_condition":
            return OnCondition(row["question"])
        case "before_season":
            return BeforeSeason()
        case "before_storage":
            return BeforeStorage()
        case _:
            return AfterEvent(row["event"])


def _limits(row: Document) -> Limits:
    return Limits(None if row["hours"] is None else tenths_of(row["hours"]), _span(row["span"]))


def _span(row: Document | None) -> Span | None:
    return None if row is None else Span(row["months"], row["days"])


def tenths_of(hours: str) -> Tenths:
    """Hours as a decimal string, with one digit after the point at most."""
    return tenths_read(hours, MeterUnit.HOURS)


def applicability_from(row: Document | None) -> Applicability:
    """When it holds; null and what is left empty ask nothing."""
    if row is None:
        return Applicability()
    spec = row["spec"]
    return Applicability(
        specification=None if spec is None else f"{spec['model']} {spec['spec']}",
        serials=tuple(SerialRange(entry["first"], entry["last"], entry["prefix"]) for entry in row["serials"]),
        any_fuel=tuple(Fuel.parse(text) for text in row["any_fuel"]),
        all_fuels=tuple(Fuel.parse(text) for text in row["all_fuels"]),
        places=tuple(row["places"]),
    )


def _source(row: Document) -> Source:
    return Source(SourceKind(row["kind"]), row["citation"])


def _needs(rows: Iterable[Document]) -> tuple[PartNeed, ...]:
    return tuple(_need(row) for row in rows)


def _need(row: Document) -> PartNeed:
    return PartNeed(
        position=row["position"],
        choices=tuple(_choice(choice) for choice in row["choices"]),
        quantity=amount_of(row["quantity"], row["unit"]),
        per=Per(row["per"]),
        unit=Unit.EACH if row["unit"] == Unit.EACH else Unit.MICROLITRE,
    )


def amount_of(amount: int | str | None, unit: str) -> int | None:
    """Pieces, or microlitres of a volume given as a decimal string in its unit. Raises what `quantity` raises."""
    return amount if amount is None or isinstance(amount, int) else quantity(amount, unit).amount


def _choice(row: Document) -> Choice:
    part = row["part"]["maker"], row["part"]["number"]
    return Choice(part, applicability_from(row["applicability"]), Nature(row["nature"]))
