"""Limits and fits by grade (ISO 286) and the tolerance of a size that states none (ISO 2768-1).

Lengths are whole steps of 0.1 um throughout: a size at the edge of a step falls on the side the table says.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from catalog.domain.answers import Source
from catalog.domain.quantities import Dimension, Interval, Quantity
from service.errors import Invalid

GENERAL_CLASS = "m"


@dataclass(frozen=True, slots=True)
class Step:
    """Sizes over one bound up to and including another; the first step of a table may include its lower bound."""

    over: int
    up_to: int
    includes_lower: bool = False

    def holds(self, size: int) -> bool:
        return self.over < size <= self.up_to or (self.includes_lower and size == self.over)


@dataclass(frozen=True, slots=True)
class Deviation:
    """How far the two limits lie from the nominal size, in steps of 0.1 um, signed."""

    lower: int
    upper: int


@dataclass(frozen=True, slots=True)
class Fit:
    """The least and the greatest clearance of a hole and a shaft; a negative one is an interference."""

    least: Quantity
    greatest: Quantity

    @property
    def kind(self) -> str:
        if self.least.amount >= 0:
            return "clearance"
        return "interference" if self.greatest.amount <= 0 else "transition"

    def shown(self) -> str:
        return f"{self.kind} fit, {self.least.shown('um')} to {self.greatest.shown('um')}"


@dataclass(frozen=True, slots=True)
class ToleranceGrades:
    """Limit deviations by step of size and by grade, e.g. `H7` of a hole and `g6` of a shaft."""

    code: str
    steps: tuple[tuple[Step, Mapping[str, Deviation]], ...]

    def deviation(self, nominal: Quantity, grade: str) -> Deviation:
        """Raises Invalid for a size or a grade outside the table."""
        for step, grades in self.steps:
            if step.holds(nominal.amount):
                if grade not in grades:
                    known = ", ".join(sorted(grades))
                    raise Invalid(f"The grade {grade!r} is not in the table; it holds {known}.", code="unknown_grade")
                return grades[grade]
        raise _outside(nominal, self.steps[0][0], self.steps[-1][0])

    def limits(self, nominal: Quantity, grade: str) -> Interval:
        """The smallest and the largest size of a feature of this grade."""
        found = self.deviation(nominal, grade)
        return _around(nominal, found.lower, found.upper)

    def fit(self, nominal: Quantity, hole: str, shaft: str) -> Fit:
        """What a hole and a shaft of one nominal size leave between them: intervals are compared, not nominals."""
        if not (hole[:1].isupper() and shaft[:1].islower()):
            message = f"A fit is a hole with a capital and a shaft with a small letter, like H7/g6, not {hole}/{shaft}."
            raise Invalid(message, code="unknown_grade")
        outer, inner = self.deviation(nominal, hole), self.deviation(nominal, shaft)
        return Fit(_um(outer.lower - inner.upper), _um(outer.upper - inner.lower))


@dataclass(frozen=True, slots=True)
class AssumedSize:
    """A size that states no tolerance, with the general one. It is a guess by rule, and `shown` says so."""

    interval: Interval
    tolerance_class: str
    source: Source

    def shown(self) -> str:
        return f"{self.interval.shown()} (tolerance assumed, ISO 2768-{self.tolerance_class})"


@dataclass(frozen=True, slots=True)
class GeneralTolerance:
    """How far a linear size of one class and step may be off on both sides; None where the class gives nothing."""

    tolerance_class: str
    step: Step
    plus_minus: int
    source: Source


@dataclass(frozen=True, slots=True)
class GeneralTolerances:
    """General tolerances of linear sizes by class: f, m, c."""

    code: str
    rows: tuple[GeneralTolerance, ...]

    def assumed(self, nominal: Quantity, tolerance_class: str = GENERAL_CLASS) -> AssumedSize:
        """A nominal size with the tolerance it has where none is stated.

        Raises Invalid for a class that is not in the table, and for a size its class gives nothing for: that one has
        to be stated with its tolerance.
        """
        rows = [row for row in self.rows if row.tolerance_class == tolerance_class]
        if not rows:
            known = ", ".join(dict.fromkeys(row.tolerance_class for row in self.rows))
            raise Invalid(f"There is no class {tolerance_class!r}; the table holds {known}.", code="unknown_class")
        for row in rows:
            if row.step.holds(nominal.amount):
                return AssumedSize(_around(nominal, -row.plus_minus, row.plus_minus), tolerance_class, row.source)
        raise _outside(nominal, rows[0].step, rows[-1].step)


def _around(nominal: Quantity, lower: int, upper: int) -> Interval:
    low, high = nominal.amount + lower, nominal.amount + upper
    return Interval(Quantity(low, nominal.dimension, nominal.unit), Quantity(high, nominal.dimension, nominal.unit))


def _um(steps: int) -> Quantity:
    return Quantity(steps, Dimension.LENGTH, "um")


def _outside(nominal: Quantity, first: Step, last: Step) -> Invalid:
    low, high = (Quantity(bound, Dimension.LENGTH, "mm").shown() for bound in (first.over, last.up_to))
    word = "from" if first.includes_lower else "over"
    return Invalid(
        f"The table holds sizes {word} {low} up to and including {high}, and {nominal.shown()} is not among them; "
        "state the tolerance itself.",
        code="outside_the_table",
    )
