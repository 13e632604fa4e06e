"""Flow through valves by IEC 60534-2-1 (ISA-75.01.01-2007), turbulent.

Kv in m3/h, flows in kg/s, pressures in pascal absolute, densities in kg/m3. The valve is as large as
its line: no reducers are counted. The constant for mass
flow follows exactly from what Kv means; those printed in the standard are rounded to three figures, which moves a Kv by
up to 0.15 %.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

N6 = sqrt(1000.0)  # kg/h for Kv in m3/h, bar and kg/m3
_BAR = 100_000.0
_HOUR = 3600.0
_LEAST_EXPANSION = 2 / 3
# Common practice, no source: of small globe valves.
USUAL_XT = 0.7
USUAL_FL = 0.9


@dataclass(frozen=True, slots=True)
class Gas:
    """What reaches the valve: density there, kg/m3, and cp/cv."""

    density: float
    exponent: float


@dataclass(frozen=True, slots=True)
class Liquid:
    """Density, kg/m3; saturation and critical pressure, Pa absolute."""

    density: float
    saturation: float
    critical: float


def gas_flow(kv: float, ahead: float, behind: float, gas: Gas, xt: float = USUAL_XT) -> float:
    """What a valve passes, kg/s; once choked the pressure behind no longer counts."""
    if behind >= ahead or kv <= 0:
        return 0.0
    limit = gas.exponent / 1.4 * xt
    share = min((ahead - behind) / ahead, limit)
    expansion = max(1 - share / (3 * limit), _LEAST_EXPANSION)
    return N6 * kv * expansion * sqrt(share * ahead / _BAR * gas.density) / _HOUR


def gas_kv(flow: float, ahead: float, behind: float, gas: Gas, xt: float = USUAL_XT) -> float:
    """The Kv that passes a flow, m3/h; infinite where nothing drives it."""
    unit = gas_flow(1.0, ahead, behind, gas, xt)
    return flow / unit if unit else float("inf")


def gas_behind(kv: float, flow: float, ahead: float, gas: Gas, xt: float = USUAL_XT) -> float | None:
    """The pressure left behind a valve that passes a flow, Pa absolute; None where it cannot pass it."""
    limit = gas.exponent / 1.4 * xt
    low = ahead * (1 - min(limit, 1.0))
    if flow <= 0:
        return ahead
    if gas_flow(kv, ahead, low, gas, xt) < flow:
        return None
    high = ahead
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if gas_flow(kv, ahead, middle, gas, xt) >= flow else (low, middle)
    return low


def liquid_flow(kv: float, ahead: float, behind: float, liquid: Liquid, fl: float = USUAL_FL) -> float:
    """What a valve passes of a liquid, kg/s; it chokes where the liquid boils in the throat."""
    most = choking_drop(ahead, liquid.saturation, liquid.critical, fl)
    drop = min(ahead - behind, most)
    return 0.0 if drop <= 0 else kv * sqrt(drop / _BAR * 1000 * liquid.density) / _HOUR


def choking_drop(ahead: float, saturation: float, critical: float, fl: float = USUAL_FL) -> float:
    """The largest pressure difference that still drives more flow of a liquid, Pa."""
    factor = 0.96 - 0.28 * sqrt(saturation / critical)
    return max(fl**2 * (ahead - factor * saturation), 0.0)


def liquid_kv(flow: float, ahead: float, behind: float, liquid: Liquid, fl: float = USUAL_FL) -> float:
    """The Kv that passes a flow of liquid, m3/h; infinite where nothing drives it."""
    unit = liquid_flow(1.0, ahead, behind, liquid, fl)
    return flow / unit if unit else float("inf")


def liquid_drop(kv: float, flow: float, density: float) -> float:
    """The pressure that a liquid loses in a valve, Pa, short of choking."""
    return (flow * _HOUR / kv) ** 2 / (1000 * density) * _BAR if flow > 0 else 0.0
