"""Figures of a supply line in words, in the units a reader asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, floor

from catalog.domain.quantities import RESOLUTION, Dimension, Quantity, family_of

_LOW = 4_000.0  # Pa gauge: below it, up to 16 inches, the trade counts inches of water column


@dataclass(frozen=True, slots=True)
class Words:
    """How pressures, temperatures and flows are said. Unless asked otherwise: psi, degrees Celsius, kg/h."""

    si: bool = False
    fahrenheit: bool = False

    def pressure(self, pascal_gauge: float, *, reference: str = "gauge") -> str:
        low = abs(pascal_gauge) < _LOW
        if self.si:
            return f"{_figures(pascal_gauge / 1000)} kPa {reference}"
        value, unit = (pascal_gauge / 249.08891, "inH2O") if low else (pascal_gauge / 6894.757293, "psi")
        return f"{_figures(value)} {unit} {reference}"

    def temperature(self, kelvin: float) -> str:
        """To the nearest degree."""
        return self._degrees(kelvin, round)

    def at_least(self, kelvin: float) -> str:
        """A limit that must not be gone below, never said too low."""
        return self._degrees(kelvin, ceil)

    def at_most(self, kelvin: float) -> str:
        """A limit that must not be gone above, never said too high."""
        return self._degrees(kelvin, floor)

    def _degrees(self, kelvin: float, whole: Callable[[float], int]) -> str:
        celsius = kelvin - 273.15
        # A whole degree comes here with the rounding of its own conversion.
        value = round(celsius * 9 / 5 + 32 if self.fahrenheit else celsius, 6)
        return f"{whole(value)} {'degF' if self.fahrenheit else 'degC'}"

    def flow(self, kg_s: float) -> str:
        if self.fahrenheit:
            return f"{_figures(kg_s * 3600 / 0.45359237)} lb/h"
        return f"{_figures(kg_s * 3600)} kg/h"


def _figures(value: float) -> str:
    """Three figures, never an exponent."""
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.3g}"


def quantity_of(si: float, dimension: Dimension, unit: str) -> Quantity:
    """A computed SI figure as an exact quantity, rounded to the resolution of its dimension."""
    return Quantity(round(si * RESOLUTION[family_of(dimension)]), dimension, unit)


def gauge(pascal_gauge: float) -> Quantity:
    """A gauge pressure to be shown in the trade's unit for its size."""
    return quantity_of(pascal_gauge, Dimension.PRESSURE_GAUGE, "inH2O" if abs(pascal_gauge) < _LOW else "psi")
