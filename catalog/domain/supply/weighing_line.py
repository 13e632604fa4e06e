"""Each stage of a line weighed over the whole temperature range: pressure held, need, phase and flow.

The static line (nothing drawn) is weighed first, since no test under load can mend it: then what is left of the
pressure at the flow the engine draws, then what the container can evaporate. Ratings are in `rating_line`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import takewhile
from math import isinf

from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Effect, Fact, Source, SourceKind, distinct
from catalog.domain.findings import Finding
from catalog.domain.fuels import Phase
from catalog.domain.supply.fluids import Fluids, LineFuel
from catalog.domain.supply.line_words import Words, gauge
from catalog.domain.supply.passing import Around, Bound, needed
from catalog.domain.supply.stages import ASKING, Conditions, Line, Stage, StageKind
from catalog.domain.supply.walking import Walked, temperatures, walked
from catalog.domain.values import Demand, Offer, Value

SATURATION = Source(SourceKind.PUBLISHED, "Lemmon, McLinden, Wagner, J. Chem. Eng. Data 54 (2009) 3141")


@dataclass(frozen=True)
class Weighing:
    """A line under its conditions, with the walks that every finding looks at, each made once."""

    line: Line
    conditions: Conditions
    fluids: Fluids
    words: Words = Words()  # noqa: RUF009 # a frozen value

    @cached_property
    def kelvins(self) -> tuple[float, ...]:
        return temperatures(self.conditions)

    @cached_property
    def fuel(self) -> LineFuel:
        """The composition that is weighed where cold is worse."""
        return LineFuel(self.fluids, self.conditions.coldest)

    @cached_property
    def static(self) -> Walked:
        """Nothing drawn, at the coldest: no losses."""
        return self._walked(self.kelvins[:1], 0.0, Bound.BEST)

    @cached_property
    def best(self) -> Walked:
        """What the worst is too, where nothing had to be assumed for it."""
        return self._walked(self.kelvins, self.conditions.flow or 0.0, Bound.BEST) if self.assumed else self.worst

    @cached_property
    def worst(self) -> Walked:
        return self._walked(self.kelvins, self.conditions.flow or 0.0, Bound.WORST)

    @cached_property
    def assumed(self) -> bool:
        return any(passage.lacks for passage in self.worst.passages)

    def _walked(self, kelvins: tuple[float, ...], flow: float, bound: Bound) -> Walked:
        return walked(self.line, kelvins, Around(flow, self.conditions.atmosphere, bound, self.fuel))

    def gauge(self, pascal: float) -> str:
        return self.words.pressure(pascal - self.conditions.atmosphere)


@dataclass(frozen=True, slots=True)
class Shortfall:
    """The worst point of a margin over the temperatures: K, Pa (below zero is short), inlet and need in Pa absolute.

    `until` is the highest temperature, K, at which it is still short; None where it is not short anywhere.
    `stopped_by` is the stage that lets nothing more through.
    """

    kelvin: float
    margin: float
    inlet: float
    need: float
    until: float | None = None
    stopped_by: str = ""


def holding(weighing: Weighing) -> tuple[Finding, ...]:
    """Whether the container holds, with nothing drawn, the pressure that the first stage asking one needs."""
    source, stage = weighing.line.source, first_asking(weighing.line)
    if source is None or source.kind is not StageKind.CONTAINER or stage is None:
        return ()
    need, _ = needed(stage, weighing.conditions.atmosphere, Bound.BEST)
    ahead = takewhile(lambda passed: passed is not stage, weighing.line.stages)
    pumped = any(passed.kind is StageKind.PUMP for passed in ahead)
    if need is None or pumped:
        return ()  # behind a pump the container is not alone; `needs` weighs what both give
    # Colder liquid never holds more, so the coldest is the worst.
    coldest = weighing.conditions.coldest_kelvin
    inlet = weighing.fuel.bubble_pressure(coldest)
    short = Shortfall(coldest, inlet - need, inlet, need)
    what = f"the {weighing.gauge(need)} that the {stage.shown} needs"
    holds = f"at {weighing.words.temperature(short.kelvin)} it holds {weighing.gauge(short.inlet)}"
    demand = Demand(Value(gauge(need - weighing.conditions.atmosphere)), Basis.COMPUTED, COMMON_PRACTICE)
    offer = Offer(Value(gauge(short.inlet - weighing.conditions.atmosphere)), SATURATION, Basis.COMPUTED)
    if short.margin >= 0:
        text = f"The {source.shown} holds {what}: {holds}."
        margin = weighing.words.pressure(short.margin, reference="over")
        return (finding("pressure_held", source, Answer.MET, text, SATURATION, demand=demand, offer=offer,
                        margin=margin),)  # fmt: skip
    edge = min(weighing.fluids.bubble_kelvin(weighing.conditions.coldest, need), weighing.conditions.hottest_kelvin)
    if edge >= weighing.conditions.hottest_kelvin:
        begin = f"Nowhere in this range can the {source.shown} hold"
    else:
        begin = f"Below {weighing.words.at_least(edge)} the {source.shown} cannot hold"
    margin = weighing.words.pressure(-short.margin, reference="short")
    text = f"{begin} {what}: {holds}."
    found = finding(
        "pressure_held", source, Answer.NOT_MET, text, SATURATION, demand=demand, offer=offer, margin=margin
    )
    return (found,)


def needs(weighing: Weighing) -> tuple[Finding, ...]:
    """What each regulator and rail gets at the engine's flow, against what it needs; a line that feeds neither asks."""
    asking = [stage for stage in weighing.line.after_source if stage.kind in ASKING]
    return tuple(_need(weighing, stage) for stage in asking) or (feeds_nothing(weighing.line),)


