"""Compressed gas in its container, and jets changed between gases."""

from __future__ import annotations

from math import sqrt

from catalog.domain.supply.fluids import Fluids, Mixture

# ISO 15500-1, note on the working pressure: figures for 20 MPa are multiplied by this for 25 MPa.
FOR_25_MPA = 1.25


def at_another_temperature(fluids: Fluids, gas: Mixture, *, pascal: float, kelvin: float, to_kelvin: float) -> float:
    """The pressure of gas that can go nowhere when its temperature changes, Pa absolute."""
    density = fluids.vapour_density(gas, kelvin, pascal)
    low, high = pascal * min(0.1, to_kelvin / kelvin / 4), pascal * 4 * max(1.0, to_kelvin / kelvin)
    for _ in range(60):
        middle = (low + high) / 2
        if fluids.vapour_density(gas, to_kelvin, middle) < density:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def jet_area_ratio(*, heat_from: float, gravity_from: float, heat_to: float, gravity_to: float) -> float:
    """How much more area a jet needs for the same heat at one low pressure difference: the ratio of Wobbe numbers.

    Heats in J per standard m3, gravities relative to air.
    """
    return (heat_from / sqrt(gravity_from)) / (heat_to / sqrt(gravity_to))
