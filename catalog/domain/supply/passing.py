"""What one stage does to the fuel that reaches it, at one flow and whatever the temperature.

A stage's facts are read once for a line (`step`) and not again at every temperature.

What is not recorded is taken at its best or at its worst (`Bound`). A loss that nothing bounds ends the walk there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import partial

from catalog.domain.answers import Fact
from catalog.domain.fuels import Phase
from catalog.domain.supply.fluids import FuelAt
from catalog.domain.supply.losses import Moving, filter_loss, hose_loss, valve_loss
from catalog.domain.supply.stages import REGULATING, Stage, StageKind

# Common practice, no source: what a regulator's droop and the unrecorded hose and filter losses ahead of it are
# taken to come to together, at container pressure: 3 psi.
ALLOWANCE = 20_684.0


class Bound(StrEnum):
    """Which end of what is not recorded a walk assumes."""

    BEST = "best"
    WORST = "worst"


@dataclass(frozen=True, slots=True)
class Stream:
    """The fuel between two stages, Pa absolute. `regulated` once a regulator has set its pressure."""

    pascal: float
    phase: Phase | None
    fuel: FuelAt
    regulated: bool = False
    allowed: bool = False  # whether the allowance for what is not recorded has been taken off already

    def at(self, pascal: float) -> Stream:
        return Stream(pascal, self.phase, self.fuel, self.regulated, self.allowed)


@dataclass(frozen=True, slots=True)
class Around:
    """What a stage works in at every temperature: kg/s, Pa absolute."""

    flow: float
    atmosphere: float
    bound: Bound


@dataclass(frozen=True, slots=True)
class Passage:
    """One stage passed. `after` is None where nothing can be said of what leaves it, or nothing does (`starved`).

    `need` is the least inlet pressure, Pa absolute; `lacks` are the facts that would end the assuming.
    """

    stage: Stage
    before: Stream
    after: Stream | None
    need: float | None = None
    lacks: tuple[Fact, ...] = ()
    starved: bool = False


Step = Callable[[Stream], Passage]


def step(stage: Stage, around: Around) -> Step:
    """How the stage is passed; a kind without a loss of its own leaves the fuel as it was."""
    return _STEPS.get(stage.kind, _unchanged)(stage, around)


def needed(stage: Stage, atmosphere: float, bound: Bound) -> tuple[float | None, tuple[Fact, ...]]:
    """The least inlet pressure of a stage, Pa absolute, with what is not recorded of it.

    A regulator asks what is stated for it, else its set pressure and its droop; a rail its lower limit.
    """
    if stage.kind is StageKind.RAIL:
        low, _ = stage.span("rail_pressure")
        return (None, (_asks_rail(stage),)) if low is None else (low + atmosphere, ())
    if stage.kind not in REGULATING:
        return None, ()
    least, set_at, droop = stage.si("least_inlet_pressure"), stage.si("outlet_pressure"), stage.si("droop")
    if least is not None:
        return least + atmosphere, ()
    if set_at is None:
        return None, (_asks_set_point(stage),)
    asks = () if droop is not None else (_asks_droop(stage),)
    return set_at + atmosphere + (droop or 0.0), asks if bound is Bound.WORST else ()


def _unchanged(stage: Stage, around: Around) -> Step:
    need, lacks = needed(stage, around.atmosphere, around.bound)
    return lambda before: Passage(stage, before, before, need, lacks)


def _regulating(stage: Stage, around: Around) -> Step:
    need, lacks = needed(stage, around.atmosphere, around.bound)
    set_at = stage.si("outlet_pressure")
    if set_at is None:
        return lambda before: Passage(stage, before, None, need, lacks)
    outlet = set_at + around.atmosphere

    def passing(before: Stream) -> Passage:
        if lacks and before.regulated:
            # The allowance stands for losses at container pressure; behind a regulator it would be most of what is
            # there.
            return Passage(stage, before, None, lacks=lacks)
        taken = _allowing(before) if lacks else before
        phase = Phase.VAPOUR if stage.kind is StageKind.VAPORISER else before.phase
        after = Stream(min(outlet, taken.pascal), phase, before.fuel, regulated=True, allowed=taken.allowed)
        return Passage(stage, taken, after, need, lacks)

    return passing


def _pumping(stage: Stage, around: Around) -> Step:
    """A pump in a liquid line adds its boost to what the container gives."""
    boost = stage.si("pump_boost")
    if boost is None:
        asks = stage.fact("pump_boost", "How much pressure does the {stage} add?")
        return lambda before: Passage(stage, before, None, lacks=(asks,))
    return lambda before: Passage(stage, before, before.at(before.pascal + boost))


def _losing(loss_of: Callable[[Stage], Loss | None], asks: Callable[[Stage], Fact]) -> Stepping:
    """A stage that takes some pressure: `loss_of` is None where what is recorded does not tell how much."""

    def stepping(stage: Stage, around: Around) -> Step:
        loss = loss_of(stage) if around.flow else _nothing
        if loss is None:
            return _unrecorded(stage, around, asks(stage))

        def passing(before: Stream) -> Passage:
            left = before.pascal - loss(_moving(before, around))
            starved = left <= 0
            return Passage(stage, before, None if starved else before.at(left), starved=starved)

        return passing

    return stepping


def _unrecorded(stage: Stage, around: Around, asks: Fact) -> Step:
    if around.bound is Bound.BEST:
        return lambda before: Passage(stage, before, before)
    return lambda before: Passage(stage, before, None if before.regulated else _allowing(before), lacks=(asks,))


Loss = Callable[[Moving], float]
Stepping = Callable[[Stage, Around], Step]


def _allowing(stream: Stream) -> Stream:
    """The stream less the allowance, which is taken once."""
    if stream.allowed or stream.regulated:
        return stream
    return Stream(stream.pascal - ALLOWANCE, stream.phase, stream.fuel, allowed=True)


def _moving(stream: Stream, around: Around) -> Moving:
    return Moving(around.flow, stream.pascal, stream.pascal - around.atmosphere, stream.phase, stream.fuel)


def _nothing(_: Moving) -> float:
    return 0.0


def _hose(stage: Stage) -> Loss | None:
    bore, length = stage.si("hose_bore"), stage.si("hose_length")
    return None if bore is None or length is None else partial(hose_loss, bore=bore, length=length)


def _filter(stage: Stage) -> Loss | None:
    drop, at = stage.si("clean_pressure_drop"), stage.si("drop_flow")
    return None if drop is None or at is None else partial(filter_loss, drop=drop, at_volume_flow=at)


def _valve(stage: Stage) -> Loss | None:
    kv = stage.si("flow_factor")
    return None if kv is None else partial(valve_loss, kv=kv * 3600)


def _fitting(stage: Stage) -> Loss | None:
    """A fitting's loss is counted where its flow factor is recorded; it is not asked for."""
    return _valve(stage) if stage.known("flow_factor") else _nothing


