"""Published check values for plugs, fuel hoses and injectors, each beside its source.

A case changes one attribute of a demo part, or states one demand at a demo position, and looks at the one finding
that the check value speaks of.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Verdict
from catalog.domain.applicability import Application
from catalog.domain.checking import decide
from catalog.domain.findings import Finding
from catalog.domain.fuels import FuelRecord, RecordMode, known_fuel
from catalog.domain.parts import Part, Position
from catalog.domain.questions import Engine, Item, Question
from catalog.domain.value_documents import read_value
from catalog.domain.values import Demand, Offer, Place
from tests.demo_world import engine, part, rulebook

pytestmark = pytest.mark.domain
COVERED: Mapping[str, str] = json.loads(Path(__file__).with_name("coverage.json").read_text(encoding="utf-8"))


@dataclass(frozen=True)
class DemoPlace:
    """A demo position without any statement: what it needs is what a case states, and nothing is lent."""

    model: str
    spec: str
    position: str
    burned: str

    def asked(self, candidate: Part, demands: Mapping[str, Any]) -> tuple[Verdict, Mapping[str, Finding]]:
        built = engine(self.model, self.spec)
        bare = next(entry for entry in built.positions if entry.code == self.position)
        place = replace(bare, demands=_demands(bare, demands))
        record = FuelRecord((known_fuel(self.burned, rulebook().fuels),), RecordMode.ONLY_FUEL, date(2026, 1, 12))
        application = Application(plate_fuels=record.fuels, fuel_records=(record,), certified=False, ecu=True)
        question = Question(
            rulebook(), (Item(candidate),), application, Engine("E", built.fuels, (place,)), self.position
        )
        decision = decide(question)
        return decision.verdict, {finding.attribute: finding for finding in decision.findings}


def _demands(position: Position, raw: Mapping[str, Any]) -> Mapping[Place, tuple[Demand, ...]]:
    stated: dict[Place, tuple[Demand, ...]] = {
        (name, None): (Demand(_value(name, value), Basis.STATED, COMMON_PRACTICE),) for name, value in raw.items()
    }
    return {**position.demands, **stated}


def _value(name: str, raw: Any) -> Any:
    return read_value(raw, rulebook().attributes[name], pointer="")


def changed(found: Part, raw: Mapping[str, Any]) -> Part:
    """The part with some attributes stated otherwise; None takes an attribute away."""
    offers = {place: offer for place, offer in found.offers.items() if place[0] not in raw}
    stated: dict[Place, tuple[Offer, ...]] = {
        (name, None): (Offer(_value(name, value), COMMON_PRACTICE),) for name, value in raw.items() if value is not None
    }
    return replace(found, maker="XYZ", offers={**offers, **stated})


def quantity(value: str, unit: str, reference: str | None = None) -> dict[str, str]:
    return {"value": value, "unit": unit} | ({"reference": reference} if reference else {})


PLUG = DemoPlace("VRD-H40", "S-131", "spark_plug", "gasoline:E10")
INJECTOR = DemoPlace("VRD-H40", "S-131", "injector", "gasoline:E10")
RAIL_HOSE = DemoPlace("VRD-H40", "S-131", "rail_hose", "gasoline:E10")
CONTAINER_HOSE = DemoPlace("VRD-H40", "S-131", "hose_container_lockoff", "lpg_liquid:HD-5")
FEED_HOSE = DemoPlace("OLM-K55", "D-30A", "fuel_feed_hose", "diesel:B7")
GASOLINE_PLUG, GASOLINE_INJECTOR = part("VRD", "4410-07"), part("TSK", "V-610")
GASOLINE_HOSE, CONTAINER_HOSE_PART, FEED_HOSE_PART = part("VRD", "3140"), part("TSK", "H-410"), part("OLM", "3140")


@dataclass(frozen=True)
class CheckValue:
    """What one check value looks at; `text_has` are words its finding has to say."""

    id: str
    source: str
    place: DemoPlace
    candidate: Part
    offered: Mapping[str, Any]
    demanded: Mapping[str, Any]
    attribute: str
    outcome: Answer
    verdict: Verdict | None = None
    text_has: tuple[str, ...] = ()


UNSOURCED, IMPEDANCE = "common practice, no source", "injector impedance notes, two controller manuals"
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


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.id)
def test_a_check_value_comes_out_as_published(case: CheckValue) -> None:
    verdict, findings = case.place.asked(changed(case.candidate, case.offered), case.demanded)
    finding = findings[case.attribute]
    assert finding.outcome is case.outcome, finding.text
    assert case.verdict in (None, verdict)
    for words in case.text_has:
        assert words in finding.text


def test_a_resistor_where_none_is_asked_is_a_condition() -> None:
    _, findings = PLUG.asked(changed(GASOLINE_PLUG, {"resistor": True}), {"resistor": False})
    assert findings["resistor_alike"].effect.value == "condition"
    assert findings["resistor"].outcome is Answer.MET


# CV38: liquid flow goes with the square root of the pressure difference; factors to 0.2 %, physics.
@pytest.mark.parametrize(("stated_at", "asked_at", "factor"), [("300", "250", 0.913), ("300", "400", 1.155)])
def test_cv38_liquid_flow_is_scaled_by_the_root_of_the_pressure_difference(
    stated_at: str, asked_at: str, factor: float
) -> None:
    offered = {"static_flow": quantity("200", "g/min"), "flow_fluid": "n-heptane",
               "flow_pressure_difference": quantity(stated_at, "kPa", "difference")}  # fmt: skip
    demanded = {"static_flow": quantity(f"{200 * factor:.2f}", "g/min"), "flow_fluid": "n-heptane",
                "flow_pressure_difference": quantity(asked_at, "kPa", "difference")}  # fmt: skip
    _, findings = INJECTOR.asked(changed(GASOLINE_INJECTOR, offered), demanded)
    finding = findings["static_flow"]
    assert finding.outcome is Answer.MET
    assert finding.margin is not None
    assert abs(float(finding.margin.split()[0])) <= 200 * factor * 0.002


def test_cv38_a_gas_flow_is_never_scaled_so() -> None:
    offered = {"flow_fluid": "propane", "flow_pressure_difference": quantity("300", "kPa", "difference")}
    demanded = {"static_flow": quantity("208", "g/min"), "flow_fluid": "propane",
                "flow_pressure_difference": quantity("250", "kPa", "difference")}  # fmt: skip
    _, findings = INJECTOR.asked(changed(GASOLINE_INJECTOR, offered), demanded)
    assert findings["static_flow"].outcome is Answer.UNKNOWN


def test_every_check_value_said_to_be_covered_here_is_tried_here() -> None:
    here = {case.id.split()[0] for case in CASES if case.id.startswith("CV")} | {"CV38"}
    assert here == {value for value, file in COVERED.items() if file == Path(__file__).name}
