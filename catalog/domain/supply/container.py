"""How much vapour a container can give: heat comes through its wetted wall and boils the liquid.

The liquid is colder than the air by as much as the pressure allows that must be held: it may sag to the temperature
at which it just boils under that pressure. Everything here is screening accuracy.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import cos, isfinite, pi, sin

from catalog.domain.answers import Source, SourceKind
from catalog.domain.supply.fluids import Fluids, Mixture
from service.errors import Invalid

ACCURACY = 0.30
ACCURACY_WORDS = "screening accuracy, +/-30 %"


class Standing(StrEnum):
    HORIZONTAL = "horizontal"
    VERTICAL = "vertical"


# W/(m2 K) of bare steel in still or light air, solved back from published capacities: D*L*K gives 18.5 to 19.4 at
# every fill it is printed for, the chart of the upright 100-lb cylinder about 23.
USUAL_HEAT_TRANSFER = {Standing.HORIZONTAL: 19.0, Standing.VERTICAL: 23.0}
HEAT_TRANSFER = Source(
    SourceKind.PUBLISHED, "solved back from the D*L*K table and the 100-lb chart of a generating set's manual"
)


@dataclass(frozen=True, slots=True)
class Container:
    """A cylinder, upright or lying; both dimensions in metres, measured outside, heads included in the length."""

    standing: Standing
    outside_diameter_m: float
    length_m: float

    def __post_init__(self) -> None:
        for name, metres in (("outside diameter", self.outside_diameter_m), ("length", self.length_m)):
            if not (isfinite(metres) and metres > 0):
                raise Invalid(f"A container's {name} is a number above zero, not {metres} m.", code="container_size")

    @classmethod
    def from_mm(cls, standing: Standing, *, outside_diameter_mm: float, length_mm: float) -> Container:
        return cls(standing, outside_diameter_mm / 1000, length_mm / 1000)

    def wetted_m2(self, fill: float) -> float:
        """Wall in contact with the liquid, m2, at a fill of 0 to 1 of the volume.

        Lying: the wetted share of the shell, whose length already counts the heads. Upright: the bottom and the shell
        up to the liquid. The thickness of the wall is neglected.
        """
        check_fill(fill)
        around = pi * self.outside_diameter_m * self.length_m
        if self.standing is Standing.HORIZONTAL:
            return around * wetted_share(fill)
        bottom = pi * self.outside_diameter_m**2 / 4
        return around * fill + (bottom if fill > 0 else 0.0)


def wetted_share(fill: float) -> float:
    """The share of a lying cylinder's girth that is wetted where `fill` (0..1) of its section is."""
    low, high = 0.0, pi  # half the angle that the wetted arc spans
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if middle - sin(middle) * cos(middle) < pi * fill else (low, middle)
    return (low + high) / 2 / pi


def check_fill(fill: float) -> None:
    """Raises Invalid unless the fill is a share of the volume, 0 to 1."""
    if not 0 <= fill <= 1:
        raise Invalid(f"A fill is a share of the container's volume from 0 to 1, not {fill}.", code="container_fill")


@dataclass(frozen=True, slots=True)
class Exposure:
    """What the container stands in: air, K; heat transfer, W/(m2 K), the usual for its shape where None.

    `continuous` and `frost` are shares (above 0, at most 1) of the capacity left when it is drawn without a pause, or
    covered with frost. 0.25 is quoted for continuous draw and was not verified, so neither is assumed.
    """

    air_kelvin: float
    heat_transfer: float | None = None
    continuous: float = 1.0
    frost: float = 1.0

    def __post_init__(self) -> None:
        for name, share in (("continuous draw", self.continuous), ("frost", self.frost)):
            if not 0 < share <= 1:
                raise Invalid(f"The share left with {name} is above 0 and at most 1, not {share}.", code="derating")
        if self.heat_transfer is not None and not (isfinite(self.heat_transfer) and self.heat_transfer > 0):
            raise Invalid("A heat transfer coefficient is above zero, in W/(m2 K).", code="heat_transfer")


@dataclass(frozen=True, slots=True)
class VapourCapacity:
    """Vapour that can be drawn, kg/s, and how it was reached; `accuracy` is the share it may be off either way."""

    flow: float
    heat_watts: float  # through the wall, latent; not the fuel's heat of combustion
    liquid_kelvin: float
    wetted_m2: float
    words: str
    source: Source = HEAT_TRANSFER
    accuracy: float = ACCURACY

    @property
    def kg_per_hour(self) -> float:
        return self.flow * 3600

    @property
    def least(self) -> float:
        """kg/s that it gives even where the estimate is as far too high as it may be."""
        return self.flow * (1 - self.accuracy)

    @property
    def most(self) -> float:
        """kg/s that it gives where the estimate is as far too low as it may be."""
        return self.flow * (1 + self.accuracy)


def vapour_capacity(
    container: Container, exposure: Exposure, fluids: Fluids, mixture: Mixture, *, fill: float, hold_pascal: float
) -> VapourCapacity:
    """Vapour that the container gives without a pause while it holds `hold_pascal`, Pa absolute, at its outlet.

    Nothing where the air is no warmer than the liquid has to stay. Raises Invalid for a fill outside 0..1, OutOfRange
    where the equations of state do not reach that pressure.
    """
    wetted = container.wetted_m2(fill)
    liquid = fluids.bubble_kelvin(mixture, hold_pascal)
    usual = USUAL_HEAT_TRANSFER[container.standing]
    transfer = exposure.heat_transfer if exposure.heat_transfer is not None else usual
    heat = max(transfer * wetted * (exposure.air_kelvin - liquid), 0.0) * exposure.continuous * exposure.frost
    return VapourCapacity(
        flow=heat / fluids.latent_heat(mixture, liquid),
        heat_watts=heat,
        liquid_kelvin=liquid,
        wetted_m2=wetted,
        words=_words(exposure, liquid, transfer, wetted),
    )


def _words(exposure: Exposure, liquid: float, transfer: float, wetted: float) -> str:
    air, cold = exposure.air_kelvin - 273.15, liquid - 273.15
    if air <= cold:
        return f"To hold the pressure the liquid must stay at {cold:.1f} degC; the air is at {air:.1f} degC: no vapour."
    left = exposure.continuous * exposure.frost
    derated = f", {left * 100:.3g} % of it counted" if left < 1 else ""
    return (
        f"{transfer:.3g} W/(m2 K) through {wetted:.2f} m2 of wetted wall from {air:.1f} degC to {cold:.1f} degC"
        f"{derated}; {ACCURACY_WORDS}"
    )
