"""Flow through jets, valves and pipes, and what engines draw: published rows and worked examples, each by its number.

`fluids` and `chemicals` are the independent references; printed rows come from the sources named beside them.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import sqrt
from typing import Any, cast

import pytest
from chemicals.combustion import combustion_data
from fluids.compressible import P_critical_flow, T_critical_flow
from fluids.control_valve import size_control_valve_g

from catalog.domain.answers import Answer
from catalog.domain.quantities import quantity as exact
from catalog.domain.supply import engine_demand as demand
from catalog.domain.supply import pipe_flow as pipes
from catalog.domain.supply.choking import choked_above, critical_kelvin, critical_ratio, mass_flux
from catalog.domain.supply.mixtures import METHANE
from catalog.domain.supply.relief_line import relief_answer
from catalog.domain.supply.stored_gas import FOR_25_MPA, at_another_temperature, jet_area_ratio
from catalog.domain.supply.valve_flow import Gas, Liquid, gas_kv, liquid_kv
from catalog.fluid_properties import ReferenceFluids
from tests.demo_world import part
from tests.reference.asked_of_the_demo import DemoPlace, changed, quantity
from tests.reference.test_fuel_side import GOVERNOR, ZERO, gauge

pytestmark = pytest.mark.domain
ATMOSPHERE, PSI = 101_325.0, pipes.PSI
CONTAINER_HOSE, HOSE = DemoPlace("VRD-H40", "S-131", "hose_container_lockoff", "lpg_liquid:HD-5"), part("TSK", "H-410")
BTU, CUBIC_FOOT, GALLON, HOUR, HORSEPOWER = 1055.05585262, pipes.FOOT**3, 3.785411784e-3, 3600.0, 745.6998715822702


@cache
def fluids() -> ReferenceFluids:
    return ReferenceFluids()


def atoms() -> list[float]:
    return [demand.air_fuel_ratio(3, 8), demand.air_fuel_ratio(1, 4), demand.air_fuel_ratio(2, 6, 1)]


def gas_example(given: dict[str, float]) -> tuple[float, float]:
    """Our Kv and the library's for one gas example, the valve as large as its line."""
    density = given["P1"] * given["MW"] / 1000 / (8.314462618 * given["T"] * given["Z"])
    standard = given["Q"] * 101_325 * given["MW"] / 1000 / (8.314462618 * 273.15)
    ours: float = gas_kv(standard, given["P1"], given["P2"], Gas(density, given["gamma"]), given["xT"])
    theirs: Any = size_control_valve_g(mu=1.5e-5, **cast("dict[str, Any]", given))
    return ours, float(theirs)


CARBON_DIOXIDE = {
    "T": 433.0,
    "MW": 44.01,
    "gamma": 1.30,
    "Z": 0.988,
    "P1": 680e3,
    "P2": 310e3,
    "Q": 38 / 36,
    "xT": 0.60,
}
ARGON = {"T": 320.0, "MW": 39.95, "gamma": 1.67, "Z": 1.0, "P1": 2.8e5, "P2": 1.3e5, "Q": 0.46 / 3600, "xT": 0.8}


def within_of_library(given: dict[str, float], share: float) -> bool:
    ours, theirs = gas_example(given)
    return abs(ours / theirs - 1) <= share


def row(bore: str, length_ft: float) -> float:
    """ft3/h of natural gas at 0.5 inch of water."""
    flow = pipes.low_pressure_flow(
        pipes.SCHEDULE_40[bore] * pipes.INCH, length_ft * pipes.FOOT, 0.5 * 249.08891, pipes.NATURAL_GAS
    )
    return flow * HOUR / CUBIC_FOOT


