"""The fuel followed from its container to the engine, at one temperature at a time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from catalog.domain.answers import Fact, distinct
from catalog.domain.fuels import Phase
from catalog.domain.supply.fluids import Fluids, Mixture
from catalog.domain.supply.passing import Around, Bound, Passage, Stream, passed
from catalog.domain.supply.stages import Conditions, Line, Stage, StageKind

MOST_POINTS = 60


@dataclass(frozen=True, slots=True)
class Walk:
    """Every stage that the fuel reaches at one temperature. `lacks` are the facts assumed on the way so far."""

    kelvin: float
    passages: tuple[Passage, ...]

    def at(self, stage: Stage) -> Passage | None:
        return next((passage for passage in self.passages if passage.stage is stage), None)

    def lacks_before(self, stage: Stage) -> tuple[Fact, ...]:
        """What was assumed ahead of a stage and at it."""
        found: list[Fact] = []
        for passage in self.passages:
            found += passage.lacks
            if passage.stage is stage:
                break
        return distinct(found)


def temperatures(conditions: Conditions) -> tuple[float, ...]:
    """Evenly from the coldest to the hottest, K; one where they are the same."""
    low, high = conditions.coldest_kelvin, conditions.hottest_kelvin
    count = min(MOST_POINTS, 1 + int(high - low) * 2) if high > low else 1
    return tuple(low + (high - low) * index / max(count - 1, 1) for index in range(count))


def walk(
    line: Line, conditions: Conditions, fluids: Fluids, *, kelvin: float, bound: Bound, flow: float | None = None
) -> Walk:
    """Follow the fuel at an air temperature, K; `flow` kg/s, zero for a line that nothing is drawn from."""
    around = Around(flow or 0.0, conditions.atmosphere, kelvin, bound, fluids)
    source = line.source
    start = None if source is None else started(source, line.withdrawal, conditions.coldest, around)
    if source is None or start is None:
        return Walk(kelvin, ())
    return Walk(kelvin, (Passage(source, start, start), *_onwards(line.after_source, start, around)))


def _onwards(stages: tuple[Stage, ...], stream: Stream, around: Around) -> Iterator[Passage]:
    for stage in stages:
        passage = passed(stage, stream, around)
        yield passage
        if passage.after is None:
            return
        stream = passage.after


def started(source: Stage, withdrawal: Phase | None, mixture: Mixture, around: Around) -> Stream | None:
    """What leaves a container whose liquid is as warm as the air, or a meter at its least, if known."""
    if source.kind is StageKind.CONTAINER:
        pascal = around.fluids.bubble_pressure(mixture, around.air_kelvin)
        return Stream(pascal, around.air_kelvin, withdrawal, mixture)
    low, high = source.span("supply_pressure")
    gauge = low if low is not None else high
    if gauge is None:
        return None
    return Stream(gauge + around.atmosphere, around.air_kelvin, Phase.VAPOUR, mixture, regulated=True)
