"""The fuel followed from its container to the engine, at every temperature."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from catalog.domain.answers import Fact, distinct
from catalog.domain.fuels import Phase
from catalog.domain.supply.passing import Around, Passage, Stream, passed
from catalog.domain.supply.stages import Conditions, Line, Stage, StageKind

MOST_POINTS = 60


@dataclass(frozen=True, slots=True)
class Walk:
    """The pressures, Pa absolute, at the inlet of every stage that the fuel reaches at one temperature.

    `stopped_by` is the stage that lets nothing more through, if one does.
    """

    kelvin: float
    pascals: tuple[float, ...]
    stopped_by: Stage | None = None


@dataclass(frozen=True, slots=True)
class Walked:
    """A line followed at every temperature, the coldest first; no passages where its source is not known."""

    passages: tuple[Passage, ...]
    walks: tuple[Walk, ...]

    def at(self, stage: Stage) -> tuple[Passage | None, tuple[float | None, ...]]:
        """How the stage is passed, and the pressure at its inlet at each temperature: None where nothing reaches it."""
        for index, passage in enumerate(self.passages):
            if passage.stage is stage:
                return passage, tuple(made.pascals[index] if index < len(made.pascals) else None for made in self.walks)
        return None, (None,) * len(self.walks)

    def coldest(self) -> tuple[tuple[Passage, float], ...]:
        """Every stage that is reached at the coldest, with the pressure at its inlet."""
        return tuple(zip(self.passages, self.walks[0].pascals, strict=False))

    def lacks_before(self, stage: Stage) -> tuple[Fact, ...]:
        """What was assumed ahead of a stage and at it, as far as the fuel comes at any temperature."""
        found: list[Fact] = []
        for passage in self.passages[: max(len(made.pascals) for made in self.walks)]:
            found += passage.lacks
            if passage.stage is stage:
                break
        return distinct(found)


def temperatures(conditions: Conditions) -> tuple[float, ...]:
    """Evenly from the coldest to the hottest, K; one where they are the same."""
    low, high = conditions.coldest_kelvin, conditions.hottest_kelvin
    count = min(MOST_POINTS, 1 + int(high - low) * 2) if high > low else 1
    last = max(count - 1, 1)
    return tuple(low + (high - low) * index / last for index in range(count))


def walked(line: Line, kelvins: Iterable[float], around: Around) -> Walked:
    """Follow the fuel at each temperature of the air."""
    source = line.source
    given = None if source is None else _giving(source, around)
    if source is None or given is None:
        return Walked((), tuple(Walk(kelvin, ()) for kelvin in kelvins))
    start = Stream(line.withdrawal) if source.kind is StageKind.CONTAINER else Stream(Phase.VAPOUR, regulated=True)
    passages = (Passage(source, start, start), *_onwards(line.after_source, start, around))
    return Walked(passages, tuple(_walk(passages, kelvin, given(kelvin)) for kelvin in kelvins))


def _onwards(stages: tuple[Stage, ...], stream: Stream, around: Around) -> Iterator[Passage]:
    for stage in stages:
        passage = passed(stage, stream, around)
        yield passage
        if passage.after is None:
            return
        stream = passage.after


def _walk(passages: tuple[Passage, ...], kelvin: float, pascal: float) -> Walk:
    pascals: list[float] = []
    for passage in passages:
        arrives = pascal - passage.allowance
        pascals.append(arrives)
        left = passage.behind(arrives, kelvin)
        if left is None:
            return Walk(kelvin, tuple(pascals), passage.stage)
        pascal = left
    return Walk(kelvin, tuple(pascals))


def _giving(source: Stage, around: Around) -> Callable[[float], float] | None:
    """Pa absolute of a container whose liquid is as warm as the air, K, or of a meter at its least, if known."""
    if source.kind is StageKind.CONTAINER:
        return around.fuel.bubble_pressure
    low, high = source.span("supply_pressure")
    gauge = low if low is not None else high
    return None if gauge is None else lambda _: gauge + around.atmosphere
