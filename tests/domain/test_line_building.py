"""The line of a demo engine: each stage known from the part specified there, the candidate, or what is stated."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from catalog.domain.answers import Basis, Verdict
from catalog.domain.applicability import Application, located
from catalog.domain.fuels import Fuel, FuelRecord, Phase, RecordMode
from catalog.domain.parts import Part
from catalog.domain.quantities import quantity
from catalog.domain.supply.deciding_line import SupplyDecision, decide_line
from catalog.domain.supply.line_building import Build, StageRow, build_line
from catalog.domain.supply.stages import Known, Line, StageKind
from catalog.domain.values import Value
from tests.demo_world import engine, part, rulebook
from tests.domain.lines import CASES, conditions, fluids, stage

pytestmark = pytest.mark.domain
LP_LIQUID = Fuel("lpg_liquid", "HD-5")
RAIL = stage({"kind": "rail", "values": {"rail_pressure": "24..30 psi gauge"}}).facts
ROWS = (
    StageRow(StageKind.CONTAINER, position="container"),
    StageRow(StageKind.FITTING, position="container_coupler"),
    StageRow(StageKind.HOSE, position="hose_container_lockoff"),
    StageRow(StageKind.VALVE, position="lock_off"),
    StageRow(StageKind.VAPORISER, position="vaporiser"),
    StageRow(StageKind.RAIL, "gas rail", values=RAIL),
)


def truck(rows: tuple[StageRow, ...] = ROWS, **replaced: Part) -> Line:
    record = FuelRecord((LP_LIQUID,), RecordMode.ONLY_FUEL, date(2026, 1, 12))
    application = Application(
        specification="VRD-H40 S-131", plate_fuels=(LP_LIQUID,), fuel_records=(record,), certified=False
    )
    where = located(application, rulebook().fuels)
    return build_line(Build(rulebook(), engine("VRD-H40", "S-131"), where, LP_LIQUID, replaced), rows)


def decided(line: Line, **changes: object) -> SupplyDecision:
    return decide_line(line, conditions({**CASES[0], **changes}), rulebook(), fluids())


def test_each_stage_is_known_by_the_part_specified_there() -> None:
    line = truck()
    assert [found.position for found in line.stages][:3] == ["container", "container_coupler", "hose_container_lockoff"]
    assert line.withdrawal is Phase.LIQUID
    hose = line.stages[2]
    assert hose.part == "TSK H-410"
    assert hose.inlet == ("LPG-CL",)
    known = hose.known("working_pressure")
    assert known is not None
    assert known.basis is Basis.PART_DATA


def test_a_candidate_stands_in_for_the_part_specified() -> None:
    """A vaporiser for a low-pressure rail, 9 to 12 psi, where about 26 are needed: common practice, no source."""
    decision = decided(truck(vaporiser=part("TSK", "7008")), air=[0, 40])
    assert decision.verdict is Verdict.REJECTED
    assert any("rail" in f.text and f.outcome.value == "not_met" for f in decision.findings)


def test_the_specified_line_is_fed_in_a_hall_and_not_in_the_cold() -> None:
    """HD-5 lean holds 26 psi down to -15.6 degC."""
    warm, cold = decided(truck(), air=[5, 40]), decided(truck(), air=[-30, 40])
    assert warm.verdict in (Verdict.ACCEPTED, Verdict.CONDITIONAL), warm.headline
    assert cold.verdict is Verdict.REJECTED
    assert cold.headline.startswith("Below -15 degC")


def test_a_vapour_regulator_on_a_liquid_line_is_refused_by_its_own_service() -> None:
    """By phase and not by its thread: the place is for liquid, the part for vapour (UL 144: vapour service)."""
    governor = decided(truck(vaporiser=part("TSK", "Z-90")), air=[5, 40])
    phase = next(f for f in governor.findings if f.attribute == "phase" and f.slot == "vaporiser")
    assert governor.verdict is Verdict.REJECTED
    assert "not made for liquid" in phase.text


def test_a_stage_whose_sources_disagree_is_asked() -> None:
    found = part("TSK", "7026")
    place = ("outlet_pressure", None)
    twice = (*found.offers[place], replace(found.offers[place][0], value=Value(quantity("12", "psi", "gauge"))))
    line = truck(vaporiser=replace(found, offers={**found.offers, place: twice}))
    assert line.stages[4].known("outlet_pressure") is not None  # what the position states
    assert line.stages[4].known("outlet_pressure") != Known(twice[1].value, Basis.PART_DATA, twice[1].source)


def test_a_stage_without_a_position_knows_what_it_states() -> None:
    rail = truck().stages[-1]
    assert (rail.shown, rail.position) == ("gas rail", None)
    assert rail.span("rail_pressure")[0] == pytest.approx(24 * 6894.757, rel=1e-4)
