"""Published check values for plugs, fuel hoses and injectors, each beside its source.

A case changes one attribute of a demo part, or states one demand at a demo position, and looks at the one finding
that the check value speaks of.
"""

from __future__ import annotations

import pytest

from catalog.domain.answers import Answer, Verdict
from tests.demo_world import part
from tests.reference.asked_of_the_demo import UNSOURCED, CheckValue, DemoPlace, by_check_value, changed, quantity

pytestmark = pytest.mark.domain


PLUG = DemoPlace("VRD-H40", "S-131", "spark_plug", "gasoline:E10")
INJECTOR = DemoPlace("VRD-H40", "S-131", "injector", "gasoline:E10")
RAIL_HOSE = DemoPlace("VRD-H40", "S-131", "rail_hose", "gasoline:E10")
CONTAINER_HOSE = DemoPlace("VRD-H40", "S-131", "hose_container_lockoff", "lpg_liquid:HD-5")
FEED_HOSE = DemoPlace("OLM-K55", "D-30A", "fuel_feed_hose", "diesel:B7")
GASOLINE_PLUG, GASOLINE_INJECTOR = part("VRD", "4410-07"), part("TSK", "V-610")
GASOLINE_HOSE, CONTAINER_HOSE_PART, FEED_HOSE_PART = part("VRD", "3140"), part("TSK", "H-410"), part("OLM", "3140")


