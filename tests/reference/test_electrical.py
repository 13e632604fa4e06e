"""Check values and band edges for coils, sensors, oxygen sensors, glow plugs, switches and batteries.

Each stands beside its source. A case states one demand at a demo position, changes one attribute of a demo part, and
looks at the one finding that the value speaks of; no part is specified there, so nothing is lent.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from catalog.domain.answers import Answer, Effect, Verdict
from catalog.domain.comparing_numbers import as_interval
from tests.demo_world import part
from tests.reference.asked_of_the_demo import UNSOURCED, CheckValue, DemoPlace, by_check_value, changed, quantity

pytestmark = pytest.mark.domain
MET, NOT_MET, UNKNOWN = Answer.MET, Answer.NOT_MET, Answer.UNKNOWN
SUPPLIES = "ISO 16750-2, from memory; 12 V system 9 to 16 V, 24 V system 18 to 32 V"
TYPES = "oxygen-sensor type guide"

COIL_12 = DemoPlace("VRD-H40", "S-131", "ignition_coil", "lpg_liquid:HD-5")
COIL_24 = DemoPlace("TSK-R60", "N-43", "ignition_coil", "natural_gas:pipeline gas")
RAIL_SENSOR = DemoPlace("VRD-H40", "S-118", "rail_pressure_sensor", "lpg_liquid:HD-5")
COOLANT_SENSOR = DemoPlace("VRD-H40", "S-131", "coolant_temperature_sensor", "lpg_liquid:HD-5")
OXYGEN = DemoPlace("VRD-H40", "S-205", "oxygen_sensor", "gasoline:E10")
GLOW = DemoPlace("OLM-K55", "D-30A", "glow_plug", "diesel:B7")
OIL_SWITCH = DemoPlace("VRD-H40", "S-131", "oil_pressure_switch", "lpg_liquid:HD-5")
BATTERY = DemoPlace("VRD-H40", "S-131", "battery", "lpg_liquid:HD-5")
PACK, PRESSURE_SENSOR, THERMISTOR = part("TSK", "E-520"), part("VRD", "8830-20"), part("TSK", "S-825")
ZIRCONIA, TITANIA, GLOW_PLUG = part("TSK", "O-850"), part("VRD", "8851"), part("VRD", "G-771")
SWITCH, STARTING_BATTERY = part("TSK", "P-891"), part("TSK", "B-680")


def volts(low: str, high: str) -> dict[str, str]:
    return {"min": low, "max": high, "unit": "V"}


def slope(value: str) -> dict[str, str]:
    return quantity(value, "mV/kPa")


CASES = [
    CheckValue("CV39 12 V coil on 24 V", SUPPLIES, COIL_24, part("TSK", "5502"), {}, {}, "supply_voltage", NOT_MET,
               Verdict.REJECTED),
    CheckValue("CV39 9 to 32 V electronics pass both", SUPPLIES, COIL_24, part("TSK", "5502"),
               {"supply_voltage": volts("9", "32")}, {}, "supply_voltage", MET),
    CheckValue("CV44 slope of 0 to 10 bar for 0 to 7 bar", "arithmetic: 0.400 against 0.571 V/bar", RAIL_SENSOR,
               part("VRD", "8830-21"), {}, {"sensor_slope": slope("5.714")}, "sensor_slope", NOT_MET, Verdict.REJECTED),
    CheckValue("CV44 the offset agrees and proves nothing", "arithmetic: both begin at 0.5 V", RAIL_SENSOR,
               part("VRD", "8830-21"), {}, {"sensor_offset": quantity("0.5", "V")}, "sensor_offset", MET),
    CheckValue("CV46 titania for zirconia", TYPES, OXYGEN, TITANIA, {},
               {"oxygen_principle": "zirconia_switching"}, "oxygen_principle", NOT_MET, Verdict.REJECTED),
    CheckValue("CV46 thread and wires agree", TYPES, OXYGEN, TITANIA, {}, {"oxygen_wires": "4"}, "oxygen_thread", MET),
    CheckValue("slope 2 % off", UNSOURCED, RAIL_SENSOR, PRESSURE_SENSOR, {"sensor_slope": slope("5.1")},
               {"sensor_slope": slope("5")}, "sensor_slope", MET),
    CheckValue("slope more than 2 % off", UNSOURCED, RAIL_SENSOR, PRESSURE_SENSOR, {"sensor_slope": slope("5.101")},
               {"sensor_slope": slope("5")}, "sensor_slope", NOT_MET, Verdict.REJECTED),
    CheckValue("thermistor 5 % off", UNSOURCED, COOLANT_SENSOR, THERMISTOR,
               {"resistance_at_25": quantity("2625", "ohm")}, {"resistance_at_25": quantity("2500", "ohm")},
               "resistance_at_25", MET),
    CheckValue("thermistor more than 5 % off", UNSOURCED, COOLANT_SENSOR, THERMISTOR,
               {"resistance_at_25": quantity("2374", "ohm")}, {"resistance_at_25": quantity("2500", "ohm")},
               "resistance_at_25", NOT_MET, Verdict.REJECTED),
    CheckValue("B value more than 1 % off", UNSOURCED, COOLANT_SENSOR, THERMISTOR,
               {"b_value": quantity("3546", "K", "difference")}, {"b_value": quantity("3510", "K", "difference")},
               "b_value", NOT_MET, Verdict.REJECTED),
    CheckValue("primary resistance 15 % off", UNSOURCED, COIL_12, PACK,
               {"primary_resistance": quantity("0.575", "ohm")}, {"primary_resistance": quantity("0.5", "ohm")},
               "coil_primary", MET),
    CheckValue("primary resistance more than 15 % off", UNSOURCED, COIL_12, PACK,
               {"primary_resistance": quantity("0.58", "ohm")}, {"primary_resistance": quantity("0.5", "ohm")},
               "coil_primary", NOT_MET, Verdict.REJECTED),
    CheckValue("heater of a zirconia sensor at the end of its band", TYPES, OXYGEN, ZIRCONIA,
               {"heater_resistance": quantity("4.6", "ohm")}, {"heater_resistance": quantity("4", "ohm")},
               "heater_resistance", MET),
    CheckValue("heater of another sensor", TYPES, OXYGEN, ZIRCONIA, {"heater_resistance": quantity("7", "ohm")},
               {"heater_resistance": quantity("4", "ohm")}, "heater_resistance", NOT_MET, Verdict.REJECTED),
    CheckValue("glow plug 0.3 mm longer", UNSOURCED, GLOW, GLOW_PLUG, {"glow_protrusion": quantity("24.3", "mm")},
               {"glow_protrusion": quantity("24", "mm")}, "glow_protrusion", MET),
    CheckValue("glow plug more than 0.3 mm longer", UNSOURCED, GLOW, GLOW_PLUG,
               {"glow_protrusion": quantity("24.4", "mm")}, {"glow_protrusion": quantity("24", "mm")},
               "glow_protrusion", NOT_MET, Verdict.REJECTED),
    CheckValue("set point 5 % off", UNSOURCED, OIL_SWITCH, SWITCH, {"set_pressure": quantity("42", "kPa", "gauge")},
               {"set_pressure": quantity("40", "kPa", "gauge")}, "set_pressure", MET),
    CheckValue("set point more than 5 % off", UNSOURCED, OIL_SWITCH, SWITCH,
               {"set_pressure": quantity("37.9", "kPa", "gauge")}, {"set_pressure": quantity("40", "kPa", "gauge")},
               "set_pressure", NOT_MET, Verdict.REJECTED),
    CheckValue("cranking current by another test", UNSOURCED, BATTERY, STARTING_BATTERY, {"cold_crank_basis": "SAE"},
               {}, "cold_crank", UNKNOWN),
    CheckValue("cranking current too small by the same test", UNSOURCED, BATTERY, STARTING_BATTERY,
               {"cold_crank": quantity("499", "A")}, {}, "cold_crank", NOT_MET, Verdict.REJECTED),
    CheckValue("gel battery where none may be", UNSOURCED, BATTERY, STARTING_BATTERY, {"battery_kind": "gel"}, {},
               "battery_kind", NOT_MET, Verdict.REJECTED),
]  # fmt: skip


@pytest.mark.parametrize("rows", by_check_value(CASES))
def test_a_value_comes_out_as_its_source_says(rows: tuple[CheckValue, ...]) -> None:
    for row in rows:
        row.comes_out()


def test_cv44_a_ten_bar_sensor_reads_five_bar_as_three_and_a_half() -> None:
    """Arithmetic: 5.0 bar gives 0.5 V + 5 x 0.400 V, which a controller set for 0.571 V/bar takes for 3.5 bar."""
    slopes = [as_interval(part("VRD", number).at(("sensor_slope", None))[0].value) for number in ("8830-21", "8830-20")]
    offered, asked = (Fraction(found.low.amount) for found in slopes if found.low)
    assert abs(float(5 * offered / asked) - 3.5) <= 0.01


def test_a_lead_that_is_too_short_is_a_condition_and_never_met() -> None:
    """Common practice: whether a shorter lead reaches is seen on the engine."""
    asked = {"lead_length": quantity("500", "mm")}
    _, findings = OXYGEN.asked(changed(ZIRCONIA, {"lead_length": quantity("499", "mm")}), asked)
    finding = findings["lead_length"]
    assert (finding.outcome, finding.effect) == (NOT_MET, Effect.CONDITION)
