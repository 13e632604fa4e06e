"""Published tables of sizes, glands, tolerances and grades, by kind and code, as a rulebook holds them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from catalog.domain.oil_grades import ViscosityGrades
from catalog.domain.ring_tables import GlandUse, RingGland, RingGlands, RingSize, RingSizes, Toleranced
from catalog.domain.size_tolerances import GeneralTolerances, ToleranceGrades


@dataclass(frozen=True, slots=True)
class ReferenceTables:
    ring_sizes: Mapping[str, RingSizes] = field(default_factory=dict)
    ring_glands: Mapping[str, RingGlands] = field(default_factory=dict)
    tolerance_grades: Mapping[str, ToleranceGrades] = field(default_factory=dict)
    general_tolerances: Mapping[str, GeneralTolerances] = field(default_factory=dict)
    viscosity_grades: Mapping[str, ViscosityGrades] = field(default_factory=dict)

    def ring_code(self, designation: str) -> str | None:
        """The size code of a ring, None for another designation. Raises Invalid for a number that no ring has."""
        codes = (table.code_of(designation) for table in self.ring_sizes.values())
        return next((code for code in codes if code), None)

    def ring_size(self, code: str) -> RingSize | None:
        return next((table.sizes[code] for table in self.ring_sizes.values() if code in table.sizes), None)

    def assumed_section(self, nominal: int) -> Toleranced | None:
        found = (table.assumed_section(nominal) for table in self.ring_sizes.values())
        return next((section for section in found if section), None)

    def gland(self, use: GlandUse, section: int) -> RingGland | None:
        found = (table.find(use, section) for table in self.ring_glands.values())
        return next((gland for gland in found if gland), None)