def propane_row() -> float:
    """kBtu/h through 10 ft of 1/2 in pipe, 10 psi in and 1 psi lost, at 2,516 Btu to the cubic foot."""
    ahead = ATMOSPHERE + 10 * PSI
    flow = pipes.high_pressure_flow(
        pipes.SCHEDULE_40["1/2"] * pipes.INCH, 10 * pipes.FOOT, ahead, ahead - PSI, pipes.PROPANE
    )
    return flow * HOUR / CUBIC_FOOT * 2.516


def hot_cng() -> float:
    """psi gauge at 40 degC of methane that had 3,600 psi gauge at 21.1 degC."""
    methane = METHANE.mixture(fluids())
    hot = at_another_temperature(fluids(), methane, pascal=3600 * PSI + ATMOSPHERE, kelvin=294.25, to_kelvin=313.15)
    return (hot - ATMOSPHERE) / PSI


def hoses() -> list[bool]:
    """350 and 300 psi at container pressure; that plastic hose is kept from liquid is a matter of its listing."""
    asked = ({"working_pressure": quantity("350", "psi", "gauge"), "burst_ratio": quantity("500", "%")},
             {"working_pressure": quantity("300", "psi", "gauge"), "burst_ratio": quantity("500", "%")})  # fmt: skip
    return [CONTAINER_HOSE.asked(changed(HOSE, offered), {})[1]["working_pressure"].outcome is Answer.MET
            for offered in asked]  # fmt: skip


def second_stage() -> Answer:
    _, findings = GOVERNOR.asked(
        changed(ZERO, {"max_pressure": gauge("10", "psi")}), {"max_pressure": gauge("11", "psi")}
    )
    return findings["max_pressure"].outcome


def near(value: float, share: float) -> object:
    return pytest.approx(value, rel=share)


STOICHIOMETRY = "atom balance; US Department of Energy (ethanol 9)"
CASES: list[tuple[str, str, Callable[[], object], object]] = [
    ("FC20", STOICHIOMETRY, atoms, [near(15.68, 0.005), near(17.24, 0.005), near(9.0, 0.005)]),
    ("FC21", "US Department of Energy, Properties of Fuels",
     lambda: (18_676 * BTU / 0.45359237, demand.HEATS["gasoline"].lower, 116_090 * BTU / GALLON / 1e9),
     (near(43.44e6, 0.001), near(43.44e6, 0.001), near(32.36, 0.001))),
    ("FC28", "25 kW generating set's manual", lambda: (387_000 / 2_500, 387_000 / 91_547),
     (near(155, 0.02), near(4.3, 0.02))),
    ("FC30", "charts of diesel generating sets", lambda: 4.8 * GALLON * 1000, near(18.2, 0.01)),
    ("FC31", "USACE EP 1110-1-8 vol. 10", lambda: [0.60 * demand.LB_BHP_H * 3.6e9, 0.36 * demand.LB_BHP_H * 3.6e9],
     [near(365, 0.001), near(219, 0.001)]),
    ("FC32", "CSA B149.1 clause 7.2.4.2, unofficial transcription",
     lambda: [demand.code_default_heat(50 * HORSEPOWER, c) / demand.BTU_H for c in ("four_stroke", "two_stroke")],
     [near(500_000, 1e-9), near(650_000, 1e-9)]),
    ("FC33", "Cengel and Cimbala ex. 12.4, through fluids",
     lambda: (1.4e6 * critical_ratio(1.289), P_critical_flow(1.4e6, 1.289)), (near(766_812.9, 1.3e-6),) * 2),
    ("FC34", "Cengel and Cimbala ex. 12.4, through fluids",
     lambda: (critical_kelvin(473, 1.289), T_critical_flow(473, 1.289)), (near(413.281, 2.5e-6),) * 2),
    ("FC39", "ISO 9300, ideal air: 0.040415 P/sqrt(T)",
     lambda: mass_flux(1e6, 1e5, 300, exponent=1.4, molar_mass=28.9647), near(2333.3, 0.0005)),
    ("FC40", "computed", lambda: critical_ratio(1.134), pytest.approx(0.5776, abs=0.0005)),
    ("FC41", "computed", lambda: (choked_above(1.134, 101_300) - 101_300) / PSI, pytest.approx(10.75, abs=0.1)),
    ("FC43", "NFPA 54 table, reprinted", lambda: row("1", 10), near(678, 0.01)),
    ("FC44", "NFPA 54 table, reprinted", lambda: row("1/2", 100), near(50, 0.01)),
    ("FC45", "NFPA 58 table 15.1(a)", propane_row, near(3_320, 0.02)),
    ("FC48", "US Department of Energy", lambda: 32.36 / 23.48, near(1.38, 0.01)),
    ("FC51", "CSA B149.1, unofficial transcription; 400 from memory",
     lambda: [relief_answer(psi * PSI) for psi in (350, 380, 400)], [Answer.NOT_MET, Answer.MET_IF, Answer.MET]),
    ("FC53", "CSA B149.1 clause 6.2.10; UL 21 scope", hoses, [True, False]),
    ("FC55", "UL 144 (2021) section 7", second_stage, Answer.NOT_MET),
    ("FC56", "computed for methane", hot_cng, near(4_141, 0.01)),
    ("FC57", "ISO 15500-1 scope", lambda: 20.0 * FOR_25_MPA, 25.0),
    ("FC59", "a difference is no temperature", lambda: exact("20", "degF", "difference").amount, 11_111),
    ("FC60", "LP-gas training chapter: 27.71 inches to the psi",
     lambda: [exact(v, "inH2O", "gauge").amount / 1e5 for v in ("14", "11", "27.71")],
     [near(3.487, 0.002), near(2.74, 0.002), near(PSI / 1000, 0.002)]),
]  # fmt: skip


