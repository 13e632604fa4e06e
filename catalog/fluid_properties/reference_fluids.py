"""What a supply line asks of a fuel, answered by reference equations of state (CoolProp's HEOS).

Pure fluids are asked directly; the saturation of mixtures is read off curves (see `saturation`). Safe to share
between threads.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite

from catalog.domain.supply.fluids import Flashed, Mixture, OutOfRange, Species
from catalog.fluid_properties import library, saturation
from catalog.fluid_properties.library import Point, named, nature, pure

_LIQUID_MEASURED_AT = 288.7056  # 60 degF
_BUBBLE, _DEW = 0, 1
# Above this share of a saturation pressure a gas is taken to condense; pressures computed both ways differ by less.
_SAME = 1e-4


class ReferenceFluids:
    """Implements `Fluids`. Raises OutOfRange with a sentence for people, never a number that cannot be trusted."""

    def by_liquid_volume(self, parts: Mapping[Species, float]) -> Mixture:
        """Moles of each liquid's volume at 60 degF, each at its own saturation; `parts` in any unit of volume."""
        moles = {species: volume * _moles_per_volume(species) for species, volume in parts.items() if volume}
        total = sum(moles.values())
        if total <= 0 or min(moles.values()) < 0:
            raise OutOfRange("A mixture needs at least one liquid, and none of them in a negative volume.")
        return Mixture(tuple((species, amount / total) for species, amount in moles.items()))

    def bubble_pressure(self, mixture: Mixture, kelvin: float) -> float:
        return _pressure(mixture, _BUBBLE, kelvin)

    def bubble_kelvin(self, mixture: Mixture, pascal: float) -> float:
        return _kelvin(mixture, _BUBBLE, pascal)

    def dew_pressure(self, mixture: Mixture, kelvin: float) -> float:
        return _pressure(mixture, _DEW, kelvin)

    def dew_kelvin(self, mixture: Mixture, pascal: float) -> float:
        return _kelvin(mixture, _DEW, pascal)

    def vapour_over(self, mixture: Mixture, kelvin: float) -> Mixture:
        if len(mixture.shares) == 1:
            return mixture
        _finite(kelvin)
        shares = library.vapour_shares(mixture, _rounded(kelvin))
        named_shares = [(species, share) for (species, _), share in zip(mixture.shares, shares, strict=True)]
        present = tuple(entry for entry in named_shares if entry[1] > 0)
        whole = sum(share for _, share in present)
        return Mixture(tuple((species, share / whole) for species, share in present))

    def liquid_density(self, mixture: Mixture, kelvin: float) -> float:
        return _liquid(mixture, kelvin).density

    def vapour_density(self, mixture: Mixture, kelvin: float, pascal: float) -> float:
        return _gas(mixture, kelvin, pascal).density

    def liquid_heat_capacity(self, mixture: Mixture, kelvin: float) -> float:
        found = _liquid(mixture, kelvin).heat_capacity
        if found is None or found <= 0:
            raise OutOfRange(f"The liquid's heat capacity is not known for {named(mixture)} there.")
        return found

    def latent_heat(self, mixture: Mixture, kelvin: float) -> float:
        _pressure(mixture, _DEW, kelvin)
        return library.saturated(mixture, _DEW, _rounded(kelvin)).enthalpy - _liquid(mixture, kelvin).enthalpy

    def heat_to_vapour(self, mixture: Mixture, liquid_kelvin: float, vapour_kelvin: float, pascal: float) -> float:
        return _gas(mixture, vapour_kelvin, pascal).enthalpy - _liquid(mixture, liquid_kelvin).enthalpy

    def flashed(self, mixture: Mixture, liquid_kelvin: float, pascal: float) -> Flashed:
        """Under more pressure than the liquid's own nothing flashes, and throttling leaves it as warm as it was."""
        liquid = _liquid(mixture, liquid_kelvin)
        if pascal >= liquid.pascal:
            return Flashed(0.0, liquid_kelvin)
        _kelvin(mixture, _BUBBLE, pascal)
        after = library.throttled(mixture, liquid.enthalpy, pascal)
        return Flashed(after.vapour, after.kelvin)

    def isentropic_exponent(self, mixture: Mixture, kelvin: float) -> float:
        _finite(kelvin)
        return library.isentropic_exponent(mixture, _rounded(kelvin))

    def molar_mass(self, mixture: Mixture) -> float:
        return nature(mixture).molar_mass


def _moles_per_volume(species: Species) -> float:
    return _liquid(pure(species), _LIQUID_MEASURED_AT).density / nature(pure(species)).molar_mass


def _liquid(mixture: Mixture, kelvin: float) -> Point:
    _pressure(mixture, _BUBBLE, kelvin)  # which refuses what is out of range
    return library.saturated(mixture, _BUBBLE, _rounded(kelvin))


def _gas(mixture: Mixture, kelvin: float, pascal: float) -> Point:
    """Raises OutOfRange where it is liquid."""
    _finite(kelvin, pascal)
    try:
        bubble = _pressure(mixture, _BUBBLE, kelvin)
    except OutOfRange:
        bubble = None  # too warm to be liquid, or too cold for the equations, which then refuse below
    if bubble is not None and pascal > bubble * (1 + _SAME):
        raise OutOfRange(
            f"At {kelvin - 273.15:.1f} degC and {pascal / 1000:.4g} kPa absolute {named(mixture)} is liquid, not gas."
        )
    return library.gas(mixture, _rounded(kelvin), round(pascal, 1))


def _pressure(mixture: Mixture, quality: int, kelvin: float) -> float:
    _finite(kelvin)
    if len(mixture.shares) > 1:
        return saturation.curve(mixture, quality).pascal(kelvin)
    reach = nature(mixture)
    if not reach.least_kelvin <= kelvin < reach.critical_kelvin:
        raise OutOfRange(
            f"There is no boiling {named(mixture)} at {kelvin - 273.15:.1f} degC, only from "
            f"{reach.least_kelvin - 273.15:.1f} to {reach.critical_kelvin - 273.15:.1f} degC."
        )
    return library.saturated(mixture, quality, kelvin).pascal


def _kelvin(mixture: Mixture, quality: int, pascal: float) -> float:
    _finite(pascal)
    if len(mixture.shares) > 1:
        return saturation.curve(mixture, quality).kelvin(pascal)
    try:
        return library.saturated_at(mixture, quality, pascal).kelvin
    except OutOfRange as error:
        words = f"Under {pascal / 1000:.5g} kPa absolute {named(mixture)} does not boil at any temperature."
        raise OutOfRange(words) from error


def _rounded(kelvin: float) -> float:
    """Tenths of a millikelvin, so that answers are found again."""
    return round(kelvin, 4)


def _finite(*values: float) -> None:
    if not all(isfinite(value) and value > 0 for value in values):
        raise OutOfRange("Temperatures in kelvin and absolute pressures are numbers above zero.")
