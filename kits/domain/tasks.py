"""Pieces of service work: what is done to what, when it falls due, who may do it, and how late it may be.

Ways of falling due as maker and army manuals write them (sources beside the check values in `tests/reference`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from catalog.domain.answers import COMMON_PRACTICE, Source
from catalog.domain.applicability import Applicability
from kits.domain.calendar_spans import Span
from kits.domain.engine_hours import Tenths


class TaskKind(StrEnum):
    INSPECT = "inspect"
    CLEAN = "clean"
    ADJUST = "adjust"
    DRAIN = "drain"
    LUBRICATE = "lubricate"
    TEST = "test"
    REPLACE = "replace"
    REBUILD = "rebuild"
    EXAMINE = "examine"  # by a licensed person, on paper


# A new part has been looked at and is clean. Nothing else stands in for anything (common practice, no source).
COVERS: Mapping[TaskKind, frozenset[TaskKind]] = {
    TaskKind.REPLACE: frozenset({TaskKind.INSPECT, TaskKind.CLEAN}),
    TaskKind.REBUILD: frozenset({TaskKind.INSPECT, TaskKind.CLEAN}),
}


class Anchor(StrEnum):
    """What the next interval is counted from."""

    LAST_DONE = "last_done"
    FIXED_MULTIPLES = "fixed_multiples"  # of the interval, from new


class AgeClock(StrEnum):
    MANUFACTURE = "manufacture"
    FITTING = "fitting"


class Worker(StrEnum):
    """Who may do it."""

    OPERATOR = "operator"
    TECHNICIAN = "technician"
    GAS_TECHNICIAN = "gas_technician"
    MAKERS_DEALER = "makers_dealer"  # "authorised distributor or dealer only"
    LICENSED_EXAMINER = "licensed_examiner"


@dataclass(frozen=True, slots=True)
class Limits:
    """Lifetime hours in tenths, a span of the calendar, or both, whichever comes first."""

    hours: Tenths | None = None
    span: Span | None = None

    def shortened(self, percent: int) -> Limits:
        """The limits at that percentage, rounded down to a tenth of an hour and a day, and never to nothing."""
        hours = None if self.hours is None else max(1, self.hours * percent // 100)
        return Limits(hours, None if self.span is None else self.span.at_percent(percent))


@dataclass(frozen=True, slots=True)
class Every:
    """Again and again; `first` is the break-in service where it has limits of its own."""

    limits: Limits
    anchor: Anchor = Anchor.LAST_DONE
    first: Limits | None = None


@dataclass(frozen=True, slots=True)
class Once:
    """One time in the engine's life, counted from new."""

    limits: Limits


@dataclass(frozen=True, slots=True)
class EveryNth:
    """With every so many times that another task is done: an inner air element with every third outer one."""

    of: str
    times: int


@dataclass(frozen=True, slots=True)
class AgeLimit:
    """So old and no older, counted from the date the row names."""

    span: Span
    since: AgeClock


@dataclass(frozen=True, slots=True)
class OnCondition:
    """When something is seen; `question` asks for it at the machine."""

    question: str


@dataclass(frozen=True, slots=True)
class BeforeSeason:
    """Before each season of the machine's use opens."""


@dataclass(frozen=True, slots=True)
class BeforeStorage:
    """When each season of the machine's use closes."""


@dataclass(frozen=True, slots=True)
class AfterEvent:
    """After flood, over-speed, a change of fuel and the like."""

    event: str


Trigger: TypeAlias = Every | Once | EveryNth | AgeLimit | OnCondition | BeforeSeason | BeforeStorage | AfterEvent


EVERYWHERE = Applicability()


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How much of the interval it may be late or early, in percent, because a row of the plan grants it."""

    percent: int
    source: Source


@dataclass(frozen=True, slots=True)
class Task:
    """One row of a plan. `subject` is what the work is on: two rows of one subject can stand in for each other.

    `severe_percent` is what is left of the interval under severe duty, None where the row does not shorten it.
    """

    code: str
    name: str
    kind: TaskKind
    subject: str
    trigger: Trigger
    where: Applicability = EVERYWHERE
    who: Worker = Worker.TECHNICIAN
    severe_percent: int | None = None
    tolerance: Tolerance | None = None
    emission: bool = False
    warranty: bool = False
    source: Source = COMMON_PRACTICE

    @property
    def may_have_tolerance(self) -> bool:
        """Whether a row may grant any: never for age limits, examinations, emission and warranty work."""
        strict = self.emission or self.warranty or self.kind is TaskKind.EXAMINE
        return not strict and isinstance(self.trigger, Every)

    @property
    def tolerated_percent(self) -> int:
        """How much of its repeated interval it may be late; the break-in service has none (`due_points`)."""
        return self.tolerance.percent if self.tolerance is not None and self.may_have_tolerance else 0

    @property
    def may_come_early(self) -> bool:
        """Early is free but for emission work, whose intervals the rules limit (40 CFR 1048.125)."""
        return not self.emission

    def stands_in_for(self, other: Task) -> bool:
        """Whether doing this does the other one too."""
        return self.subject == other.subject and other.kind in COVERS.get(self.kind, frozenset())
