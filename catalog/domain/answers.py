"""The closed vocabularies of a decision, and the small values every room shares."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeVar

T = TypeVar("T")


class Answer(StrEnum):
    """The outcome of one finding."""

    MET = "met"
    MET_IF = "met_if"  # carries its condition in words
    NOT_MET = "not_met"
    UNKNOWN = "unknown"  # a needed fact is missing, and the finding names it


class Verdict(StrEnum):
    ACCEPTED = "accepted"
    CONDITIONAL = "conditional"
    UNDETERMINED = "undetermined"
    REJECTED = "rejected"


class Effect(StrEnum):
    """What a finding does to the verdict, weakest first; `NOT_ASKED` says that the rule does not apply here."""

    NOT_ASKED = "not_asked"
    NONE = "none"
    NOTE = "note"
    CONDITION = "condition"
    UNDETERMINED = "undetermined"
    REJECT = "reject"


class Basis(StrEnum):
    """Where a demand or an offer comes from."""

    STATED = "stated"
    COMPUTED = "computed"
    CODE_FLOOR = "code_floor"
    SPECIFIED_PART = "specified_part"
    FUEL_RECORD = "fuel_record"
    PLATE = "plate"
    COUNTER = "counter"
    PART_DATA = "part_data"
    MAKER_STATEMENT = "maker_statement"


class TakenOver(StrEnum):
    """What it means to take a demand over from the part specified at the position."""

    SAME = "same"
    PROTECTS = "protects"
    CAPACITY = "capacity"
    CLEARANCE = "clearance"
    NONE = "none"


class Aspect(StrEnum):
    """What a rule is about; decides which statements and told facts can settle it."""

    FIT = "fit"
    PERFORMANCE = "performance"
    MATERIAL = "material"
    GATE = "gate"
    PHASE = "phase"
    PRESSURE = "pressure"
    SHUT_OFF = "shut_off"
    RELIEF = "relief"
    EMISSION = "emission"
    LISTING = "listing"  # what a hazardous place or a truck type asks to be listed for


# A listing by the part's own maker settles these and nothing else.
SETTLED_BY_LISTING = frozenset({Aspect.FIT, Aspect.PERFORMANCE})
# A fact somebody told us, without measuring or reading a label, settles none of these.
NOT_SETTLED_BY_TELLING = frozenset(
    {Aspect.GATE, Aspect.PHASE, Aspect.PRESSURE, Aspect.SHUT_OFF, Aspect.RELIEF, Aspect.LISTING}
)


class SourceKind(StrEnum):
    PUBLISHED = "published"
    COMMON_PRACTICE = "common_practice"
    FROM_MEMORY = "from_memory"
    MAKER = "maker"
    RECORD = "record"


@dataclass(frozen=True, slots=True)
class Source:
    """Where a fact or rule comes from, so that a reader can weigh it."""

    kind: SourceKind
    citation: str = ""


COMMON_PRACTICE = Source(SourceKind.COMMON_PRACTICE, "common practice, no source")


@dataclass(frozen=True, slots=True, order=True)
class Fact:
    """One missing fact: `name` in stable words, and the question a person can answer at the counter."""

    name: str
    question: str


@dataclass(frozen=True, slots=True)
class Truth:
    """Yes, no, or unknown with the facts that would settle it. `because` names what made it a no."""

    holds: bool | None
    missing: tuple[Fact, ...] = ()
    because: tuple[str, ...] = ()


YES = Truth(True)
_NOTHING_SAID = Truth(False)


def no(because: str) -> Truth:
    return Truth(False, because=(because,))


def unknown(*facts: Fact) -> Truth:
    return Truth(None, missing=facts)


def all_of(truths: Iterable[Truth]) -> Truth:
    """Conjunction: any no is a no (with every reason), else any unknown is unknown, else yes."""
    parts = tuple(truths)
    for part in parts:
        if not part.holds:
            break
    else:
        return YES
    noes = tuple(reason for part in parts if part.holds is False for reason in part.because)
    if any(part.holds is False for part in parts):
        return Truth(False, because=noes)
    missing = distinct(fact for part in parts if part.holds is None for fact in part.missing)
    return Truth(None, missing=missing)


def any_of(truths: Iterable[Truth]) -> Truth:
    """Disjunction: any yes is a yes, else any unknown is unknown, else no (nothing at all is a no)."""
    parts = tuple(truths)
    if not parts:
        return _NOTHING_SAID
    for part in parts:
        if part.holds:
            return YES
    missing = distinct(fact for part in parts if part.holds is None for fact in part.missing)
    if any(part.holds is None for part in parts):
        return Truth(None, missing=missing)
    return Truth(False, because=distinct(reason for part in parts for reason in part.because))


def negated(truth: Truth) -> Truth:
    return truth if truth.holds is None else Truth(not truth.holds)


def distinct(items: Iterable[T]) -> tuple[T, ...]:
    """The items in order, each once."""
    return tuple(dict.fromkeys(items))
