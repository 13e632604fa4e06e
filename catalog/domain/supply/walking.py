"""The fuel followed from its container to the engine, at every temperature."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from catalog.domain.answers import Fact, distinct
from catalog.domain.fuels import Phase
from catalog.domain.supply.fluids import FuelAt
from catalog.domain.supply.passing import Around, Passage, Step, Stream, step
from catalog.domain.supply.stages import Conditions, Line, Stage, StageKind

MOST_POINTS = 60


@dataclass(frozen=True, slots=True)
class Walk:
    """Every stage that the fuel reaches at one temperature. `lacks` are the facts assumed on the way so far."""

    kelvin: float
    passages: tuple[Passage, ...]

    def at(self, stage: Stage) -> Passage | None:
        for passage in self.passages:
            if passage.stage is stage:
                return passage
        return None

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


def walks(line: Line, fuels: Iterable[FuelAt], around: Around) -> Iterator[Walk]:
    """Follow the fuel at each temperature of the air; what the stages say is read once for all of them."""
    source = line.source
    steps = [step(stage, around) for stage in line.after_source]
    for fuel in fuels:
        start = None if source is None else started(source, line.withdrawal, fuel, around.atmosphere)
        if source is None or start is None:
            yield Walk(fuel.kelvin, ())
        else:
            yield Walk(fuel.kelvin, (Passage(source, start, start), *_onwards(steps, start)))


def _onwards(steps: Iterable[Step], stream: Stream) -> Iterator[Passage]:
    for passing in steps:
        passage = passing(stream)
        yield passage
        if passage.after is None:
            return
        stream = passage.after


def started(source: Stage, withdrawal: Phase | None, fuel: FuelAt, atmosphere: float) -> Stream | None:
    """What leaves a container whose liquid is as warm as the air, or a meter at its least, if known."""
    if source.kind is StageKind.CONTAINER:
        return Stream(fuel.bubble_pressure, withdrawal, fuel)
    low, high = source.span("supply_pressure")
    gauge = low if low is not None else high
    return None if gauge is None else Stream(gauge + atmosphere, Phase.VAPOUR, fuel, regulated=True)
