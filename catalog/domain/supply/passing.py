"""What one stage does to the fuel that reaches it, at one flow.

A line is weighed at many temperatures, so what a stage says is read once (`passed`) and holds at all of them.

What is not recorded is taken at its best or at its worst (`Bound`). A loss that nothing bounds ends the walk there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import partial

from catalog.domain.answers import Fact
from catalog.domain.fuels import Phase
from catalog.domain.supply.fluids import LineFuel
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
    """What is the same at every temperature of the fuel between two stages."""

    phase: Phase | None
    regulated: bool = False  # once a regulator has set its pressure
    allowed: bool = False  # whether the allowance for what is not recorded has been taken off already


@dataclass(frozen=True, slots=True)
class Around:
    """What a stage works in: kg/s, Pa absolute, and the fuel that is asked of its properties."""

    flow: float
    atmosphere: float
    bound: Bound
    fuel: LineFuel


Behind = Callable[[float, float], float | None]


def _same(pascal: float, _: float) -> float:
    return pascal


@dataclass(frozen=True, slots=True)
class Passage:
    """One stage passed. `after` is None where nothing can be said of what leaves it.

    `behind` makes of the pressure at its inlet, Pa absolute, and the temperature, K, the pressure at its outlet: None
    where nothing leaves it.
    `need` is the least inlet pressure, Pa absolute; `allowance` is taken off what arrives; `lacks` are the facts that
    would end the assuming.
    """

    stage: Stage
    before: Stream
    after: Stream | None
    behind: Behind = _same
    need: float | None = None
    lacks: tuple[Fact, ...] = ()
    allowance: float = 0.0


def passed(stage: Stage, before: Stream, around: Around) -> Passage:
    """The stage passed; a kind without a loss of its own leaves the fuel as it was."""
    return _PASSING.get(stage.kind, _unchanged)(stage, before, around)


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


def _unchanged(stage: Stage, before: Stream, around: Around) -> Passage:
    need, lacks = needed(stage, around.atmosphere, around.bound)
    return Passage(stage, before, before, need=need, lacks=lacks)


def _regulating(stage: Stage, before: Stream, around: Around) -> Passage:
    need, lacks = needed(stage, around.atmosphere, around.bound)
    set_at = stage.si("outlet_pressure")
    if set_at is None:
        return Passage(stage, before, None, need=need, lacks=lacks)
    if lacks and before.regulated:
        # The allowance stands for losses at container pressure; behind a regulator it would be most of what is there.
        return Passage(stage, before, None, lacks=lacks)
    outlet = set_at + around.atmosphere
    phase = Phase.VAPOUR if stage.kind is StageKind.VAPORISER else before.phase
    after = Stream(phase, regulated=True, allowed=before.allowed or bool(lacks))
    allowance = _allowance(before) if lacks else 0.0
    return Passage(stage, before, after, lambda pascal, _: min(outlet, pascal), need, lacks, allowance)


def _pumping(stage: Stage, before: Stream, around: Around) -> Passage:
    """A pump in a liquid line adds its boost to what the container gives."""
    boost = stage.si("pump_boost")
    if boost is None:
        asks = stage.fact("pump_boost", "How much pressure does the {stage} add?")
        return Passage(stage, before, None, lacks=(asks,))
    return Passage(stage, before, before, lambda pascal, _: pascal + boost)


def _losing(loss_of: Callable[[Stage, Moving], Loss | None], asks: Callable[[Stage], Fact]) -> Passing:
    """A stage that takes some pressure: `loss_of` is None where what is recorded does not tell how much."""

    def passing(stage: Stage, before: Stream, around: Around) -> Passage:
        moving = Moving(around.flow, around.atmosphere, before.phase is Phase.LIQUID, around.fuel)
        loss = loss_of(stage, moving) if around.flow else _no_loss
        if loss is not None:
            return Passage(stage, before, before, _less(loss))
        if around.bound is Bound.BEST:
            return Passage(stage, before, before)
        if before.regulated:
            return Passage(stage, before, None, lacks=(asks(stage),))
        allowance = _allowance(before)
        after = replace(before, allowed=True)
        return Passage(stage, before, after, lambda pascal, _: pascal - allowance, lacks=(asks(stage),))

    return passing


Loss = Callable[[float, float], float]
Passing = Callable[[Stage, Stream, Around], Passage]


def _less(loss: Loss) -> Behind:
    def behind(pascal: float, kelvin: float) -> float | None:
        left = pascal - loss(pascal, kelvin)
        return None if left <= 0 else left

    return behind


def _allowance(stream: Stream) -> float:
    """The allowance is taken once."""
    return 0.0 if stream.allowed or stream.regulated else ALLOWANCE


def _no_loss(_: float, __: float) -> float:
    return 0.0


def _hose(stage: Stage, moving: Moving) -> Loss | None:
    bore, length = stage.si("hose_bore"), stage.si("hose_length")
    return None if bore is None or length is None else partial(hose_loss, moving, bore=bore, length=length)


def _filter(stage: Stage, moving: Moving) -> Loss | None:
    drop, at = stage.si("clean_pressure_drop"), stage.si("drop_flow")
    return None if drop is None or at is None else partial(filter_loss, moving, drop=drop, at_volume_flow=at)


def _valve(stage: Stage, moving: Moving) -> Loss | None:
    kv = stage.si("flow_factor")
    return None if kv is None else partial(valve_loss, moving, kv=kv * 3600)


def _fitting(stage: Stage, moving: Moving) -> Loss | None:
    """A fitting's loss is counted where its flow factor is recorded; it is not asked for."""
    return _valve(stage, moving) if stage.known("flow_factor") else _no_loss


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


_PASSING: Mapping[StageKind, Passing] = {
    StageKind.PUMP: _pumping,
    StageKind.HOSE: _losing(_hose, _asks_hose),
    StageKind.FILTER: _losing(_filter, _asks_filter),
    StageKind.VALVE: _losing(_valve, _asks_valve),
    StageKind.FITTING: _losing(_fitting, _asks_valve),
    StageKind.REGULATOR: _regulating,
    StageKind.VAPORISER: _regulating,
}
