"""What a line computes for its positions counts in the check of a part, beside what is stated and what codes ask."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from catalog.domain.answers import Answer, Basis, Verdict
from catalog.domain.applicability import Application
from catalog.domain.checking import decide
from catalog.domain.fuels import FuelRecord, RecordMode, known_fuel
from catalog.domain.parts import Part
from catalog.domain.questions import Decision, Engine, Item, Question
from catalog.domain.supply.line_demands import LineDemand, line_demands
from catalog.domain.supply.stages import Line, Stage, StageKind
from catalog.domain.supply.weighing_line import Weighing
from tests.demo_world import engine, part, rulebook
from tests.domain.lines import CASES, conditions, fluids, line

pytestmark = pytest.mark.domain
POSITIONS = {"lock-off": "lock_off", "vaporiser": "vaporiser", "hose at the container": "hose_container_lockoff"}


def truck() -> Line:
    made = line(CASES[0])
    return replace(made, stages=tuple(replace(s, position=POSITIONS.get(s.name)) for s in made.stages))


def computed(**changes: object) -> tuple[LineDemand, ...]:
    return line_demands(Weighing(truck(), conditions({**CASES[0], **changes}), fluids()))


def asked(candidate: Part, code: str, demands: tuple[LineDemand, ...], *without: str) -> Decision:
    """A part at a position of the truck, which states nothing of `without`, with the line's demands."""
    built = engine("VRD-H40", "S-131")
    place = next(position for position in built.positions if position.code == code)
    place = replace(place, demands={at: found for at, found in place.demands.items() if at[0] not in without})
    place = place.with_demands({row.place: (row.demand,) for row in demands if row.position == code})
    burned = (known_fuel("lpg_liquid:HD-5", rulebook().fuels),)
    record = FuelRecord(burned, RecordMode.ONLY_FUEL, date(2026, 1, 12))
    application = Application(plate_fuels=burned, fuel_records=(record,), certified=False, ecu=True)
    return decide(Question(rulebook(), (Item(candidate),), application, Engine("E", built.fuels, (place,)), code))


def test_an_outlet_that_never_reaches_the_rail_is_rejected_as_computed() -> None:
    """9 to 12 psi where the rail needs about 26: common practice, no source."""
    decision = asked(part("TSK", "7008"), "vaporiser", computed(), "outlet_pressure")
    finding = next(f for f in decision.findings if f.attribute == "outlet_pressure")
    assert (decision.verdict, finding.outcome) == (Verdict.REJECTED, Answer.NOT_MET)
    assert finding.demand is not None
    assert finding.demand.basis is Basis.COMPUTED
    assert "as computed for its supply line" in finding.text


def test_a_computed_rating_never_lowers_the_floor_of_the_code() -> None:
    """At 40 degC HD-5 comes to 219 psi, and 250 are asked at container pressure (WAC 296-307-44017)."""
    weak = replace(part("VRD", "6600"), maker="XYZ")
    decision = asked(weak, "lock_off", computed(air=[0, 40]))
    finding = next(f for f in decision.findings if f.attribute == "max_pressure")
    assert finding.demand is not None
    assert finding.demand.basis is not Basis.COMPUTED


def test_a_hotter_line_raises_what_is_asked_and_a_cooler_one_does_not_lower_it() -> None:
    ratings = [
        next(row.demand.value.shown() for row in computed(air=[0, hot]) if row.place[0] == "max_pressure")
        for hot in (20, 40, 55)
    ]
    figures = [float(rating.split()[0]) for rating in ratings]
    assert figures == sorted(figures)
    assert figures[-1] > 250


def test_a_stage_that_is_no_position_asks_nothing() -> None:
    assert line_demands(Weighing(line(CASES[0]), conditions(CASES[0]), fluids())) == ()
    assert {row.position for row in computed()} == set(POSITIONS.values())


def test_what_the_engine_draws_is_asked_of_the_regulator_in_its_fuels_slot() -> None:
    (row,) = (row for row in computed(draws=12) if row.place[0] == "rated_fuel_flow")
    assert row.place == ("rated_fuel_flow", "propane")
    assert row.demand.value.shown() == "12 kg/h"


def test_what_leads_back_to_the_container_stands_what_the_container_comes_to() -> None:
    """A back-pressure regulator holds what is ahead of it; behind it the return is open to the container."""
    made = truck()
    kinds = [stage.kind for stage in made.stages]
    rail = kinds.index(StageKind.RAIL)
    back = Stage(StageKind.REGULATOR, "back-pressure regulator", position="back")
    elbow = Stage(StageKind.FITTING, "return elbow", position="return")
    around = replace(made, stages=(*made.stages[: rail + 1], back, elbow, *made.stages[rail + 1 :]))
    asks = line_demands(Weighing(around, conditions(CASES[0]), fluids()))
    ratings = {row.position: row.demand.value for row in asks if row.place[0] in ("max_pressure", "working_pressure")}
    assert ratings["return"] == ratings["lock_off"]
