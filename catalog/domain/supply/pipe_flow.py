"""Pressure lost in gas pipes and liquid hoses.

Gas: the sizing equations of NFPA 54 and the International Fuel Gas Code; their constants are from memory and held
against rows of the printed tables. Liquid: Darcy and Weisbach with Haaland's friction factor.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log10, pi

INCH, FOOT, PSI = 0.0254, 0.3048, 6894.757293168
_WATER = 249.08891  # Pa to the inch of water
_CUBIC_FEET_AN_HOUR = FOOT**3 / 3600  # m3/s


@dataclass(frozen=True, slots=True)
class PipeGas:
    """A gas as the equations know it: specific-gravity factor `cr`, high-pressure factor `y`."""

    cr: float
    y: float


NATURAL_GAS = PipeGas(0.6094, 0.9992)  # specific gravity 0.60
PROPANE = PipeGas(1.2462, 0.9910)  # specific gravity 1.50

# Inside diameters of schedule 40 pipe, in (ASME B36.10, from memory; the text was not checked).
SCHEDULE_40 = {
    "1/2": 0.622, "3/4": 0.824, "1": 1.049, "1-1/4": 1.380, "1-1/2": 1.610, "2": 2.067,
}  # fmt: skip


def low_pressure_flow(bore: float, length: float, drop: float, gas: PipeGas) -> float:
    """Standard m3/s through a pipe below 1.5 psi: bore and length in m, drop in Pa."""
    root = 19.17 * bore / INCH * pow(drop / _WATER / (gas.cr * length / FOOT), 0.206)
    return float(pow(root, 1 / 0.381)) * _CUBIC_FEET_AN_HOUR


def low_pressure_drop(bore: float, length: float, flow: float, gas: PipeGas) -> float:
    """The drop in Pa for standard m3/s."""
    if flow <= 0:
        return 0.0
    share = float(pow(pow(flow / _CUBIC_FEET_AN_HOUR, 0.381) / (19.17 * bore / INCH), 1 / 0.206))
    return share * gas.cr * length / FOOT * _WATER


def high_pressure_flow(bore: float, length: float, ahead: float, behind: float, gas: PipeGas) -> float:
    """Standard m3/s through a pipe at 1.5 psi and above: pressures in Pa absolute."""
    squares = (ahead**2 - behind**2) / PSI**2
    if squares <= 0:
        return 0.0
    root = 18.93 * bore / INCH * pow(squares * gas.y / (gas.cr * length / FOOT), 0.206)
    return float(pow(root, 1 / 0.381)) * _CUBIC_FEET_AN_HOUR


def high_pressure_behind(bore: float, length: float, ahead: float, flow: float, gas: PipeGas) -> float | None:
    """The pressure left, Pa absolute; None where the pipe cannot pass the flow."""
    if flow <= 0:
        return ahead
    share = ((flow / _CUBIC_FEET_AN_HOUR) ** 0.381 / (18.93 * bore / INCH)) ** (1 / 0.206)
    left = ahead**2 - share * gas.cr * length / FOOT / gas.y * PSI**2
    return float(left**0.5) if left > 0 else None


def liquid_drop(bore: float, length: float, *, flow: float, density: float, viscosity: float) -> float:
    """The drop in Pa of a liquid in a smooth hose: flow kg/s, density kg/m3, dynamic viscosity Pa s."""
    if flow <= 0:
        return 0.0
    speed = flow / (density * pi / 4 * bore**2)
    reynolds = density * speed * bore / viscosity
    return friction(reynolds, 1e-6 / bore) * length / bore * density * speed**2 / 2


def friction(reynolds: float, roughness: float) -> float:
    """Darcy's friction factor: 64/Re below 2,300, above it Haaland; `roughness` as a share of the bore."""
    if reynolds < 2300:
        return 64 / reynolds
    return float((-1.8 * log10((roughness / 3.7) ** 1.11 + 6.9 / reynolds)) ** -2)
