"""Attribute values with their four states, and what a part offers or a position demands of one attribute."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cached_property

from catalog.domain.answers import Basis, Source
from catalog.domain.quantities import Interval, Quantity


class State(StrEnum):
    """A value, a recorded absence of it, or an attribute that has no meaning for the part. Absence is missing."""

    VALUE = "value"
    KNOWN_NONE = "known_none"
    NOT_APPLICABLE = "not_applicable"


class Kind(StrEnum):
    """What sort of value an attribute holds."""

    QUANTITY = "quantity"
    RANGE = "range"
    CHOICE = "choice"
    CHOICES = "choices"
    ORDERED_CLASS = "ordered_class"
    DESIGNATION = "designation"
    DATE = "date"
    FLAG = "flag"
    CODE_LIST = "code_list"


Payload = Quantity | Interval | tuple[str, ...] | bool | date


@dataclass(frozen=True)
class Value:
    """One stated value. `payload` is None exactly where the state is not VALUE; codes are a tuple, one or more.

    Without slots, unlike the other values: one value is compared and shown in many answers, so its interval and its
    words are worked out once and kept beside the fields.
    """

    payload: Payload | None
    state: State = State.VALUE

    @property
    def codes(self) -> tuple[str, ...]:
        return self.payload if isinstance(self.payload, tuple) else ()

    @cached_property
    def interval(self) -> Interval:
        """A quantity as the interval that holds only it; a range as it is. Raises TypeError for anything else."""
        if isinstance(self.payload, Quantity):
            return Interval(self.payload, self.payload)
        if isinstance(self.payload, Interval):
            return self.payload
        raise TypeError(f"{self.payload!r} is neither a quantity nor a range")

    def shown(self) -> str:
        return self._words

    @cached_property
    def _words(self) -> str:
        if self.state is not State.VALUE:
            return "none" if self.state is State.KNOWN_NONE else "not applicable"
        if isinstance(self.payload, (Quantity, Interval)):
            return self.payload.shown()
        if isinstance(self.payload, bool):
            return "yes" if self.payload else "no"
        return ", ".join(code.replace("_", " ") for code in self.codes) if self.codes else str(self.payload)


KNOWN_NONE = Value(None, State.KNOWN_NONE)
NOT_APPLICABLE = Value(None, State.NOT_APPLICABLE)

Slot = str | None
Place = tuple[str, Slot]  # an attribute in a slot


class How(StrEnum):
    """How a fact given with a question came to be known."""

    MEASURED = "measured"
    LABEL = "label"
    TOLD = "told"


@dataclass(frozen=True, slots=True)
class Offer:
    """What the candidate is or says about one attribute, from one source."""

    value: Value
    source: Source
    basis: Basis = Basis.PART_DATA
    how: How | None = None


@dataclass(frozen=True, slots=True)
class Demand:
    """What the position asks of one attribute, and on what basis."""

    value: Value
    basis: Basis
    source: Source
    how: How | None = None
