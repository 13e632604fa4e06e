"""The pressure that a hose, a filter or a valve takes of the fuel that passes it, Pa."""

from __future__ import annotations

from dataclasses import dataclass

from catalog.domain.fuels import Phase
from catalog.domain.supply import pipe_flow
from catalog.domain.supply.fluids import Fluids, Mixture, Species
from catalog.domain.supply.valve_flow import Gas, gas_behind, liquid_drop

# Of liquid propane at room temperature, Pa s; it changes little over the temperatures of a supply line (from memory).
_LIQUID_VISCOSITY = 1.1e-4
_STANDARD_KELVIN, _STANDARD_PASCAL = 288.706, 101_325.0  # 60 degF, 1 atm: the base of the pipe equations
_HIGH_PRESSURE = 1.5 * pipe_flow.PSI
NOTHING_PASSES = float("inf")


@dataclass(frozen=True, slots=True)
class Moving:
    """Fuel on its way: kg/s, Pa absolute, K. `gauge` is its pressure over the atmosphere."""

    flow: float
    pascal: float
    kelvin: float
    gauge: float
    phase: Phase | None
    mixture: Mixture
    fluids: Fluids

    @property
    def liquid(self) -> bool:
        return self.phase is Phase.LIQUID

    def density(self) -> float:
        if self.liquid:
            return self.fluids.liquid_density(self.mixture, self.kelvin)
        # A gas that leaves boiling liquid is at its dew point, where the library may not find it.
        dew_or_less = min(self.pascal, self.dew() * 0.999)
        return self.fluids.vapour_density(self.mixture, self.kelvin, dew_or_less)

    def dew(self) -> float:
        heavy = {species for species, _ in self.mixture.shares} - {Species.METHANE, Species.NITROGEN, Species.ETHANE}
        boils = self.mixture.shares[0][0] is not Species.METHANE and heavy
        return self.fluids.dew_pressure(self.mixture, self.kelvin) if boils else float("inf")


def hose_loss(fuel: Moving, *, bore: float, length: float) -> float:
    """Loss in a hose or pipe; bore and length in metres. Infinite where it cannot pass the flow."""
    if fuel.liquid:
        return pipe_flow.liquid_drop(bore, length, flow=fuel.flow, density=fuel.density(), viscosity=_LIQUID_VISCOSITY)
    gas = pipe_flow.NATURAL_GAS if fuel.mixture.shares[0][0] is Species.METHANE else pipe_flow.PROPANE
    standard = fuel.flow / fuel.fluids.vapour_density(fuel.mixture, _STANDARD_KELVIN, _STANDARD_PASCAL)
    if fuel.gauge < _HIGH_PRESSURE:
        return pipe_flow.low_pressure_drop(bore, length, standard, gas)
    behind = pipe_flow.high_pressure_behind(bore, length, fuel.pascal, standard, gas)
    return NOTHING_PASSES if behind is None else fuel.pascal - behind


def filter_loss(fuel: Moving, *, drop: float, at_volume_flow: float) -> float:
    """Loss in a clean filter from one stated point: with the flow for liquids, with its square for gases."""
    share = fuel.flow / fuel.density() / at_volume_flow
    return drop * (share if fuel.liquid else share**2)


def valve_loss(fuel: Moving, *, kv: float) -> float:
    """Loss in an open valve of that Kv, m3/h. Infinite where it cannot pass the flow."""
    if fuel.liquid:
        return liquid_drop(kv, fuel.flow, fuel.density())
    gas = Gas(fuel.density(), fuel.fluids.isentropic_exponent(fuel.mixture, fuel.kelvin))
    behind = gas_behind(kv, fuel.flow, fuel.pascal, gas)
    return NOTHING_PASSES if behind is None else fuel.pascal - behind
