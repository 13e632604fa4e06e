"""SAE J300 viscosity grades of engine oil: what each asks, and which one a measured viscosity is.

Kinematic viscosity is in mm2/s at 100 degC, lower limits included and upper ones not; high-temperature high-shear
viscosity in mPa.s at 150 degC. Grades overlap, so one viscosity may be of two.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from catalog.domain.answers import Source, distinct


@dataclass(frozen=True, slots=True)
class ColdLimit:
    """The most an oil may resist cranking (mPa.s) or pumping at a temperature in degC."""

    most: int
    at: int


@dataclass(frozen=True, slots=True)
class WinterGrade:
    """A grade for the cold, e.g. `10W`: cranking, pumping, and the least viscosity at 100 degC."""

    grade: str
    cranking: ColdLimit
    pumping: ColdLimit
    least: Fraction
    source: Source


@dataclass(frozen=True, slots=True)
class HotGrade:
    """A grade for the heat, e.g. `40`; `beside` are the winter grades that this row of it goes with, empty for all."""

    grade: str
    least: Fraction
    below: Fraction
    high_shear: Fraction
    source: Source
    beside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ViscosityGrades:
    code: str
    winter: tuple[WinterGrade, ...]
    hot: tuple[HotGrade, ...]

    def grades_of(self, viscosity: str, high_shear: str | None = None) -> tuple[str, ...]:
        """Every grade an oil of this viscosity at 100 degC may be sold as, thinnest first.

        Both numbers are decimal text. Without its high-shear viscosity an oil may be of each grade whose limits hold
        it; with it, only of those whose least it reaches.
        """
        thickness, sheared = Fraction(viscosity), None if high_shear is None else Fraction(high_shear)
        return distinct(
            row.grade
            for row in self.hot
            if row.least <= thickness < row.below and (sheared is None or sheared >= row.high_shear)
        )

    def row(self, grade: str, winter: str | None = None) -> HotGrade | None:
        """What a hot grade asks beside a winter grade (None: of a single-grade oil)."""
        return next((r for r in self.hot if r.grade == grade and (not r.beside or (winter or "") in r.beside)), None)