def feeds_nothing(line: Line) -> Finding:
    """Nothing compared is nothing accepted: a line whose end states no need cannot be said to be fed."""
    end = line.stages[-1] if line.stages else Stage(StageKind.RAIL, "end of the line")
    fact = Fact("end of the line", "What stands at the end of this line, and what pressure does it need?")
    text = "Cannot tell whether enough pressure comes through: nothing on this line says what it needs."
    return finding("pressure_needed", end, Answer.UNKNOWN, text, COMMON_PRACTICE, missing=(fact,))


def first_asking(line: Line) -> Stage | None:
    return next((stage for stage in line.after_source if stage.kind in ASKING), None)


def _need(weighing: Weighing, stage: Stage) -> Finding:
    worst = _worst(weighing.worst, stage)
    best = _worst(weighing.best, stage) if weighing.assumed else worst
    lacks = weighing.worst.lacks_before(stage) if weighing.assumed else ()
    if weighing.line.source is None or not weighing.best.passages:
        lacks = (Fact("supply", "What gives this line its fuel, and at what pressure?"), *lacks)
    if weighing.conditions.flow is None:
        lacks = (*weighing.conditions.flow_missing, *lacks)
    if best is not None and best.margin < 0:
        return _short(weighing, stage, best)
    if worst is not None and worst.margin >= 0 and weighing.conditions.flow is not None:
        return _enough(weighing, stage, worst, lacks)
    text = f"The {stage.shown}: cannot tell whether enough pressure reaches it; {_asked(lacks)}."
    return finding("pressure_needed", stage, Answer.UNKNOWN, text, COMMON_PRACTICE, missing=lacks)


def _short(weighing: Weighing, stage: Stage, short: Shortfall) -> Finding:
    kelvin = short.until if short.until is not None else short.kelvin
    everywhere = kelvin >= weighing.conditions.hottest_kelvin - 0.01
    where = "" if everywhere else f" below {weighing.words.at_least(kelvin)}"
    if short.stopped_by:
        text = f"The {stage.shown} is starved{where}: the {short.stopped_by} cannot pass what the engine draws."
        return finding("pressure_needed", stage, Answer.NOT_MET, text, COMMON_PRACTICE)
    drawn = f"at {weighing.words.flow(weighing.conditions.flow)} " if weighing.conditions.flow else ""
    text = (
        f"The {stage.shown} does not get the {weighing.gauge(short.need)} it needs{where}: {drawn}"
        f"{weighing.gauge(short.inlet)} reaches it at {weighing.words.temperature(short.kelvin)}."
    )
    return _pressure_finding(weighing, stage, Answer.NOT_MET, text=text, at=short)


def _enough(weighing: Weighing, stage: Stage, left: Shortfall, assumed: tuple[Fact, ...]) -> Finding:
    text = (
        f"The {stage.shown} gets {weighing.gauge(left.inlet)} at the least, "
        f"at {weighing.words.temperature(left.kelvin)}, and needs {weighing.gauge(left.need)}."
    )
    if not assumed:
        return _pressure_finding(weighing, stage, Answer.MET, text=text, at=left)
    names = ", ".join(distinct(fact.name.split(":")[0].replace("_", " ") for fact in assumed))
    condition = f"what is not recorded of the {names} takes no more than 3 psi together"
    return _pressure_finding(weighing, stage, Answer.MET_IF, text=text, at=left, condition=condition)


def _pressure_finding(
    weighing: Weighing, stage: Stage, answer: Answer, *, text: str, at: Shortfall, condition: str = ""
) -> Finding:
    atmosphere = weighing.conditions.atmosphere
    return finding(
        "pressure_needed", stage, answer, text, COMMON_PRACTICE,
        demand=Demand(Value(gauge(at.need - atmosphere)), Basis.COMPUTED, COMMON_PRACTICE),
        offer=Offer(Value(gauge(at.inlet - atmosphere)), COMMON_PRACTICE, Basis.COMPUTED),
        margin=weighing.words.pressure(abs(at.margin), reference="over" if at.margin >= 0 else "short"),
        condition=condition,
    )  # fmt: skip


