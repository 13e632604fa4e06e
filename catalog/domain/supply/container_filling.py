"""How full a container may be, and what it gives in one draw from the warmth that is in it."""

from __future__ import annotations

from catalog.domain.answers import COMMON_PRACTICE
from catalog.domain.supply.container import check_fill
from catalog.domain.supply.fluids import Fluids, Mixture, OutOfRange
from service.errors import Invalid

# The share of an LP-gas container's volume that may be liquid when it is filled.
FILL_LIMIT = 0.80
FILL_LIMIT_SOURCE = COMMON_PRACTICE
_STEEL = 460.0  # J/(kg K); common practice, no source
_HOTTEST = 500.0  # K; beyond every critical point that an LP-gas has
_FULL = 0.02  # how near to the density wanted the last liquid must come


def overfilled(fill: float) -> bool:
    """Whether more than 80 % is liquid. Raises Invalid for a fill outside 0..1."""
    check_fill(fill)
    return fill > FILL_LIMIT


def liquid_full_kelvin(fluids: Fluids, mixture: Mixture, *, fill: float, kelvin: float) -> float | None:
    """The temperature, K, at which a container filled to `fill` at `kelvin` has no room left for vapour.

    Beyond it the pressure rises by 0.4 to 0.7 MPa with every kelvin. None where the liquid passes its critical point
    before that, or leaves the reach of the equations.
    """
    check_fill(fill)
    vapour = fluids.vapour_density(mixture, kelvin, fluids.dew_pressure(mixture, kelvin))
    mean = fill * fluids.liquid_density(mixture, kelvin) + (1 - fill) * vapour
    low, high = kelvin, _HOTTEST
    for _ in range(50):
        middle = (low + high) / 2
        density = _liquid_density(fluids, mixture, middle)
        low, high = (middle, high) if density is not None and density > mean else (low, middle)
    reached = _liquid_density(fluids, mixture, low)
    return low if reached is not None and reached <= mean * (1 + _FULL) else None


def _liquid_density(fluids: Fluids, mixture: Mixture, kelvin: float) -> float | None:
    try:
        return fluids.liquid_density(mixture, kelvin)
    except OutOfRange:
        return None


def cooling_per_kg(fluids: Fluids, mixture: Mixture, *, kelvin: float, liquid_kg: float, steel_kg: float) -> float:
    """K by which liquid and steel cool for each kg of vapour drawn faster than heat comes in.

    Raises Invalid without liquid.
    """
    if liquid_kg <= 0 or steel_kg < 0:
        raise Invalid("A draw needs liquid, and steel of no less than 0 kg, to take its heat from.", code="batch_draw")
    held = liquid_kg * fluids.liquid_heat_capacity(mixture, kelvin) + steel_kg * _STEEL
    return fluids.latent_heat(mixture, kelvin) / held


def batch_drawn(
    fluids: Fluids, mixture: Mixture, *, from_kelvin: float, to_kelvin: float, liquid_kg: float, steel_kg: float
) -> float:
    """Vapour, kg, that liquid and steel give of their own warmth while they cool; nothing where they need not cool.

    In steps of about one kelvin, each with the liquid that is left; the composition is taken to stay.
    """
    steps = max(int(from_kelvin - to_kelvin) + 1, 1)
    step, left = max(from_kelvin - to_kelvin, 0.0) / steps, liquid_kg
    for number in range(steps):
        middle = from_kelvin - (number + 0.5) * step
        cooling = cooling_per_kg(fluids, mixture, kelvin=middle, liquid_kg=left, steel_kg=steel_kg)
        left -= min(step / cooling, left * 0.999)
    return liquid_kg - left