def _asks_hose(stage: Stage) -> Fact:
    return stage.fact("hose_bore", "What are the bore and the length of the {stage}?")


def _asks_filter(stage: Stage) -> Fact:
    return stage.fact("clean_pressure_drop", "What pressure does the {stage} take when clean, and at what flow?")


def _asks_valve(stage: Stage) -> Fact:
    return stage.fact("flow_factor", "What is the flow factor (Kv) of the {stage}?")


def _asks_set_point(stage: Stage) -> Fact:
    return stage.fact("outlet_pressure", "What outlet pressure is the {stage} set to?")


def _asks_droop(stage: Stage) -> Fact:
    return stage.fact("droop", "What inlet pressure does the {stage} need to hold its outlet at full flow?")


def _asks_rail(stage: Stage) -> Fact:
    return stage.fact("rail_pressure", "What pressure does the {stage} need?")


_STEPS: Mapping[StageKind, Stepping] = {
    StageKind.PUMP: _pumping,
    StageKind.HOSE: _losing(_hose, _asks_hose),
    StageKind.FILTER: _losing(_filter, _asks_filter),
    StageKind.VALVE: _losing(_valve, _asks_valve),
    StageKind.FITTING: _losing(_fitting, _asks_valve),
    StageKind.REGULATOR: _regulating,
    StageKind.VAPORISER: _regulating,
}
