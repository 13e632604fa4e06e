"""Check values and band edges for regulators, filters, containers, pumps and clamps, each beside its source.

A case states one demand at a demo position, changes one attribute of a demo part, and looks at the one finding that
the value speaks of; no part is specified there, so nothing is lent.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Answer, Effect, Verdict
from catalog.domain.parts import Part
from catalog.domain.values import Offer, Value
from tests.demo_world import part, rulebook
from tests.reference.asked_of_the_demo import UNSOURCED, CheckValue, DemoPlace, by_check_value, quantity

pytestmark = pytest.mark.domain
MET, MET_IF, NOT_MET, UNKNOWN = Answer.MET, Answer.MET_IF, Answer.NOT_MET, Answer.UNKNOWN
FLOORS = "WAC 296-307-44017 (Washington State): 250 psi at container pressure"
CONVERSION = "27.71 inches of water to the psi, LP-gas training chapter"

VAPORISER = DemoPlace("VRD-H40", "S-131", "vaporiser", "lpg_liquid:HD-5")
GOVERNOR = DemoPlace("TSK-R25", "P-22", "zero_governor", "lpg_vapour:HD-5")
DEMAND_REGULATOR = DemoPlace("VRD-G8", "G-14", "demand_regulator", "lpg_vapour:HD-5")
DIESEL_FILTER = DemoPlace("OLM-K55", "D-30A", "fuel_filter", "diesel:B7")
CONTAINER = DemoPlace("VRD-H40", "S-131", "container", "lpg_liquid:HD-5")
CARBURETTOR_PUMP = DemoPlace("VRD-G8", "G-11", "fuel_pump", "gasoline:E10")
LOCK_OFF = DemoPlace("VRD-H40", "S-131", "lock_off", "lpg_liquid:HD-5")
COUPLER = DemoPlace("VRD-H40", "S-131", "container_coupler", "lpg_liquid:HD-5")
RAIL, ZERO, SUCTION = part("TSK", "7026"), part("TSK", "Z-90"), part("VRD", "6115")
FILTER, PULSE_PUMP, SHUT_OFF = part("OLM", "1211"), part("VRD", "5030"), part("VRD", "6600")


def gauge(value: str, unit: str = "kPa") -> dict[str, str]:
    return quantity(value, unit, "gauge")


def outlet(
    name: str, at: tuple[DemoPlace, Part], asked: dict[str, str], set_at: dict[str, str], outcome: Answer
) -> CheckValue:
    """A set point against a need, with no adjustment to help it."""
    offered = {"outlet_pressure": set_at, "outlet_adjustment": {"state": "known_none"}}
    return CheckValue(name, UNSOURCED, *at, offered, {"outlet_pressure": asked}, "outlet_pressure", outcome)


def fine(name: str, offered: tuple[str, ...], outcome: Answer, calibration: str = "") -> CheckValue:
    """A fineness of (micron, basis, calibration) where 5 micron at beta 75 is asked; efficiency is 1 - 1/beta."""
    size, basis, *dust = offered
    given = {"fineness": quantity(size, "um"), "fineness_basis": basis} | (
        {"fineness_calibration": dust[0]} if dust else {}
    )
    asked = {"fineness": quantity("5", "um"), "fineness_basis": "beta_75"}
    asked |= {"fineness_calibration": calibration} if calibration else {}
    return CheckValue(name, "texts on beta ratios; ISO 11171, from memory", DIESEL_FILTER, FILTER, given, asked,
                      "fineness", outcome)  # fmt: skip


CASES = [
    CheckValue("CV35 vapour cylinder for a liquid-fed vaporiser", UNSOURCED, CONTAINER, part("VRD", "9034"), {}, {},
               "withdrawal", NOT_MET, Verdict.REJECTED),
    CheckValue("a cylinder for both serves either", UNSOURCED, CONTAINER, part("VRD", "9033"),
               {"withdrawal": ["liquid", "vapour"]}, {}, "withdrawal", MET),
    CheckValue("CV70 nominal for a beta rating", "texts on beta ratios", DIESEL_FILTER, FILTER,
               {"fineness": quantity("10", "um"), "fineness_basis": "nominal"},
               {"fineness": quantity("10", "um"), "fineness_basis": "beta_75"}, "fineness", UNKNOWN),
    CheckValue("at beta 75 the finer one serves", "texts on beta ratios", DIESEL_FILTER, FILTER,
               {"fineness": quantity("4.9", "um")}, {}, "fineness", MET),
    CheckValue("at beta 75 the coarser one does not", "texts on beta ratios", DIESEL_FILTER, FILTER,
               {"fineness": quantity("5.1", "um")}, {}, "fineness", NOT_MET, Verdict.REJECTED),
    fine("beta 1000 at the same size serves", ("5", "beta_1000"), MET),
    fine("beta 1000 at a larger size cannot be told", ("6", "beta_1000"), UNKNOWN),
    fine("beta 10 at the same size lets more through", ("5", "beta_10"), NOT_MET),
    fine("beta 10 at a larger size lets more through", ("9", "beta_10"), NOT_MET),
    fine("beta 10 at a smaller size cannot be told", ("4", "beta_10"), UNKNOWN),
    fine("absolute without its beta cannot be told", ("5", "absolute"), UNKNOWN),
    fine("sizes of the older dust are no ISO 11171 sizes", ("5", "beta_75", "ACFTD"), UNKNOWN, "ISO_11171"),
    fine("a calibration that nobody states is asked", ("5", "beta_75"), UNKNOWN, "ISO_11171"),
    fine("the same calibration", ("5", "beta_75", "ISO_11171"), MET, "ISO_11171"),
    CheckValue("a second-stage inlet at 11 psi", "UL 144 (2021), section 7: rated 10 psi", GOVERNOR, ZERO,
               {"max_pressure": gauge("10", "psi")}, {"max_pressure": gauge("11", "psi")}, "max_pressure", NOT_MET,
               Verdict.REJECTED),
    CheckValue("a vaporiser inlet at its floor", FLOORS, VAPORISER, RAIL, {"max_pressure": gauge("250", "psi")},
               {"max_pressure": gauge("184", "psi")}, "max_pressure", MET),
    CheckValue("a vaporiser inlet below its floor", FLOORS, VAPORISER, RAIL, {"max_pressure": gauge("249", "psi")},
               {"max_pressure": gauge("184", "psi")}, "max_pressure", NOT_MET, Verdict.REJECTED),
    CheckValue("a lock-off below its floor", FLOORS, LOCK_OFF, SHUT_OFF, {"max_pressure": gauge("200", "psi")}, {},
               "max_pressure", NOT_MET, Verdict.REJECTED),
    CheckValue("CV80 11 inches of water are 2.740 kPa", CONVERSION, GOVERNOR, ZERO,
               {"outlet_pressure": gauge("2.740"), "outlet_adjustment": {"state": "known_none"}},
               {"outlet_pressure": gauge("11", "inH2O")}, "outlet_pressure", MET),
    CheckValue("CV80 14 inches of water are 3.487 kPa", CONVERSION, GOVERNOR, ZERO,
               {"outlet_pressure": gauge("3.487"), "outlet_adjustment": {"state": "known_none"}},
               {"outlet_pressure": gauge("14", "inH2O")}, "outlet_pressure", MET),
    outlet("a rail 5 % low", (VAPORISER, RAIL), gauge("26", "psi"), gauge("24.7", "psi"), MET),
    outlet("a rail more than 5 % low", (VAPORISER, RAIL), gauge("26", "psi"), gauge("24.69", "psi"), NOT_MET),
    outlet("zero and 0.05 kPa", (GOVERNOR, ZERO), gauge("0"), gauge("0.05"), MET),
    outlet("zero and 0.06 kPa", (GOVERNOR, ZERO), gauge("0"), gauge("0.06"), NOT_MET),
    outlet("a suction 0.05 kPa off", (DEMAND_REGULATOR, SUCTION), gauge("-0.37"), gauge("-0.32"), MET),
    outlet("a suction 0.06 kPa off", (DEMAND_REGULATOR, SUCTION), gauge("-0.37"), gauge("-0.31"), NOT_MET),
    outlet("5 inches of water 0.12 kPa off", (GOVERNOR, ZERO), gauge("1.245"), gauge("1.125"), MET),
    outlet("5 inches of water 0.13 kPa off", (GOVERNOR, ZERO), gauge("1.245"), gauge("1.115"), NOT_MET),
    CheckValue("a regulator that can be set to the rail", UNSOURCED, VAPORISER, RAIL, {}, {}, "outlet_pressure",
               MET_IF),
    CheckValue("a pump at the float needle's 20 kPa", UNSOURCED, CARBURETTOR_PUMP, PULSE_PUMP,
               {"dead_head_pressure": gauge("20")}, {}, "dead_head_pressure", MET),
    CheckValue("a pump beyond the float needle's 20 kPa", UNSOURCED, CARBURETTOR_PUMP, PULSE_PUMP,
               {"dead_head_pressure": gauge("21")}, {}, "dead_head_pressure", NOT_MET, Verdict.REJECTED),
    CheckValue("a pump where the carburettor states 8 psi", "general articles on fuel pressure", CARBURETTOR_PUMP,
               PULSE_PUMP, {"dead_head_pressure": gauge("50")},
               {"dead_head_pressure": {"min": "4", "max": "8", "unit": "psi", "reference": "gauge"}},
               "dead_head_pressure", MET),
    CheckValue("an excess-flow valve larger than the line's rupture flow", UNSOURCED, COUPLER, part("TSK", "J-401"),
               {"excess_flow_closing": quantity("61", "kg/h")}, {}, "excess_flow_closing", NOT_MET, Verdict.REJECTED),
    CheckValue("an excess-flow valve below what the engine draws", UNSOURCED, COUPLER, part("TSK", "J-401"),
               {"excess_flow_closing": quantity("24", "kg/h")}, {}, "excess_flow_closing", NOT_MET, Verdict.REJECTED),
]  # fmt: skip


@pytest.mark.parametrize("rows", by_check_value(CASES))
def test_a_check_value_comes_out_as_published(rows: tuple[CheckValue, ...]) -> None:
    for row in rows:
        row.comes_out()


@pytest.mark.parametrize(
    ("rubber", "outcome", "effect"),
    [
        ("HNBR", MET, Effect.NONE),
        ("CR", MET_IF, Effect.CONDITION),
        ("EPDM", NOT_MET, Effect.REJECT),
        ("VMQ", NOT_MET, Effect.REJECT),
    ],
)
def test_a_diaphragm_stands_lp_gas_vapour_as_it_is_rated(rubber: str, outcome: Answer, effect: Effect) -> None:
    """Ratings 1, 2, 4 and 4 for propane in the open elastomer data set (Zenodo 22115966)."""
    offers = {
        **RAIL.offers,
        ("wetted_material", "fuel_side"): (Offer(Value((rubber,)), COMMON_PRACTICE),),
        ("wetted_material", "seat"): (Offer(Value((rubber,)), COMMON_PRACTICE),),
    }
    _, findings = VAPORISER.asked(replace(RAIL, maker="XYZ", offers=offers), {})
    found = findings["fuel_side_material"]
    assert (found.outcome, found.effect) == (outcome, effect), found.text


@pytest.mark.parametrize(
    ("body", "grade"), [("steel", "1"), ("stainless_steel", "1"), ("aluminium", "1"), ("brass", "4"), ("bronze", "4"),
                        ("copper", "4"), ("sintered_bronze", "4"), ("zinc_alloy", "4")]
)  # fmt: skip
def test_steel_and_aluminium_stand_b100_and_copper_and_zinc_do_not(body: str, grade: str) -> None:
    """US hand-out on materials for biodiesel (B100 and B20)."""
    assert rulebook().tables.ratings["body_materials"].grades[body, "diesel_B100"] == grade


def test_a_plastic_body_never_stands_lp_gas_liquid() -> None:
    """Common practice, no source."""
    assert rulebook().tables.ratings["body_materials"].grades["plastic", "lpg_liquid"] == "4"
