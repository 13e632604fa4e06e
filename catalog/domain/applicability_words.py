"""When something a maker says holds, in words."""

from __future__ import annotations

from collections.abc import Mapping

from catalog.domain.applicability import Applicability
from catalog.domain.fuels import FuelDefinition, either, fuel_words, listed
from catalog.domain.serials import SerialRange

EVERYWHERE = "every engine of this specification"
ANYWHERE = "every engine"


def applicability_words(holds: Applicability, names: Mapping[str, FuelDefinition]) -> str:
    """E.g. `from serial 61500; where natural gas is burned; indoors`. Empty facets ask nothing, and nothing is said."""
    said = []
    if holds.serials:
        said.append(" or ".join(entry.shown() for entry in sorted(holds.serials, key=SerialRange.in_order)))
    if holds.any_fuel:
        said.append(f"where {either([fuel_words(fuel, names) for fuel in holds.any_fuel])} is burned")
    if holds.all_fuels:
        said.append(f"where nothing but {listed(holds.all_fuels, names)} is burned")
    if holds.places:
        said.append(f"place of use {either([place.replace('_', ' ') for place in holds.places])}")
    return "; ".join(said) or (EVERYWHERE if holds.specification else ANYWHERE)