IMPEDANCE = "injector impedance notes, two controller manuals"
REJECTED, NOT_MET, MET, UNKNOWN = Verdict.REJECTED, Answer.NOT_MET, Answer.MET, Answer.UNKNOWN
CASES = [
    CheckValue("CV34 complete listings", "UL 21 scope", CONTAINER_HOSE, CONTAINER_HOSE_PART,
               {"listed_uses": ["outdoor_piping", "transfer"]}, {}, "listed_uses", NOT_MET, REJECTED),
    CheckValue("CV34 listings not recorded", "UL 21 scope", CONTAINER_HOSE, CONTAINER_HOSE_PART,
               {"listed_uses": None}, {}, "listed_uses", UNKNOWN, Verdict.UNDETERMINED),
    CheckValue("CV34 pressure passes", "UL 21 scope", CONTAINER_HOSE, CONTAINER_HOSE_PART,
               {"listed_uses": ["outdoor_piping", "transfer"]}, {}, "working_pressure", MET),
    CheckValue("CV37 connector mates", IMPEDANCE, INJECTOR, GASOLINE_INJECTOR,
               {"coil_resistance": quantity("2.4", "ohm"), "drive_type": "peak_and_hold"},
               {"drive_type": "saturated", "coil_resistance": quantity("14.5", "ohm")}, "connector", MET, REJECTED),
    CheckValue("CV37 driver differs", IMPEDANCE, INJECTOR, GASOLINE_INJECTOR,
               {"coil_resistance": quantity("2.4", "ohm"), "drive_type": "peak_and_hold"},
               {"drive_type": "saturated", "coil_resistance": quantity("14.5", "ohm")}, "drive_type",
               NOT_MET, REJECTED),
    CheckValue("CV37 resistance differs", IMPEDANCE, INJECTOR, GASOLINE_INJECTOR,
               {"coil_resistance": quantity("2.4", "ohm")}, {"coil_resistance": quantity("14.5", "ohm")},
               "coil_resistance", NOT_MET, REJECTED),
    CheckValue("CV57 reach", UNSOURCED, PLUG, GASOLINE_PLUG, {"reach": quantity("19.0", "mm")},
               {"reach": quantity("12.7", "mm")}, "reach", NOT_MET, REJECTED, ("19 mm", "12.7 mm")),
    CheckValue("CV57 seat", UNSOURCED, PLUG, GASOLINE_PLUG, {"plug_seat": "gasket"}, {"plug_seat": "conical"},
               "plug_seat", NOT_MET, REJECTED, ("gasket", "conical")),
    CheckValue("CV58 unmapped heat number", "spark-plug heat-range pages", PLUG, GASOLINE_PLUG,
               {"heat_range": None, "heat_number": "7"}, {"heat_range": quantity("7", "each")}, "heat_range", UNKNOWN),
    CheckValue("CV74 R14 at 400 kPa", "SAE J30 scopes; pressures from memory", RAIL_HOSE, GASOLINE_HOSE,
               {"hose_standard": "SAE_J30_R14", "working_pressure": quantity("50", "psi", "gauge")},
               {"working_pressure": quantity("400", "kPa", "gauge")}, "working_pressure", NOT_MET, REJECTED),
    CheckValue("CV74 a higher number is no higher class", "SAE J30 scopes", RAIL_HOSE, GASOLINE_HOSE,
               {"hose_standard": "SAE_J30_R14"}, {"hose_standard": "SAE_J30_R9"}, "hose_standard", NOT_MET, REJECTED),
    CheckValue("CV79 5/16 in hose on an 8 mm barb", UNSOURCED, FEED_HOSE, FEED_HOSE_PART,
               {"hose_bore": quantity("7.94", "mm")}, {"hose_bore": quantity("8", "mm")}, "hose_bore", MET),
    CheckValue("CV79 1/4 in hose on a 6 mm barb", UNSOURCED, FEED_HOSE, FEED_HOSE_PART,
               {"hose_bore": quantity("6.35", "mm")}, {"hose_bore": quantity("6", "mm")}, "hose_bore",
               NOT_MET, REJECTED),
    CheckValue("a blade of the next size can be forced and is never within tolerance", "ISO 8092, from memory",
               INJECTOR, GASOLINE_INJECTOR, {"connector_terminal": "4.8"}, {"connector_family": "C-24",
               "connector_ways": "2", "connector_key": "A", "connector_terminal": "2.8", "connector_seal": "sealed",
               "connector_gender": "female"}, "connector", NOT_MET, REJECTED),
    CheckValue("container hose at its floor", "CSA B149.1 6.2.10, UL 21", CONTAINER_HOSE, CONTAINER_HOSE_PART,
               {"working_pressure": quantity("350", "psi", "gauge")}, {}, "working_pressure", MET),
    CheckValue("container hose below its floor", "CSA B149.1 6.2.10, UL 21", CONTAINER_HOSE, CONTAINER_HOSE_PART,
               {"working_pressure": quantity("300", "psi", "gauge")}, {}, "working_pressure", NOT_MET, REJECTED),
    CheckValue("the floor as it is printed in megapascal", "UL 21 scope: 350 psi, 2.4 MPa", CONTAINER_HOSE,
               CONTAINER_HOSE_PART, {"working_pressure": quantity("2.4", "MPa", "gauge")}, {}, "working_pressure", MET),
    CheckValue("less than the floor is printed as", "UL 21 scope: 350 psi, 2.4 MPa", CONTAINER_HOSE,
               CONTAINER_HOSE_PART, {"working_pressure": quantity("2.3", "MPa", "gauge")}, {}, "working_pressure",
               NOT_MET, REJECTED),
    CheckValue("a stated demand never lowers the floor", "CSA B149.1 6.2.10, UL 21", CONTAINER_HOSE,
               CONTAINER_HOSE_PART, {"working_pressure": quantity("300", "psi", "gauge")},
               {"working_pressure": quantity("184", "psi", "gauge")}, "working_pressure", NOT_MET, REJECTED,
               ("350 psi",)),
    CheckValue("a stated demand raises the floor", "CSA B149.1 6.2.10, UL 21", CONTAINER_HOSE, CONTAINER_HOSE_PART,
               {"working_pressure": quantity("350", "psi", "gauge")},
               {"working_pressure": quantity("375", "psi", "gauge")}, "working_pressure", NOT_MET, REJECTED),
    CheckValue("heat range as asked", "spark-plug heat-range pages", PLUG, GASOLINE_PLUG, {},
               {"heat_range": quantity("6", "each")}, "heat_range", MET),
    CheckValue("heat range a step away", "spark-plug heat-range pages", PLUG, GASOLINE_PLUG, {},
               {"heat_range": quantity("7", "each")}, "heat_range", Answer.MET_IF),
    CheckValue("heat range two steps away", "spark-plug heat-range pages", PLUG, GASOLINE_PLUG, {},
               {"heat_range": quantity("8", "each")}, "heat_range", NOT_MET, REJECTED),
    CheckValue("a plug whose gap may be set", UNSOURCED, PLUG, GASOLINE_PLUG, {"gap_adjustable": True},
               {"gap": quantity("0.7", "mm")}, "gap", Answer.MET_IF),
    CheckValue("a plug whose gap may not be set", UNSOURCED, PLUG, GASOLINE_PLUG, {"gap_adjustable": False},
               {"gap": quantity("0.7", "mm")}, "gap", NOT_MET, REJECTED),
    CheckValue("a plug of which nobody says it", UNSOURCED, PLUG, GASOLINE_PLUG, {"gap_adjustable": None},
               {"gap": quantity("0.7", "mm")}, "gap", UNKNOWN),
    CheckValue("a gap within five hundredths", UNSOURCED, PLUG, GASOLINE_PLUG, {"gap_adjustable": False},
               {"gap": quantity("0.85", "mm")}, "gap", MET),
    CheckValue("a plain plug where a resistor is asked", UNSOURCED, PLUG, GASOLINE_PLUG, {"resistor": False},
               {"resistor": True}, "resistor", NOT_MET, REJECTED),
    CheckValue("a resistor plug where none is asked", UNSOURCED, PLUG, GASOLINE_PLUG, {"resistor": True},
               {"resistor": False}, "resistor_alike", NOT_MET, None),
    CheckValue("flow off by 10 % and no more", UNSOURCED, INJECTOR, GASOLINE_INJECTOR,
               {"static_flow": quantity("220", "g/min")}, {"static_flow": quantity("200", "g/min"),
               "flow_pressure_difference": quantity("300", "kPa", "difference"), "flow_fluid": "n-heptane"},
               "static_flow", Answer.MET_IF),
    CheckValue("flow off by more than 10 %", UNSOURCED, INJECTOR, GASOLINE_INJECTOR,
               {"static_flow": quantity("220.1", "g/min")}, {"static_flow": quantity("200", "g/min"),
               "flow_pressure_difference": quantity("300", "kPa", "difference"), "flow_fluid": "n-heptane"},
               "static_flow", NOT_MET, REJECTED),
]  # fmt: skip


