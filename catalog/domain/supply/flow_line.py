"""Whether each stage passes, evaporates or meters what the engine draws."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Fact, Source, SourceKind
from catalog.domain.findings import Finding
from catalog.domain.fuels import Phase
from catalog.domain.quantities import Dimension
from catalog.domain.supply.choking import choked_above
from catalog.domain.supply.line_words import Words, quantity_of
from catalog.domain.supply.stages import REGULATING, Stage, StageKind
from catalog.domain.supply.weighing_line import Weighing, finding
from catalog.domain.values import Demand, Offer, Value

CONDENSING = Source(SourceKind.PUBLISHED, "CSA B149.1 clause 5.1.5, from an unofficial transcription: no liquefaction")
_SLOTS = {"lpg_vapour": "propane", "lpg_liquid": "propane", "natural_gas": "natural_gas", "gasoline": "gasoline"}


def fuel_slot(fuel: str) -> str | None:
    """The slot in which a regulator states what it passes of a fuel."""
    return _SLOTS.get(fuel.partition(":")[0])


@dataclass(frozen=True, slots=True)
class Draw:
    """What the engine draws, kg/s, or the facts that would tell it."""

    flow: float | None
    missing: tuple[Fact, ...] = ()


def passes(weighing: Weighing) -> Iterator[Finding]:
    """What each stage that meters or pumps passes against the engine's draw, and what a rail is given too much of."""
    conditions = weighing.conditions
    draw = Draw(conditions.flow, conditions.flow_missing)
    for stage in weighing.line.after_source:
        if stage.kind in REGULATING:
            gives = stage.si("rated_fuel_flow", fuel_slot(weighing.line.fuel))
            yield enough(weighing.words, stage, gives, draw, _asks_rated(stage))
        if stage.kind is StageKind.PUMP:
            density = weighing.fluids.liquid_density(conditions.coldest, conditions.hottest_kelvin)
            yield delivers(weighing.words, stage, density, draw)
        if stage.kind is StageKind.INJECTOR:
            asks = stage.fact("injectors_flow", "What do all of the {stage}s pass together at the rail's pressure?")
            yield enough(weighing.words, stage, stage.si("injectors_flow"), draw, asks)
        if stage.kind is StageKind.RAIL:
            yield from _not_over(weighing, stage)
            yield from _metering(weighing, stage)


def delivers(words: Words, pump: Stage, density: float | None, draw: Draw) -> Finding:
    """A pump's delivery, stated by volume, against the draw; density of its liquid in kg/m3, None if not known."""
    volume = pump.si("pump_flow")
    gives = None if volume is None or density is None else volume * density
    asks = pump.fact("pump_flow", "How much does the {stage} deliver at its working pressure?")
    return enough(words, pump, gives, draw, asks)


def enough(words: Words, stage: Stage, gives: float | None, draw: Draw, asks: Fact) -> Finding:
    """What a stage passes, kg/s, against what the engine draws; `asks` is what would tell it."""
    if draw.flow is None or gives is None:
        missing = (*(draw.missing if draw.flow is None else ()), *((asks,) if gives is None else ()))
        text = f"The {stage.shown}: cannot tell whether it passes what the engine draws."
        return finding("flow", stage, Answer.UNKNOWN, text, COMMON_PRACTICE, missing=missing)
    demand = Demand(Value(quantity_of(draw.flow, Dimension.MASS_FLOW, "kg/h")), Basis.COMPUTED, COMMON_PRACTICE)
    offer = Offer(Value(quantity_of(gives, Dimension.MASS_FLOW, "kg/h")), COMMON_PRACTICE)
    met = gives >= draw.flow
    passed = f"{words.flow(gives)}{'' if met else ' only'}"
    text = f"The {stage.shown} passes {passed}; the engine draws {words.flow(draw.flow)}."
    answer = Answer.MET if met else Answer.NOT_MET
    return finding("flow", stage, answer, text, COMMON_PRACTICE, demand=demand, offer=offer)


def _asks_rated(stage: Stage) -> Fact:
    return stage.fact("rated_fuel_flow", "What fuel flow is the {stage} rated for at its least inlet pressure?")


def _not_over(weighing: Weighing, rail: Stage) -> Iterator[Finding]:
    """The regulator ahead must not give the rail more than it takes."""
    _, high = rail.span("rail_pressure")
    giving = ahead_of(weighing, rail)
    set_at = giving.si("outlet_pressure") if giving else None
    if high is None or giving is None or set_at is None:
        return
    words, met = weighing.words, set_at <= high
    says = "no more than" if met else "more than"
    takes = f"the {words.pressure(high)} that the {rail.shown} takes"
    text = f"The {giving.shown} gives {words.pressure(set_at)}, {says} {takes}."
    yield finding("pressure_given", rail, Answer.MET if met else Answer.NOT_MET, text, COMMON_PRACTICE)


