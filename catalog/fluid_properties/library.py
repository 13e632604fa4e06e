"""One point of one mixture, asked of CoolProp: the only module that touches it.

The library takes seconds to load, so it is imported when first asked. Its states must not be used by two threads at
once: every question takes the lock, and answers are kept. Temperatures K, pressures Pa absolute, densities kg/m3,
heats J/kg.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache, lru_cache
from threading import RLock
from typing import Any, TypeVar

from catalog.domain.supply.fluids import Mixture, OutOfRange, Species

Answered = TypeVar("Answered")
_LOCK = RLock()
_NAMES: Mapping[Species, str] = {
    Species.METHANE: "Methane",
    Species.ETHANE: "Ethane",
    Species.PROPANE: "n-Propane",
    Species.PROPENE: "Propylene",
    Species.BUTANE: "n-Butane",
    Species.ISOBUTANE: "IsoButane",
    Species.NITROGEN: "Nitrogen",
    Species.CARBON_DIOXIDE: "CarbonDioxide",
}
# Pairs that the library has no fitted mixing parameters for, by CAS number: propene with n-butane, with nitrogen.
_UNFITTED = (("115-07-1", "106-97-8"), ("115-07-1", "7727-37-9"))


class Equation(StrEnum):
    """The reference equations answer; the cubic one only looks over their shoulder (see `saturation`)."""

    REFERENCE = "HEOS"
    CUBIC = "PR"


@dataclass(frozen=True, slots=True)
class Point:
    """A mixture at one state. `vapour` is the share of its mass that is vapour where both phases are there."""

    pascal: float
    kelvin: float
    density: float
    enthalpy: float
    heat_capacity: float | None  # J/(kg K); of saturated states only
    vapour: float = 0.0


@dataclass(frozen=True, slots=True)
class Nature:
    """What does not depend on the state: g/mol; the mole average of critical temperatures, and of the lowest, K."""

    molar_mass: float
    critical_kelvin: float
    least_kelvin: float


@lru_cache(maxsize=50_000)
def saturated(mixture: Mixture, quality: int, kelvin: float, equation: Equation = Equation.REFERENCE) -> Point:
    """All liquid (quality 0) or all vapour (1) on the edge of the other phase, at a temperature."""
    return _asked(mixture, equation, lambda state: _update(state, "QT_INPUTS", float(quality), kelvin))


@lru_cache(maxsize=10_000)
def saturated_at(mixture: Mixture, quality: int, pascal: float) -> Point:
    """The same at a pressure."""
    return _asked(mixture, Equation.REFERENCE, lambda state: _update(state, "PQ_INPUTS", pascal, float(quality)))


@lru_cache(maxsize=50_000)
def gas(mixture: Mixture, kelvin: float, pascal: float) -> Point:
    """A gas. It is not asked whether it would condense: whoever asks for it knows, or wants it as if it would not."""

    def as_gas(state: Any) -> Point:
        state.specify_phase(_library().iphase_gas)
        try:
            return _update(state, "PT_INPUTS", pascal, kelvin)
        finally:
            state.unspecify_phase()

    try:
        return _asked(mixture, Equation.REFERENCE, as_gas)
    except OutOfRange:
        # Dense gas, where that search fails: the one that first asks which phase it is, a hundred times slower.
        return _asked(mixture, Equation.REFERENCE, lambda state: _update(state, "PT_INPUTS", pascal, kelvin))


@lru_cache(maxsize=10_000)
def throttled(mixture: Mixture, enthalpy: float, pascal: float) -> Point:
    """The mixture with that heat at that pressure."""

    def at(state: Any) -> Point:
        point = _update(state, "HmassP_INPUTS", enthalpy, pascal)
        return replace(point, vapour=_vapour_mass(mixture, state))

    return _asked(mixture, Equation.REFERENCE, at)


@lru_cache(maxsize=10_000)
def vapour_shares(mixture: Mixture, kelvin: float) -> tuple[float, ...]:
    """Mole fractions of the vapour that a full tank's liquid gives off, in the mixture's order."""

    def at(state: Any) -> tuple[float, ...]:
        state.update(_library().QT_INPUTS, 0.0, kelvin)
        return tuple(state.mole_fractions_vapor())

    return _asked(mixture, Equation.REFERENCE, at)


@lru_cache(maxsize=10_000)
def isentropic_exponent(mixture: Mixture, kelvin: float) -> float:
    """cp/cv of the gas so thin that its molecules do not meet."""

    def at(state: Any) -> float:
        # The pressure has no part in it; any at which the state is a gas will do.
        state.specify_phase(_library().iphase_gas)
        try:
            state.update(_library().PT_INPUTS, 1000.0, kelvin)
        finally:
            state.unspecify_phase()
        heat: float = state.cp0molar()
        of_volume: float = heat - state.gas_constant()
        return heat / of_volume

    return _asked(mixture, Equation.REFERENCE, at)


@lru_cache(maxsize=1000)
def nature(mixture: Mixture) -> Nature:
    def of(state: Any) -> Nature:
        alone = [(share, _prepared(pure(species), Equation.REFERENCE)) for species, share in mixture.shares]
        critical = sum(share * one.T_critical() for share, one in alone)
        return Nature(state.molar_mass() * 1000, critical, sum(share * one.Tmin() for share, one in alone))

    return _asked(mixture, Equation.REFERENCE, of)


def pure(species: Species) -> Mixture:
    return Mixture(((species, 1.0),))


def named(mixture: Mixture) -> str:
    """The mixture in words, e.g. `63.2 % propane, 36.8 % n-butane`."""
    if len(mixture.shares) == 1:
        return mixture.shares[0][0].value
    return ", ".join(f"{share * 100:.3g} % {species.value}" for species, share in mixture.shares)


def _update(state: Any, pair: str, first: float, second: float) -> Point:
    state.update(getattr(_library(), pair), first, second)
    return Point(
        pascal=state.p(),
        kelvin=state.T(),
        density=state.rhomass(),
        enthalpy=state.hmass(),
        heat_capacity=state.cpmass() if pair == "QT_INPUTS" else None,
    )


def _vapour_mass(mixture: Mixture, state: Any) -> float:
    """The library counts molecules, and the vapour's are lighter than the liquid's."""
    quality: float = state.Q()
    if not 0 < quality < 1:
        return min(max(quality, 0.0), 1.0)
    shares = zip(mixture.shares, state.mole_fractions_vapor(), strict=True)
    vapour: float = sum(share * nature(pure(species)).molar_mass for (species, _), share in shares)
    return quality * vapour / nature(mixture).molar_mass


def _asked(mixture: Mixture, equation: Equation, question: Callable[[Any], Answered]) -> Answered:
    with _LOCK:
        try:
            return question(_prepared(mixture, equation))
        except ValueError as error:
            raise OutOfRange(f"The equations of state give no answer for {named(mixture)} there.") from error


def _prepared(mixture: Mixture, equation: Equation) -> Any:
    state = _state(tuple(species for species, _ in mixture.shares), equation)
    state.set_mole_fractions([share for _, share in mixture.shares])
    return state


@lru_cache(maxsize=128)
def _state(fluids: tuple[Species, ...], equation: Equation) -> Any:
    return _library().AbstractState(equation.value, "&".join(_NAMES[species] for species in fluids))


@cache
def _library() -> Any:
    import CoolProp  # noqa: PLC0415 # seconds to load: only where it is asked

    for pair in _UNFITTED:
        # Near-ideal pairs; with this rule the bubble pressure of propene and n-butane is within 2.6 % of
        # Peng-Robinson's over -60..+90 degC, where propene alone already differs by 1.3 %.
        CoolProp.CoolProp.apply_simple_mixing_rule(*pair, "Lorentz-Berthelot")
    return CoolProp
