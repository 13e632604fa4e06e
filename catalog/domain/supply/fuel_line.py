"""Gasoline and diesel lines by limits: what the pump gives, what the rail or carburettor takes, what each stage stands.

No phase and no container pressure: the tank is at the atmosphere, and what the pump can push against a closed line is
the most that any stage behind it sees.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Fact
from catalog.domain.findings import Finding
from catalog.domain.folding import fold
from catalog.domain.rules import Rulebook
from catalog.domain.supply.deciding_line import SupplyDecision, governing
from catalog.domain.supply.flow_line import Draw, delivers
from catalog.domain.supply.line_words import Words, gauge
from catalog.domain.supply.rating_line import rated
from catalog.domain.supply.stages import Line, Stage, StageKind
from catalog.domain.supply.weighing_line import feeds_nothing, finding
from catalog.domain.values import Demand, Value

# kg/m3 at 15 degC, from the energy contents in the US Department of Energy's Properties of Fuels.
_DENSITIES = {"gasoline": 745.0, "diesel": 837.0}


@dataclass(frozen=True, slots=True)
class Feed:
    """A liquid fuel line and what is drawn from it, kg/s; `missing` are the facts that would tell the draw."""

    line: Line
    rulebook: Rulebook
    flow: float | None = None
    missing: tuple[Fact, ...] = ()
    words: Words = Words()  # noqa: RUF009 # a frozen value

    @property
    def pump(self) -> Stage | None:
        return next((stage for stage in self.line.stages if stage.kind is StageKind.PUMP), None)

    def behind_pump(self) -> tuple[Stage, ...]:
        pump = self.pump
        return () if pump is None else self.line.stages[self.line.stages.index(pump) + 1 :]


def decide_fuel_line(feed: Feed) -> SupplyDecision:
    """Weigh a gasoline or diesel line; its answer has no temperatures, since nothing here depends on them."""
    findings = (*_pump(feed), *_window(feed), *_stands(feed))
    folded = fold(findings, accepted_words=f"{feed.line.name}: every stage gets what it needs.")
    return SupplyDecision(
        folded.verdict, folded.headline, governing(folded), folded.findings, folded.conditions, folded.missing, (), ()
    )


def _pump(feed: Feed) -> Iterator[Finding]:
    pump = feed.pump
    if pump is None:
        fact = Fact("pump", "What pumps the fuel on this line, or does it run by gravity?")
        text = "Cannot tell what pushes the fuel: no pump is recorded on this line."
        nowhere = Stage(StageKind.PUMP, "pump")
        yield finding("flow", nowhere, Answer.UNKNOWN, text, COMMON_PRACTICE, missing=(fact,))
        return
    density = _DENSITIES.get(feed.line.fuel.partition(":")[0])
    yield delivers(feed.words, pump, density, Draw(feed.flow, feed.missing))


def _window(feed: Feed) -> Iterator[Finding]:
    """What reaches the rail or the float needle: the regulator's pressure, else all that the pump can push."""
    rails = [stage for stage in feed.line.stages if stage.kind is StageKind.RAIL]
    if not rails:
        yield feeds_nothing(feed.line)
    for rail in rails:
        giving = next((s for s in feed.line.stages if s.kind is StageKind.REGULATOR), feed.pump)
        attribute = "outlet_pressure" if giving and giving.kind is StageKind.REGULATOR else "dead_head_pressure"
        given = giving.si(attribute) if giving else None
        low, high = rail.span("rail_pressure")
        if giving is None or given is None or low is None or high is None:
            yield _untold(rail, giving, attribute, window_known=low is not None and high is not None)
            continue
        met = low <= given <= high
        takes = f"{feed.words.pressure(low)} to {feed.words.pressure(high)}"
        text = f"The {giving.shown} gives {feed.words.pressure(given)}; the {rail.shown} takes {takes}."
        yield finding("pressure_given", rail, Answer.MET if met else Answer.NOT_MET, text, COMMON_PRACTICE)


def _untold(rail: Stage, giving: Stage | None, attribute: str, *, window_known: bool) -> Finding:
    lacks = [] if window_known else [rail.fact("rail_pressure", "What pressure does the {stage} take?")]
    if giving is not None and giving.si(attribute) is None:
        lacks.append(giving.fact(attribute, "What pressure does the {stage} give?"))
    text = f"The {rail.shown}: cannot tell whether the right pressure reaches it."
    return finding("pressure_given", rail, Answer.UNKNOWN, text, COMMON_PRACTICE, missing=tuple(lacks))


def _stands(feed: Feed) -> Iterator[Finding]:
    """Each stage behind the pump stands what the pump pushes against a closed line."""
    most = feed.pump.si("dead_head_pressure") if feed.pump else None
    seen = None if most is None else Demand(Value(gauge(most)), Basis.COMPUTED, COMMON_PRACTICE)
    for stage in feed.behind_pump():
        found = rated(feed.words, feed.rulebook, stage, seen)
        if found is not None:
            yield found
