"""What the engine at the end of a line draws under a load, from what is recorded of it."""

from __future__ import annotations

from dataclasses import dataclass

from catalog.domain.answers import Fact
from catalog.domain.supply.engine_demand import FuelDraw, brake_watts_of, from_efficiency, from_stated_flow
from catalog.domain.supply.stages import Line, Stage, StageKind


@dataclass(frozen=True, slots=True)
class Load:
    """What the engine is asked for, in one of three ways: W at the shaft, W of electricity, or a share of full load."""

    brake_watts: float | None = None
    electrical_watts: float | None = None
    share: float | None = None


FULL = Load(share=1.0)


@dataclass(frozen=True, slots=True)
class Drawn:
    """The draw, or the facts that would tell it."""

    draw: FuelDraw | None
    missing: tuple[Fact, ...] = ()


def drawn(line: Line, load: Load = FULL) -> Drawn:
    """Fuel under a load: by the consumption that the engine's maker states, else by power and efficiency.

    The usual efficiency of the fuel stands in where none is recorded, and the draw says so; a power is never assumed.
    """
    engine = next((stage for stage in line.stages if stage.kind is StageKind.ENGINE), None)
    if engine is None:
        return Drawn(None, (Fact("engine: rated_power", "What engine does this line feed, and of what power?"),))
    watts = _watts(engine, load)
    if isinstance(watts, Fact):
        return Drawn(None, (watts,))
    full, rated = engine.si("full_load_flow"), engine.si("rated_power")
    if full is not None and rated:
        source = engine.facts["full_load_flow", None].source
        return Drawn(from_stated_flow(full, watts / rated, engine.si("half_load_flow"), source))
    return Drawn(from_efficiency(line.fuel.partition(":")[0], watts, engine.si("engine_efficiency")))


def _watts(engine: Stage, load: Load) -> float | Fact:
    """Power at the shaft, W, or the fact that is missing for it."""
    if load.brake_watts is not None:
        return load.brake_watts
    if load.electrical_watts is not None:
        efficiency = engine.si("generator_efficiency")
        if efficiency is None:
            return engine.fact("generator_efficiency", "What is the efficiency of the generator on the {stage}?")
        return brake_watts_of(load.electrical_watts, efficiency)
    rated = engine.si("rated_power")
    if rated is None:
        return engine.fact("rated_power", "What is the rated power of the {stage}?")
    return rated * (load.share if load.share is not None else 1.0)