def ahead_of(weighing: Weighing, stage: Stage) -> Stage | None:
    """The last regulator ahead of a stage."""
    ahead = weighing.line.after_source[: weighing.line.after_source.index(stage)]
    return next((found for found in reversed(ahead) if found.kind in REGULATING), None)


def _metering(weighing: Weighing, rail: Stage) -> Iterator[Finding]:
    """A note: below the pressure at which the injector chokes, what it meters depends on the manifold."""
    low, _ = rail.span("rail_pressure")
    if low is None or weighing.line.withdrawal is None:
        return
    conditions, words = weighing.conditions, weighing.words
    exponent = weighing.fluids.isentropic_exponent(conditions.coldest, conditions.hottest_kelvin)
    edge = choked_above(exponent, conditions.atmosphere) - conditions.atmosphere
    if low < edge:
        text = (
            f"Below {words.pressure(edge)} at the {rail.shown} what the injectors pass depends on the manifold's "
            f"pressure; it is held at {words.pressure(low)}."
        )
        yield finding("metering", rail, Answer.MET, text, COMMON_PRACTICE, critical=False)


_WARM = 293.15  # K: what a vaporiser's vapour is taken to leave it at


def heats(weighing: Weighing) -> Iterator[Finding]:
    """A note: the heat that a vaporiser has to bring into the fuel at its coldest, W."""
    conditions, flow = weighing.conditions, weighing.conditions.flow
    for stage in weighing.line.after_source:
        set_at = stage.si("outlet_pressure")
        if stage.kind is not StageKind.VAPORISER or flow is None or set_at is None:
            continue
        if weighing.line.withdrawal is not Phase.LIQUID:
            continue
        heat = weighing.fluids.heat_to_vapour(
            conditions.coldest, conditions.coldest_kelvin, _WARM, set_at + conditions.atmosphere
        )
        by = "".join(f" by {code}" for code in stage.codes("heating"))
        text = f"The {stage.shown} has to bring {heat * flow / 1000:.3g} kW into the fuel{by}."
        yield finding("heat", stage, Answer.MET, text, COMMON_PRACTICE, critical=False)


def stays_liquid(weighing: Weighing) -> Iterator[Finding]:
    """A liquid rail must be above the boiling pressure at its own temperature, with the container at its coldest."""
    for passage, reaches in weighing.worst.coldest():
        if passage.stage.kind is StageKind.RAIL and passage.before.phase is Phase.LIQUID:
            yield _liquid_rail(weighing, passage.stage, reaches)


def _liquid_rail(weighing: Weighing, rail: Stage, reaches: float) -> Finding:
    _, hottest = rail.span("rail_temperature")
    if hottest is None:
        fact = rail.fact("rail_temperature", "How hot does the {stage} get?")
        text = f"The {rail.shown}: cannot tell whether the fuel stays liquid; how hot it gets is not known."
        return finding("stays_liquid", rail, Answer.UNKNOWN, text, COMMON_PRACTICE, missing=(fact,))
    boils = weighing.fluids.bubble_pressure(weighing.conditions.hottest, hottest)
    words, met = weighing.words, reaches > boils
    coldest = words.temperature(weighing.conditions.coldest_kelvin)
    held = f"{weighing.gauge(reaches)} reaches it at {coldest} and it boils at {weighing.gauge(boils)}"
    text = f"At the {rail.shown} the fuel {'stays liquid' if met else 'boils'}: {held} when as hot as it gets."
    return finding("stays_liquid", rail, Answer.MET if met else Answer.NOT_MET, text, COMMON_PRACTICE)


def stays_vapour(weighing: Weighing) -> Iterator[Finding]:
    """Vapour made from liquid has the liquid's composition and condenses in a line colder than its dew point."""
    if weighing.line.withdrawal is not Phase.LIQUID:
        return
    conditions, words = weighing.conditions, weighing.words
    for passage, _ in weighing.best.coldest():
        stage, after = passage.stage, passage.after
        if stage.kind not in REGULATING or after is None or after.phase is not Phase.VAPOUR:
            continue
        set_at = (stage.si("outlet_pressure") or 0.0) + conditions.atmosphere
        dew = weighing.fluids.dew_kelvin(conditions.coldest, set_at)
        said = f"at {weighing.gauge(set_at)} the fuel condenses below {words.at_least(dew)}"
        if dew <= conditions.coldest_kelvin:
            text = f"Behind the {stage.shown} the fuel stays vapour: {said}."
            yield finding("stays_vapour", stage, Answer.MET, text, CONDENSING, critical=False)
            continue
        text = f"Behind the {stage.shown} the fuel can turn back to liquid: {said}, and it gets colder here."
        condition = f"the line behind the {stage.shown} is kept above {words.at_least(dew)} while the engine runs"
        yield finding("stays_vapour", stage, Answer.MET_IF, text, CONDENSING, condition=condition)
