"""The pressure that a hose, a filter or a valve takes of the fuel that passes it, Pa."""

from __future__ import annotations

from dataclasses import dataclass

from catalog.domain.supply import pipe_flow
from catalog.domain.supply.fluids import LineFuel
from catalog.domain.supply.valve_flow import Gas, choking_drop, gas_behind, liquid_drop

# Of liquid propane at room temperature, Pa s; it changes little over the temperatures of a supply line (from memory).
_LIQUID_VISCOSITY = 1.1e-4
_STANDARD_KELVIN, _STANDARD_PASCAL = 288.706, 101_325.0  # 60 degF, 1 atm: the base of the pipe equations
_HIGH_PRESSURE = 1.5 * pipe_flow.PSI
_AIR = 28.96  # g/mol
# Pa, of propane (J. Chem. Eng. Data 54 (2009) 3141); butane's, a tenth lower, moves the choking point by a hundredth.
_CRITICAL = 4.2512e6
NOTHING_PASSES = float("inf")


@dataclass(frozen=True, slots=True)
class Moving:
    """How the fuel moves through a stage at every temperature: kg/s, and the pressure of the air, Pa absolute."""

    flow: float
    atmosphere: float
    liquid: bool
    fuel: LineFuel

    @property
    def light(self) -> bool:
        """Lighter than air, as natural gas is: it does not condense on such a line."""
        return self.fuel.molar_mass() < _AIR

    def density(self, pascal: float, kelvin: float) -> float:
        if self.liquid:
            return self.fuel.liquid_density(kelvin)
        # A gas that leaves boiling liquid is at its dew point, where the library may not find it.
        most = pascal if self.light else self.fuel.dew_pressure(kelvin) * 0.999
        return self.fuel.vapour_density(kelvin, min(pascal, most))


def hose_loss(moving: Moving, pascal: float, kelvin: float, *, bore: float, length: float) -> float:
    """Loss in a hose or pipe; bore and length in metres. Infinite where it cannot pass the flow."""
    if moving.liquid:
        density = moving.density(pascal, kelvin)
        return pipe_flow.liquid_drop(bore, length, flow=moving.flow, density=density, viscosity=_LIQUID_VISCOSITY)
    gas = pipe_flow.NATURAL_GAS if moving.light else pipe_flow.PROPANE
    standard = moving.flow / moving.fuel.vapour_density(_STANDARD_KELVIN, _STANDARD_PASCAL)
    if pascal - moving.atmosphere < _HIGH_PRESSURE:
        return pipe_flow.low_pressure_drop(bore, length, standard, gas)
    behind = pipe_flow.high_pressure_behind(bore, length, pascal, standard, gas)
    return NOTHING_PASSES if behind is None else pascal - behind


def filter_loss(moving: Moving, pascal: float, kelvin: float, *, drop: float, at_volume_flow: float) -> float:
    """Loss in a clean filter from one stated point: with the flow for liquids, with its square for gases."""
    share = moving.flow / moving.density(pascal, kelvin) / at_volume_flow
    return drop * (share if moving.liquid else share**2)


def valve_loss(moving: Moving, pascal: float, kelvin: float, *, kv: float) -> float:
    """Loss in an open valve of that Kv, m3/h. Infinite where it cannot pass the flow."""
    density = moving.density(pascal, kelvin)
    if moving.liquid:
        drop = liquid_drop(kv, moving.flow, density)
        most = choking_drop(pascal, moving.fuel.bubble_pressure(kelvin), _CRITICAL)
        return drop if drop <= most else NOTHING_PASSES
    behind = gas_behind(kv, moving.flow, pascal, Gas(density, moving.fuel.isentropic_exponent(kelvin)))
    return NOTHING_PASSES if behind is None else pascal - behind