@pytest.mark.parametrize("rows", by_check_value(CASES))
def test_a_check_value_comes_out_as_published(rows: tuple[CheckValue, ...]) -> None:
    for row in rows:
        row.comes_out()


def test_a_resistor_where_none_is_asked_is_a_condition() -> None:
    _, findings = PLUG.asked(changed(GASOLINE_PLUG, {"resistor": True}), {"resistor": False})
    assert findings["resistor_alike"].effect.value == "condition"
    assert findings["resistor"].outcome is Answer.MET


def scaled(stated_at: str, asked_at: str, factor: float) -> float:
    """How far off an injector is, in shares of the flow, that passes what the root of the pressures says."""
    offered = {"static_flow": quantity("200", "g/min"), "flow_fluid": "n-heptane",
               "flow_pressure_difference": quantity(stated_at, "kPa", "difference")}  # fmt: skip
    demanded = {"static_flow": quantity(f"{200 * factor:.2f}", "g/min"), "flow_fluid": "n-heptane",
                "flow_pressure_difference": quantity(asked_at, "kPa", "difference")}  # fmt: skip
    _, findings = INJECTOR.asked(changed(GASOLINE_INJECTOR, offered), demanded)
    finding = findings["static_flow"]
    assert finding.outcome is Answer.MET
    assert finding.margin is not None
    return abs(float(finding.margin.split()[0])) / (200 * factor)


@pytest.mark.parametrize(
    "factors", [pytest.param((("300", "250", 0.913), ("300", "400", 1.155)), id="CV38 factors to 0.2 %, physics")]
)
def test_liquid_flow_is_scaled_by_the_root_of_the_pressure_difference(
    factors: tuple[tuple[str, str, float], ...],
) -> None:
    assert all(scaled(*row) <= 0.002 for row in factors)


def test_a_gas_flow_is_never_scaled_so() -> None:
    offered = {"flow_fluid": "propane", "flow_pressure_difference": quantity("300", "kPa", "difference")}
    demanded = {"static_flow": quantity("208", "g/min"), "flow_fluid": "propane",
                "flow_pressure_difference": quantity("250", "kPa", "difference")}  # fmt: skip
    _, findings = INJECTOR.asked(changed(GASOLINE_INJECTOR, offered), demanded)
    assert findings["static_flow"].outcome is Answer.UNKNOWN
