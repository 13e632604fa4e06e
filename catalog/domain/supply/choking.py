"""Gas through a jet: when it chokes and what passes, ideal and isentropic.

Pressures are pascal absolute, temperatures kelvin, `exponent` is cp/cv of the gas. Relations as in ISO 9300 and any
text on compressible flow; they hold for a jet without loss, so a real one passes its discharge coefficient of them.
"""

from __future__ import annotations

from math import sqrt

GAS_CONSTANT = 8.31446261815324  # J/(mol K), exact


def critical_ratio(exponent: float) -> float:
    """Pressure in the throat over the pressure ahead, at and beyond choking."""
    return float((2 / (exponent + 1)) ** (exponent / (exponent - 1)))


def critical_kelvin(kelvin: float, exponent: float) -> float:
    """Temperature in the throat of a choked jet, K."""
    return kelvin * 2 / (exponent + 1)


def choked(ahead: float, behind: float, exponent: float) -> bool:
    """Whether what passes no longer depends on the pressure behind."""
    return behind <= ahead * critical_ratio(exponent)


def choked_above(exponent: float, behind: float) -> float:
    """The least pressure ahead at which a jet into `behind` is choked, Pa absolute."""
    return behind / critical_ratio(exponent)


def mass_flux(ahead: float, behind: float, kelvin: float, *, exponent: float, molar_mass: float) -> float:
    """What passes through one square metre of throat, kg/s; `molar_mass` in g/mol. Nothing flows backwards."""
    if behind >= ahead:
        return 0.0
    ratio = max(behind / ahead, critical_ratio(exponent))
    specific = GAS_CONSTANT / (molar_mass / 1000)
    speed = 2 * exponent / (exponent - 1) * (ratio ** (2 / exponent) - ratio ** ((exponent + 1) / exponent))
    return ahead / sqrt(specific * kelvin) * sqrt(speed)
