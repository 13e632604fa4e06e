"""A whole supply line decided: every stage weighed, one verdict, and the stage and condition that govern it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from catalog.domain.answers import Fact, Verdict
from catalog.domain.findings import Finding
from catalog.domain.folding import fold
from catalog.domain.fuels import Phase
from catalog.domain.rules import Rulebook
from catalog.domain.supply.container_line import evaporates
from catalog.domain.supply.flow_line import passes, stays_liquid, stays_vapour
from catalog.domain.supply.fluids import Fluids
from catalog.domain.supply.line_words import Words
from catalog.domain.supply.rating_line import stands
from catalog.domain.supply.stages import Conditions, Line
from catalog.domain.supply.weighing_line import Weighing, holding, needs, phases


@dataclass(frozen=True, slots=True)
class StageSeries:
    """What the fuel does at one stage over the temperatures: Pa absolute, None where that cannot be told."""

    stage: str
    pressures: tuple[float | None, ...]
    phase: Phase | None


@dataclass(frozen=True, slots=True)
class SupplyDecision:
    """The answer about a line. `governing` names the finding that decides, or the tightest where all is met."""

    verdict: Verdict
    headline: str
    governing: str
    findings: tuple[Finding, ...]
    conditions: tuple[str, ...]
    missing: tuple[Fact, ...]
    kelvins: tuple[float, ...]
    series: tuple[StageSeries, ...]


def decide_line(
    line: Line, conditions: Conditions, rulebook: Rulebook, fluids: Fluids, words: Words | None = None
) -> SupplyDecision:
    """Weigh every stage of a line. The same line and conditions give the same answer, always."""
    weighing = Weighing(line, conditions, fluids, words or Words())
    folded = fold(_findings(weighing, rulebook), accepted_words=f"{line.name}: every stage gets what it needs.")
    return SupplyDecision(
        verdict=folded.verdict,
        headline=folded.headline,
        governing=folded.findings[0].slot or "" if folded.findings else "",
        findings=folded.findings,
        conditions=folded.conditions,
        missing=folded.missing,
        kelvins=weighing.kelvins,
        series=tuple(_series(weighing)),
    )


def _findings(weighing: Weighing, rulebook: Rulebook) -> tuple[Finding, ...]:
    def phase_of(code: str) -> Phase | None:
        service = rulebook.classes.get(code)
        return service.phase if service else None

    return (
        *holding(weighing),
        *phases(weighing, phase_of),
        *evaporates(weighing),
        *passes(weighing),
        *needs(weighing),
        *stands(weighing, rulebook),
        *stays_liquid(weighing),
        *stays_vapour(weighing),
    )


def _series(weighing: Weighing) -> Iterator[StageSeries]:
    for stage in weighing.line.stages:
        found = [made.at(stage) for made in weighing.best]
        phase = next((passage.before.phase for passage in found if passage), None)
        pressures = tuple(passage.before.pascal if passage else None for passage in found)
        yield StageSeries(stage.position or stage.name, pressures, phase)
