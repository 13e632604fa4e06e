"""Published O-ring sizes and the glands made for them: what the tables hold, and how a size code is read.

A size code is three digits: `2-012`, `-012`, `AS568-012` and `ISO 3601-1-012A` are one ring. Inner diameter and
cross-section are those of ISO 3601-1 class A in millimetres, which are the inch sizes of AS568 rounded to 0.01 mm.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from catalog.domain.answers import Source
from catalog.domain.quantities import Dimension, Interval, Quantity
from service.errors import Invalid

_CODE = re.compile(r"(?:as\s*568\s*[a-f]?[\s-]*|568-|iso\s*3601(?:-1)?[\s-]+|2-|-)?(\d{3})a?", re.IGNORECASE)
# How far a size rounded to 0.01 mm may lie from the exact one, in steps of 0.1 um.
ROUNDING = 50


class GlandUse(StrEnum):
    """How a ring is squeezed in its gland."""

    STATIC_RADIAL = "static_radial"
    STATIC_FACE = "static_face"
    DYNAMIC = "dynamic"


@dataclass(frozen=True, slots=True)
class Toleranced:
    """A length and how far it may be off on both sides, in steps of 0.1 um."""

    nominal: int
    plus_minus: int

    @property
    def interval(self) -> Interval:
        return stretch_of(self.nominal - self.plus_minus, self.nominal + self.plus_minus)


def stretch_of(low: int, high: int) -> Interval:
    """From one length to another, both in steps of 0.1 um, shown in millimetres."""
    return Interval(Quantity(low, Dimension.LENGTH, "mm"), Quantity(high, Dimension.LENGTH, "mm"))


@dataclass(frozen=True, slots=True)
class RingSize:
    """One ring by its code, e.g. `012`."""

    code: str
    inner: Toleranced
    section: Toleranced
    source: Source


@dataclass(frozen=True, slots=True)
class RingSeries:
    """The codes of one series that are sizes at all; every ring whose row is held has the series' cross-section."""

    name: str
    codes: tuple[str, ...]
    boss: bool = False


@dataclass(frozen=True, slots=True)
class GeneralSection:
    """The tolerance of a cross-section up to and including a size, for rings of general purpose (class B)."""

    up_to: int
    plus_minus: int


@dataclass(frozen=True, slots=True)
class RingSizes:
    """One table of sizes. Not every code that is a size has its row here."""

    code: str
    series: tuple[RingSeries, ...]
    sizes: Mapping[str, RingSize]
    general: tuple[GeneralSection, ...] = ()
    valid: frozenset[str] = field(default=frozenset())

    def code_of(self, designation: str) -> str | None:
        """The three digits of a size code, None for a designation of another kind.

        Raises Invalid for a number that no ring has.
        """
        found = _CODE.fullmatch(designation.strip())
        if found is None:
            return None
        if found.group(1) not in self.valid:
            raise Invalid(
                f"There is no ring size {found.group(1)}; the sizes are {self._ranges()}. Read the code again.",
                code="no_such_ring_size",
            )
        return found.group(1)

    def size(self, designation: str) -> RingSize | None:
        """The ring of a size code, None where it is no such code or its row is not held. Raises as `code_of`."""
        code = self.code_of(designation)
        return self.sizes.get(code) if code else None

    def assumed_section(self, nominal: int) -> Toleranced | None:
        """A cross-section stated without tolerance, with the general one; None where the table gives none."""
        step = next((step for step in self.general if nominal <= step.up_to), None)
        return Toleranced(nominal, step.plus_minus) if step else None

    def _ranges(self) -> str:
        return ", ".join(f"{series.codes[0]} to {series.codes[-1]}" for series in self.series)


@dataclass(frozen=True, slots=True)
class RingGland:
    """The gland published for one cross-section and use; depth and width in steps of 0.1 um, no back-up ring."""

    use: GlandUse
    section: Toleranced
    depth: tuple[int, int]
    width: int
    clearance: int
    source: Source


@dataclass(frozen=True, slots=True)
class RingGlands:
    """One table of glands."""

    code: str
    glands: tuple[RingGland, ...]

    def find(self, use: GlandUse, section: int) -> RingGland | None:
        """The gland for a nominal cross-section, given in steps of 0.1 um; a size between two rows has none."""
        fitting = (g for g in self.glands if g.use is use and abs(g.section.nominal - section) <= ROUNDING)
        return next(fitting, None)
