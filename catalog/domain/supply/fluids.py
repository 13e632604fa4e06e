"""What a supply line has to know of a fuel, asked of whoever holds the equations of state.

Temperatures are kelvin, pressures pascal absolute, densities kg/m3, heats J/kg, all as floats. A mixture is given in
mole fractions; what is bought by liquid volume is converted by `by_liquid_volume`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache, partial
from typing import Protocol

from service.errors import Unprocessable


class OutOfRange(Unprocessable):
    """The equations of state do not reach what is asked: no such liquid, beyond the critical point, or unsure there."""

    code = "fluid_out_of_range"


class Species(StrEnum):
    """The pure fluids a gaseous fuel is made of."""

    METHANE = "methane"
    ETHANE = "ethane"
    PROPANE = "propane"
    PROPENE = "propene"
    BUTANE = "n-butane"
    ISOBUTANE = "isobutane"
    NITROGEN = "nitrogen"
    CARBON_DIOXIDE = "carbon dioxide"


@dataclass(frozen=True, slots=True)
class Mixture:
    """Mole fractions by species, none of them zero, adding up to one within a millionth."""

    shares: tuple[tuple[Species, float], ...]

    def __post_init__(self) -> None:
        if any(share <= 0 for _, share in self.shares) or abs(sum(share for _, share in self.shares) - 1) > 1e-6:
            raise ValueError(f"mole fractions must be above zero and add up to one, not {self.shares}")


@dataclass(frozen=True, slots=True)
class Flashed:
    """What a liquid becomes behind a throttle: `vapour` of its mass, at `kelvin`."""

    vapour: float
    kelvin: float


class Fluids(Protocol):
    """Saturation and flow properties of mixtures; every call raises `OutOfRange` where the equations do not reach.

    Of a gas that is above its critical point there is neither bubble nor dew: asking for them is out of range too.
    """

    def by_liquid_volume(self, parts: Mapping[Species, float]) -> Mixture:
        """The mixture of liquids measured by volume at 60 degF (15.6 degC), each at its own saturation."""

    def bubble_pressure(self, mixture: Mixture, kelvin: float) -> float:
        """Pressure over a full tank's liquid, Pa absolute."""

    def bubble_kelvin(self, mixture: Mixture, pascal: float) -> float:
        """The coldest liquid that still holds that pressure, K."""

    def dew_pressure(self, mixture: Mixture, kelvin: float) -> float:
        """The highest pressure at which the vapour does not condense, Pa absolute."""

    def dew_kelvin(self, mixture: Mixture, pascal: float) -> float:
        """The temperature at which a vapour line begins to re-liquefy, K."""

    def vapour_over(self, mixture: Mixture, kelvin: float) -> Mixture:
        """What the vapour over such a liquid is made of: the part of it that boils first."""

    def liquid_density(self, mixture: Mixture, kelvin: float) -> float:
        """Density of the saturated liquid, kg/m3."""

    def vapour_density(self, mixture: Mixture, kelvin: float, pascal: float) -> float:
        """Density of the gas, kg/m3; between dew and bubble as of a gas that has not begun to condense."""

    def liquid_heat_capacity(self, mixture: Mixture, kelvin: float) -> float:
        """Heat that warms the saturated liquid, J/(kg K)."""

    def latent_heat(self, mixture: Mixture, kelvin: float) -> float:
        """Heat that turns saturated liquid into saturated vapour at one temperature, J/kg."""

    def heat_to_vapour(self, mixture: Mixture, liquid_kelvin: float, vapour_kelvin: float, pascal: float) -> float:
        """Heat from saturated liquid at one temperature to gas at another and at `pascal`, J/kg."""

    def flashed(self, mixture: Mixture, liquid_kelvin: float, pascal: float) -> Flashed:
        """Saturated liquid throttled to `pascal` without heat (isenthalpic)."""

    def isentropic_exponent(self, mixture: Mixture, kelvin: float) -> float:
        """cp/cv of the dilute gas."""

    def molar_mass(self, mixture: Mixture) -> float:
        """g/mol."""


class LineFuel:
    """One mixture along a line. Stage after stage asks the same of it, and the equations of state are asked once."""

    def __init__(self, fluids: Fluids, mixture: Mixture) -> None:
        self.bubble_pressure = cache(partial(fluids.bubble_pressure, mixture))
        self.dew_pressure = cache(partial(fluids.dew_pressure, mixture))
        self.liquid_density = cache(partial(fluids.liquid_density, mixture))
        self.vapour_density = cache(partial(fluids.vapour_density, mixture))
        self.isentropic_exponent = cache(partial(fluids.isentropic_exponent, mixture))
        self.molar_mass = partial(fluids.molar_mass, mixture)
