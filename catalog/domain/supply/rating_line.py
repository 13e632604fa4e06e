"""What each stage must stand: the container at its hottest with nothing drawn, regulators locked up, code floors.

A computed need may raise a published floor of the stage's service class and never lower it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from catalog.domain.answers import Answer, Basis, Fact, Source, SourceKind
from catalog.domain.comparing import compare_one
from catalog.domain.findings import Finding
from catalog.domain.quantities import Dimension, Quantity
from catalog.domain.rules import CodeFloor, Comparison, ComparisonKind, Rulebook
from catalog.domain.supply.line_words import Words, gauge, quantity_of
from catalog.domain.supply.stages import REGULATING, Stage, StageKind, si
from catalog.domain.supply.weighing_line import SATURATION, Weighing, finding
from catalog.domain.values import Demand, Offer, Value

RATED_BY: Mapping[StageKind, str] = {
    StageKind.HOSE: "working_pressure",
    StageKind.FITTING: "max_pressure",
    StageKind.FILTER: "max_pressure",
    StageKind.VALVE: "max_pressure",
    StageKind.VAPORISER: "max_pressure",
    StageKind.REGULATOR: "max_pressure",
    StageKind.INJECTOR: "max_pressure",
    StageKind.PUMP: "max_pressure",
}
_LOCKED_UP = 1.5
LOCK_UP = Source(SourceKind.PUBLISHED, "CSA B149.1 clause 5.2.1.3, from an unofficial transcription: at most 150 %")


def stands(weighing: Weighing, rulebook: Rulebook) -> tuple[Finding, ...]:
    """Each stage's pressure rating against the most it can see, and the container's relief against its hottest."""
    return tuple(_standing(weighing, rulebook))


def most_seen(weighing: Weighing) -> Iterator[tuple[Stage, Demand | None]]:
    """Each stage after the source with the highest pressure at its inlet; None where that cannot be told."""
    hot, lifts = hottest_pressure(weighing), _relief_setting(weighing)
    # What the relief valve lets out, no stage further on has to stand.
    hot = hot if hot is None or lifts is None else min(hot, lifts)
    seen = held = None if hot is None else Demand(Value(gauge(hot)), Basis.COMPUTED, SATURATION)
    returning = False
    for stage in weighing.line.after_source:
        yield stage, seen
        returning = returning or stage.kind is StageKind.RAIL
        if stage.kind in REGULATING:
            # Behind the rail a regulator holds its inlet, and what follows leads back and is open to the container.
            seen = held if returning else _locked_up(stage)
        elif stage.kind is StageKind.PUMP:
            seen = _boosted(stage, seen)


def _relief_setting(weighing: Weighing) -> float | None:
    source = weighing.line.source
    return source.si("relief_setting") if source is not None and source.kind is StageKind.CONTAINER else None


def hottest_pressure(weighing: Weighing) -> float | None:
    """The most that the source gives, Pa gauge: the container's hottest liquid, or the meter's upper limit."""
    source, conditions = weighing.line.source, weighing.conditions
    if source is None:
        return None
    if source.kind is StageKind.CONTAINER:
        return weighing.fluids.bubble_pressure(conditions.hottest, conditions.hottest_kelvin) - conditions.atmosphere
    return source.span("supply_pressure")[1]


def _boosted(pump: Stage, seen: Demand | None) -> Demand | None:
    boost = pump.si("pump_boost")
    if seen is None or boost is None or not isinstance(seen.value.payload, Quantity):
        return None
    return Demand(Value(gauge(si(seen.value.payload) + boost)), Basis.COMPUTED, seen.source)


def _locked_up(stage: Stage) -> Demand | None:
    """What a regulator lets through with nothing drawn: as recorded, else the most that the code allows."""
    recorded, set_at = stage.si("lock_up_pressure"), stage.si("outlet_pressure")
    if recorded is not None:
        return Demand(Value(gauge(recorded)), Basis.COMPUTED, LOCK_UP)
    if set_at is None:
        return None
    return Demand(Value(gauge(max(set_at * _LOCKED_UP, 0.0))), Basis.COMPUTED, LOCK_UP)


def _standing(weighing: Weighing, rulebook: Rulebook) -> Iterator[Finding]:
    source = weighing.line.source
    if source is not None and source.kind is StageKind.CONTAINER:
        yield _relief(weighing, source)
    for stage, seen in most_seen(weighing):
        found = rated(weighing.words, rulebook, stage, seen)
        if found is not None:
            yield found


def rated(words: Words, rulebook: Rulebook, stage: Stage, seen: Demand | None) -> Finding | None:
    """A stage's rating against the most it sees and its code floors; None for a stage without one."""
    attribute = RATED_BY.get(stage.kind)
    comparison = _comparison(rulebook, stage, attribute) if attribute else None
    if attribute is None or comparison is None:
        return None
    demand = _most(seen, _floors(rulebook, stage, attribute))
    return _rated(words, rulebook, (stage, attribute, comparison), demand) if demand else _most_unknown(stage)


