"""Gasoline and diesel lines by limits: pump against draw, pressure against rail or needle, ratings against the pump.

Windows: general articles on fuel pressure; the float needle's 20 kPa: common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest

from catalog.domain.answers import Verdict
from catalog.domain.supply.deciding_line import SupplyDecision
from catalog.domain.supply.fuel_line import Feed, decide_fuel_line
from catalog.domain.supply.stages import Line
from tests.demo_world import rulebook
from tests.domain.lines import stage

pytestmark = pytest.mark.domain
PULSE = {"pump_flow": "20 L/h", "dead_head_pressure": "18 kPa gauge"}
ELECTRIC = {"pump_flow": "70 L/h", "dead_head_pressure": "600 kPa gauge"}
NEEDLE, RAIL = "0..20 kPa gauge", "285..315 kPa gauge"
HOSE_50, HOSE_100 = "50 psi gauge", "100 psi gauge"


def decided(pump: dict[str, str] | None, window: str, hose: str | None = None, **more: Any) -> SupplyDecision:
    """A line of pump, hose, (with `regulator`) regulator, and what takes the fuel; 10 kg/h unless told otherwise."""
    stages = [stage({"kind": "pump", "name": "pump", "values": pump})] if pump is not None else []
    if hose:
        stages.append(stage({"kind": "hose", "inlet": ["GAS-PI"], "values": {"working_pressure": hose}}))
    if "regulator" in more:
        stages.append(stage({"kind": "regulator", "values": more["regulator"]}))
    stages.append(stage({"kind": "rail", "name": "rail", "values": {"rail_pressure": window} if window else {}}))
    flow = more.get("draws", 10.0)
    line = Line("Pump set", more.get("fuel", "gasoline:E10"), tuple(stages))
    return decide_fuel_line(Feed(line, rulebook(), None if flow is None else flow / 3600))


def test_a_pulse_pump_feeds_a_float_carburettor() -> None:
    assert decided(PULSE, NEEDLE).verdict is Verdict.ACCEPTED


def test_an_injection_pump_floods_the_needle() -> None:
    found = decided(ELECTRIC, NEEDLE)
    assert found.verdict is Verdict.REJECTED
    assert "gives 87 psi gauge" in found.headline


def test_a_regulator_brings_the_pump_down_to_the_rail() -> None:
    """300 kPa at the rail; the hose ahead of it sees all that the pump can push, 87 psi."""
    regulator = {"outlet_pressure": "300 kPa gauge", "max_pressure": "700 kPa gauge"}
    assert decided(ELECTRIC, RAIL, HOSE_100, regulator=regulator).verdict is Verdict.ACCEPTED
    weak = decided(ELECTRIC, RAIL, HOSE_50, regulator=regulator)
    assert weak.verdict is Verdict.REJECTED
    assert "50 psi gauge only" in weak.headline


def test_a_pump_that_delivers_less_than_is_drawn_is_rejected() -> None:
    """20 L/h of gasoline at 0.745 kg/L are 14.9 kg/h."""
    assert decided(PULSE, NEEDLE, draws=14.8).verdict is Verdict.ACCEPTED
    short = decided(PULSE, NEEDLE, draws=15.0)
    assert short.verdict is Verdict.REJECTED
    assert "14.9 kg/h only" in short.headline


def test_diesel_weighs_more_by_the_litre() -> None:
    """20 L/h at 0.837 kg/L are 16.7 kg/h."""
    assert decided(PULSE, NEEDLE, draws=16.5, fuel="diesel:B7").verdict is Verdict.ACCEPTED


@pytest.mark.parametrize(
    ("pump", "window", "draws", "fact"),
    [
        (None, NEEDLE, 10.0, "pump"),
        ({"dead_head_pressure": "18 kPa gauge"}, NEEDLE, 10.0, "pump: pump_flow"),
        ({"pump_flow": "20 L/h"}, NEEDLE, 10.0, "pump: dead_head_pressure"),
        (PULSE, "", 10.0, "rail: rail_pressure"),
    ],
)
def test_what_is_not_recorded_is_asked(pump: dict[str, str] | None, window: str, draws: float, fact: str) -> None:
    found = decided(pump, window, draws=draws)
    assert found.verdict is Verdict.UNDETERMINED
    assert fact in {missing.name for missing in found.missing}