def _worst(line: Walked, stage: Stage) -> Shortfall | None:
    """The least margin over the temperatures; None where at some of them it cannot be told and none is short."""
    points: list[tuple[float, float, float, float]] = []
    untold, stopped = False, ""
    passage, inlets = line.at(stage)
    need = passage.need if passage else None
    for made, inlet in zip(line.walks, inlets, strict=True):
        if inlet is None or need is None:
            by = made.stopped_by.shown if made.stopped_by else ""
            stopped = stopped or by
            if by:
                points.append((made.kelvin, -float("inf"), 0.0, 0.0))
            untold = untold or not by
            continue
        points.append((made.kelvin, inlet - need, inlet, need))
    if not points or (untold and all(point[1] >= 0 for point in points)):
        return None
    worst = min(points, key=lambda point: point[1])
    return Shortfall(worst[0], worst[1], worst[2], worst[3], _until(points), stopped)


def _until(points: list[tuple[float, float, float, float]]) -> float | None:
    """The temperature up to which the margin is short, between grid points by a straight line, K."""
    short = [index for index, point in enumerate(points) if point[1] < 0]
    if not short:
        return None
    last = short[-1]
    if last + 1 >= len(points):
        return points[last][0]
    (low, below, *_), (high, above, *_) = points[last], points[last + 1]
    if isinf(below):
        return low
    return low + (high - low) * below / (below - above)


def phases(weighing: Weighing, phase_of: Callable[[str], Phase | None]) -> tuple[Finding, ...]:
    """Whether each stage is made for the phase that reaches it; nothing infers it from a thread or a shape."""
    asked = (passage for passage, _ in weighing.static.coldest() if passage.stage.kind in _OF_ONE_PHASE)
    return tuple(
        _phase(passage.stage, passage.before.phase, {phase_of(code) for code in passage.stage.made_for} - {None})
        for passage in asked
    )


# What carries or meters the fuel; a rail is a place and not a part, a mixer takes what its regulator gives.
_OF_ONE_PHASE = frozenset(
    {
        StageKind.HOSE, StageKind.FITTING, StageKind.FILTER, StageKind.VALVE, StageKind.PUMP, StageKind.VAPORISER,
        StageKind.REGULATOR, StageKind.INJECTOR,
    }
)  # fmt: skip


def _phase(stage: Stage, arriving: Phase | None, made_for: set[Phase | None]) -> Finding:
    if not made_for:
        fact = stage.fact("fuel_service", "Which fuel service is the {stage} made for: liquid or vapour?")
        text = f"The {stage.shown}: cannot tell which phase it is made for; its fuel service is not recorded."
        return finding("phase", stage, Answer.UNKNOWN, text, COMMON_PRACTICE, missing=(fact,))
    classes = ", ".join(stage.made_for)
    if arriving is None:
        fact = Fact("container: withdrawal", "Does the container's valve give liquid or vapour here?")
        text = f"The {stage.shown}: cannot tell which phase reaches it; the container's withdrawal is not known."
        return finding("phase", stage, Answer.UNKNOWN, text, COMMON_PRACTICE, missing=(fact,))
    if arriving in made_for:
        text = f"The {stage.shown} is made for the {arriving.value} that reaches it ({classes})."
        return finding("phase", stage, Answer.MET, text, COMMON_PRACTICE)
    text = f"The {stage.shown} is not made for {arriving.value}, which is what reaches it ({classes})."
    return finding("phase", stage, Answer.NOT_MET, text, COMMON_PRACTICE)


def _asked(facts: tuple[Fact, ...]) -> str:
    return f"not known: {'; '.join(fact.name.replace('_', ' ') for fact in facts)}" if facts else "it is not recorded"


_EFFECTS = {
    Answer.MET: Effect.NONE,
    Answer.MET_IF: Effect.CONDITION,
    Answer.UNKNOWN: Effect.UNDETERMINED,
    Answer.NOT_MET: Effect.REJECT,
}
_RANKS = {"pressure_held": 0, "phase": 1, "flow": 2, "pressure_needed": 3, "rating": 4}


def finding(attribute: str, stage: Stage, answer: Answer, text: str, source: Source, **more: object) -> Finding:
    return Finding(
        attribute, answer, _EFFECTS[answer], text, source, slot=stage.position or stage.name,
        worst=Effect.REJECT, rank=_RANKS.get(attribute, 9), **{"critical": True, **more},  # type: ignore[arg-type]
    )  # fmt: skip