def _most_unknown(stage: Stage) -> Finding:
    fact = Fact("highest pressure", f"What is the highest pressure that can reach the {stage.shown}?")
    text = f"The {stage.shown}: cannot tell what it has to stand; the highest pressure ahead of it is not known."
    return finding("rating", stage, Answer.UNKNOWN, text, LOCK_UP, missing=(fact,))


def _comparison(rulebook: Rulebook, stage: Stage, attribute: str) -> Comparison | None:
    """As the part's category weighs its rating; None for one that lies inside another and has no rating of its own."""
    category = rulebook.categories.get(stage.category or "")
    if category is None:
        return Comparison(ComparisonKind.AT_LEAST)
    return next((rule.comparison for rule in category.rules if rule.attributes[0] == attribute), None)


def _floors(rulebook: Rulebook, stage: Stage, attribute: str) -> tuple[CodeFloor, ...]:
    return tuple(
        floor
        for floor in rulebook.code_floors
        if (floor.category, floor.attribute) == (stage.category, attribute) and set(floor.classes) & set(stage.inlet)
    )


def _most(seen: Demand | None, floors: tuple[CodeFloor, ...]) -> Demand | None:
    asked = [demand for demand in (seen, *(floor.demand for floor in floors)) if demand is not None]
    return max(asked, key=_amount, default=None)


def _amount(demand: Demand) -> int:
    payload = demand.value.payload
    return payload.amount if isinstance(payload, Quantity) else 0


def _rated(words: Words, rulebook: Rulebook, asked: tuple[Stage, str, Comparison], demand: Demand) -> Finding:
    stage, attribute, comparison = asked
    known = stage.known(attribute)
    offer = None if known is None else Offer(known.value, known.source, known.basis)
    weighed = compare_one(comparison, attribute, demand.value, known.value if known else None,
                          rulebook.tables)  # fmt: skip
    least = _shown(words, demand.value)
    why = "what published codes ask" if demand.basis is Basis.CODE_FLOOR else "the most it can see here"
    if weighed.answer is Answer.UNKNOWN or offer is None:
        fact = stage.fact(attribute, "What pressure is the {stage} rated for?")
        text = f"The {stage.shown}: cannot tell whether it stands {least}, {why}; its rating is not recorded."
        return finding("rating", stage, Answer.UNKNOWN, text, demand.source, demand=demand, missing=(fact,))
    rating = _shown(words, offer.value)
    verb = "stands" if weighed.answer is Answer.MET else "is rated for"
    says = f"{rating}; {least} is {why}" if verb == "stands" else f"{rating} only; {least} is {why}"
    return finding("rating", stage, weighed.answer, f"The {stage.shown} {verb} {says}.", demand.source,
                   demand=demand, offer=offer, condition=weighed.condition)  # fmt: skip


def _shown(words: Words, value: Value) -> str:
    payload = value.payload
    if isinstance(payload, Quantity) and payload.dimension is Dimension.PRESSURE_GAUGE:
        return words.pressure(si(payload))
    return value.shown()


def _relief(weighing: Weighing, source: Stage) -> Finding:
    """The relief valve lifts where the hottest liquid reaches its setting: the container is kept cooler than that."""
    conditions, setting = weighing.conditions, source.si("relief_setting")
    hot = hottest_pressure(weighing) or 0.0
    seen = f"{weighing.words.pressure(hot)} at {weighing.words.temperature(conditions.hottest_kelvin)}"
    demand = Demand(Value(quantity_of(hot, Dimension.PRESSURE_GAUGE, "psi")), Basis.COMPUTED, SATURATION)
    if setting is None:
        fact = source.fact("relief_setting", "What is the relief valve of the {stage} set to?")
        text = f"The {source.shown}: cannot tell whether its relief valve stays shut at {seen}; not recorded."
        return finding("rating", source, Answer.UNKNOWN, text, SATURATION, demand=demand, missing=(fact,))
    offer = Offer(Value(quantity_of(setting, Dimension.PRESSURE_GAUGE, "psi")), SATURATION)
    words = weighing.words.pressure(setting)
    if hot < setting:
        text = f"The {source.shown} holds {seen}, below its relief setting of {words}."
        return finding("rating", source, Answer.MET, text, SATURATION, demand=demand, offer=offer)
    limit = weighing.words.at_most(weighing.fluids.bubble_kelvin(conditions.hottest, setting + conditions.atmosphere))
    text = f"The {source.shown} comes to {seen}; its relief valve, set to {words}, lifts from {limit} up."
    return finding("rating", source, Answer.MET_IF, text, SATURATION, demand=demand, offer=offer,
                   condition=f"the {source.shown} is kept below {limit}")  # fmt: skip