@pytest.mark.parametrize(("source", "found", "expected"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_a_check_value_comes_out_as_published(source: str, found: Callable[[], object], expected: object) -> None:
    assert found() == expected, source


@pytest.mark.parametrize("given", [CARBON_DIOXIDE, ARGON])
def test_a_valve_as_large_as_its_line_is_sized_as_the_library_sizes_it(given: dict[str, float]) -> None:
    """IEC 60534-2-1, gas examples 3 and 4 without their reducers and without the factor of small trims."""
    assert within_of_library(given, 0.0015)


@pytest.mark.parametrize(("atoms", "name"), [((3, 8), "propane"), ((1, 4), "methane"), ((4, 10), "butane")])
def test_the_air_a_fuel_needs_is_what_chemicals_says(atoms: tuple[int, int], name: str) -> None:
    carbon, hydrogen = atoms
    burned = combustion_data(formula={"C": carbon, "H": hydrogen}, Hf=-1e5)
    oxygen = -burned.stoichiometry["O2"]
    ours = demand.air_fuel_ratio(carbon, hydrogen)
    assert ours == pytest.approx(oxygen / 0.20946 * 28.9647 / (12.011 * carbon + 1.008 * hydrogen), rel=0.001), name


@pytest.mark.parametrize(
    ("kv", "given"),
    [
        (164.9955, Liquid(965.4, 70.1e3, 22.12e6)),  # example 1: 680 to 220 kPa, 0.1 m3/s, FL 0.9
    ],
)
def test_a_liquid_example_of_the_standard(kv: float, given: Liquid) -> None:
    """IEC 60534-2-1 liquid example 1, through fluids."""
    assert liquid_kv(0.1 * given.density, 680e3, 220e3, given, 0.9) == pytest.approx(kv, rel=1e-3)


def test_a_natural_gas_jet_is_half_as_large_again_as_one_for_propane() -> None:
    """Area x 1.55 to 1.57 at one low pressure, from the Wobbe numbers."""
    ratio = jet_area_ratio(heat_from=2516, gravity_from=1.50, heat_to=1030, gravity_to=0.60)
    assert 1.5 <= ratio <= 1.6
    assert sqrt(ratio) == pytest.approx(1.25, abs=0.03)
