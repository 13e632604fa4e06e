"""A question about one engine's supply line, and its answer: the line built, the draw worked out, the line decided."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from catalog.domain.answers import Fact, Verdict, distinct
from catalog.domain.case import Case
from catalog.domain.cautions import cautions_for
from catalog.domain.conflicts import with_the_plate
from catalog.domain.findings import Finding
from catalog.domain.fuels import Fuel, fuel_words
from catalog.domain.outcomes import OnHold, held_finding
from catalog.domain.parts import Part
from catalog.domain.rules import Caution
from catalog.domain.supply.deciding_line import (
    UNTOLD_FUEL,
    SupplyDecision,
    cannot_tell,
    decide_line,
    heard,
    left_open,
)
from catalog.domain.supply.drawn import FULL, Drawn, Load, drawn
from catalog.domain.supply.fluids import Fluids
from catalog.domain.supply.fuel_line import Feed, decide_fuel_line
from catalog.domain.supply.line_building import Build, StageRow, build_line, case_at, taken_out
from catalog.domain.supply.line_words import Words
from catalog.domain.supply.mixtures import Composition, HotAndCold, compositions_of
from catalog.domain.supply.stages import STANDARD_ATMOSPHERE, Conditions, Line
from catalog.domain.supply.weighing_line import Weighing

LIQUID_FUELS = frozenset({"gasoline", "diesel"})


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What the line works in: air, K; its pressure, Pa absolute; the liquid's share of the container; the load."""

    coldest_kelvin: float
    hottest_kelvin: float
    atmosphere: float = STANDARD_ATMOSPHERE
    fill: float | None = None
    load: Load = FULL
    composition: Composition | None = None


@dataclass(frozen=True, slots=True)
class SupplyQuestion:
    """`held` are the open reports about the candidates, by the position at which they are tried and were reported."""

    build: Build
    rows: tuple[StageRow, ...]
    circumstances: Circumstances
    held: Mapping[str, tuple[OnHold, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SupplyAnswered:
    """The decision, and what it was taken on: the line as built, the draw, the compositions weighed."""

    decision: SupplyDecision
    line: Line
    drawn: Drawn
    compositions: HotAndCold | None
    missing: tuple[Fact, ...]
    conflicts: tuple[str, ...]
    cautions: tuple[Caution, ...]


def decide_supply(question: SupplyQuestion, fluids: Fluids, words: Words | None = None) -> SupplyAnswered:
    """Decide a line as asked. The same question gives the same answer, always."""
    build, circumstances, words = question.build, question.circumstances, words or Words()
    line = build_line(build, question.rows)
    draw = drawn(line, circumstances.load)
    compositions = compositions_of(build.fuel, circumstances.composition)
    gone = taken_out(build, question.rows)
    if gone:
        decision = _another_line(line, gone)
    elif build.fuel.code in LIQUID_FUELS:
        flow = draw.draw.flow if draw.draw else None
        decision = decide_fuel_line(Feed(line, build.rulebook, flow, draw.missing, words))
    else:
        decision = _of_gas(question, line, draw, fluids, words)
    if question.held:
        decision = heard(decision, tuple(_on_hold(question)))
    burned = build.where.burned
    asks = () if burned.complete or not decision.missing else (burned.asks,)
    return SupplyAnswered(
        decision,
        line,
        draw,
        compositions,
        distinct((*decision.missing, *asks)),
        tuple(_conflicts(build)),
        distinct(caution for case in _cases(build, question.rows) for caution in cautions_for(case)),
    )


def _on_hold(question: SupplyQuestion) -> Iterator[Finding]:
    for position, holds in sorted(question.held.items()):
        yield held_finding(question.build.replaced[position].shown, holds)._replace(slot=position)


def _of_gas(question: SupplyQuestion, line: Line, draw: Drawn, fluids: Fluids, words: Words) -> SupplyDecision:
    """A gas line decided. Where the grade is not known, it is refused only if every grade is."""

    def of(made: HotAndCold) -> SupplyDecision:
        conditions = _conditions(question.circumstances, made, draw, fluids)
        return decide_line(line, conditions, question.build.rulebook, fluids, words)

    fuel, circumstances = question.build.fuel, question.circumstances
    worst = compositions_of(fuel, circumstances.composition)
    if worst is None:
        text = f"{UNTOLD_FUEL}: nothing says what {_named(question.build)} is made of"
        return cannot_tell(line, text, _MADE_OF)
    decision = of(worst)
    if decision.verdict is not Verdict.REJECTED or not worst.assumed:
        return decision
    definition = question.build.where.names.get(fuel.code)
    grades = (compositions_of(Fuel(fuel.code, grade)) for grade in (definition.grades if definition else ()))
    if all(of(made).verdict is Verdict.REJECTED for made in grades if made is not None):
        return decision
    return left_open(decision, question.build.where.grade_fact(fuel.code))


def _another_line(line: Line, gone: tuple[str, ...]) -> SupplyDecision:
    """What is recorded is not how the fuel goes here, so that nothing can be said of it, for better or worse."""
    names = ", ".join(code.replace("_", " ") for code in gone)
    text = f"Cannot tell: the line as recorded goes through the {names}, which was taken out of this engine."
    return cannot_tell(line, text, Fact(f"supply line: {names}", f"Which way does the fuel go without the {names}?"))


def weighed(question: SupplyQuestion, fluids: Fluids) -> Weighing | None:
    """The gas line as it is weighed, for what it asks of its positions; None for a line that is not weighed so."""
    line = build_line(question.build, question.rows)
    compositions = compositions_of(question.build.fuel, question.circumstances.composition)
    if compositions is None or taken_out(question.build, question.rows):
        return None
    draw = drawn(line, question.circumstances.load)
    return Weighing(line, _conditions(question.circumstances, compositions, draw, fluids), fluids)


_MADE_OF = Fact("composition", "What is the gas made of? Give its composition from an analysis.")


def _named(build: Build) -> str:
    return fuel_words(build.fuel, build.where.names)


def _conditions(circumstances: Circumstances, made: HotAndCold, draw: Drawn, fluids: Fluids) -> Conditions:
    return Conditions(
        coldest_kelvin=circumstances.coldest_kelvin,
        hottest_kelvin=circumstances.hottest_kelvin,
        coldest=made.coldest.mixture(fluids),
        hottest=made.hottest.mixture(fluids),
        flow=draw.draw.flow if draw.draw else None,
        atmosphere=circumstances.atmosphere,
        fill=circumstances.fill,
        flow_missing=draw.missing,
    )


def _conflicts(build: Build) -> Iterator[str]:
    yield from with_the_plate(build.where)
    burned = build.where.burned
    if burned.complete and build.fuel.code not in {fuel.code for fuel in burned.fuels}:
        found = " and ".join(fuel_words(fuel, build.where.names) for fuel in burned.fuels)
        yield f"This is the line for {_named(build)}; the engine is recorded as burning {found}."


def _cases(build: Build, rows: tuple[StageRow, ...]) -> Iterator[Case]:
    """Each position of the line with the part tried there, as cautions are told by category and by fuel."""
    for code in distinct(row.position for row in rows if row.position):
        position = next((place for place in build.engine.positions if place.code == code), None)
        if position is not None:
            yield case_at(build, position, build.replaced.get(code, Part("", "", position.category)))
