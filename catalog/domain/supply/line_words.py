"""Figures of a supply line in words, in the units a reader asked for."""

from __future__ import annotations

from dataclasses import dataclass

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
        """Rounded up to a whole degree, so that a limit below which something fails is never said too low."""
        celsius = kelvin - 273.15
        value = celsius * 9 / 5 + 32 if self.fahrenheit else celsius
        return f"{-int(-value // 1)} {'degF' if self.fahrenheit else 'degC'}"

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
