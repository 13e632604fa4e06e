"""How much fuel an engine draws. Brake or electrical kilowatts in, kg/s out; heats are lower heating values.

A stated consumption comes before an efficiency, and an assumed efficiency says that it is assumed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from catalog.domain.answers import COMMON_PRACTICE, Source, SourceKind

_DOE = Source(SourceKind.PUBLISHED, "US Department of Energy, Properties of Fuels")
LB_BHP_H = 0.45359237 / (0.7456998715822702 * 3600 * 1000)  # kg/J for one lb/bhp h
BTU_H = 1055.05585262 / 3600  # W

# kW of heat (HHV) for each kW of brake power where a gas code knows nothing of the engine.
CODE_DEFAULT_BTU_PER_BHP = {"four_stroke": 10_000, "two_stroke": 13_000}
CODE_DEFAULT = Source(SourceKind.PUBLISHED, "CSA B149.1 clause 7.2.4.2, from an unofficial transcription")


@dataclass(frozen=True, slots=True)
class Heat:
    """Lower and higher heating value, J/kg; the higher is None where the source states none."""

    lower: float
    higher: float | None
    source: Source


HEATS: Mapping[str, Heat] = {
    "gasoline": Heat(43.44e6, None, _DOE),
    "lpg_vapour": Heat(46.29e6, 50.22e6, _DOE),
    "lpg_liquid": Heat(46.29e6, 50.22e6, _DOE),
    "natural_gas": Heat(48.5e6, None, Source(SourceKind.PUBLISHED, "computed from a pipeline mix of 95 % methane")),
    "diesel": Heat(42.78e6, None, _DOE),
}
# Brake power over fuel heat (LHV) at full load; common practice, no source. Air-cooled singles are worse.
USUAL_EFFICIENCY: Mapping[str, float] = {
    "gasoline": 0.25, "lpg_vapour": 0.27, "lpg_liquid": 0.27, "natural_gas": 0.28, "diesel": 0.36,
}  # fmt: skip
# Of the full-load flow: half load at 68 % in a generating set's manual (25 kW), carried on in a straight line.
_IDLE_SHARE = 0.36


@dataclass(frozen=True, slots=True)
class FuelDraw:
    """Fuel drawn, kg/s; `assumed` where it rests on the usual efficiency, and the words that say how it was reached."""

    flow: float
    words: str
    source: Source
    assumed: bool = False


def from_efficiency(fuel: str, brake_watts: float, efficiency: float | None = None) -> FuelDraw:
    """Fuel for a brake power at an efficiency (LHV): the usual one for the fuel where none is stated."""
    used = efficiency if efficiency is not None else USUAL_EFFICIENCY[fuel]
    flow = brake_watts / (used * HEATS[fuel].lower)
    words = f"{brake_watts / 1000:.3g} kW at {used * 100:.3g} % of the fuel's lower heat"
    return FuelDraw(flow, words, COMMON_PRACTICE, assumed=efficiency is None)


def from_stated_flow(full: float, share: float, half: float | None, source: Source) -> FuelDraw:
    """Fuel at a share of full load, from what a maker states at full load and, if it does, at half load.

    Straight lines between and beyond the stated points; without a half-load figure idling is taken to draw 36 %.
    """
    middle = half if half is not None else full * (1 + _IDLE_SHARE) / 2
    flow = middle + (full - middle) * (share - 0.5) * 2
    words = f"{share * 100:.3g} % of full load by the stated consumption"
    return FuelDraw(max(flow, 0.0), words, source, assumed=half is None and share != 1)


def brake_watts_of(electrical_watts: float, generator_efficiency: float) -> float:
    """The engine's power behind an electrical load."""
    return electrical_watts / generator_efficiency


def code_default_heat(brake_watts: float, cycle: str = "four_stroke") -> float:
    """W of fuel heat (HHV) that a gas code counts where the engine's maker states nothing."""
    return brake_watts / 745.6998715822702 * CODE_DEFAULT_BTU_PER_BHP[cycle] * BTU_H


def derated(watts: float, *, altitude_m: float, air_kelvin: float) -> float:
    """Power left of a rating: 3 % less each 1,000 ft, 1 % less each 10 degF above 77 (a generating set's manual)."""
    warm = max(air_kelvin - 298.15, 0.0) * 1.8
    return watts * max(1 - 0.03 * max(altitude_m, 0.0) / 304.8 - 0.01 * warm / 10, 0.0)


def air_fuel_ratio(carbon: float, hydrogen: float, oxygen: float = 0.0) -> float:
    """Kg of air for each kg of a fuel of those atoms, by atom balance; air holds 20.946 % oxygen."""
    needed = carbon + hydrogen / 4 - oxygen / 2
    fuel = 12.011 * carbon + 1.008 * hydrogen + 15.999 * oxygen
    return needed / 0.20946 * 28.9647 / fuel
