"""A whole supply line decided: every stage weighed, one verdict, and the stage and condition that govern it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from catalog.domain.answers import COMMON_PRACTICE, Answer, Effect, Fact, Verdict, distinct
from catalog.domain.findings import Finding
from catalog.domain.folding import Folded, fold
from catalog.domain.fuels import Phase
from catalog.domain.rules import Rulebook
from catalog.domain.supply.container_line import evaporates, keeps_holding
from catalog.domain.supply.flow_line import heats, passes, stays_liquid, stays_vapour
from catalog.domain.supply.fluids import Fluids, OutOfRange
from catalog.domain.supply.line_words import Words
from catalog.domain.supply.rating_line import stands
from catalog.domain.supply.relief_line import relieves
from catalog.domain.supply.stages import Conditions, Line, Stage, StageKind
from catalog.domain.supply.weighing_line import Weighing, finding, holding, needs, phases

_AS_GIVEN = Fact(
    "fuel properties", "Do the composition, the pressures and the temperatures of this line hold as given?"
)


@dataclass(frozen=True, slots=True)
class StageSeries:
    """What the fuel does at one stage over the temperatures: Pa absolute, None where that cannot be told."""

    stage: str
    pressures: tuple[float | None, ...]
    phase: Phase | None


@dataclass(frozen=True, slots=True)
class SupplyDecision:
    """The answer about a line. `governing` is the stage of the finding that decides; empty where all is met."""

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
    """Weigh every stage of a line. The same line and conditions give the same answer, always.

    Where the equations of state do not reach, the answer is that it cannot be told.
    """
    weighing = Weighing(line, conditions, fluids, words or Words())
    try:
        return _decided(weighing, rulebook)
    except OutOfRange as error:
        return cannot_tell(line, f"{UNTOLD_FUEL}: {error.message}", _AS_GIVEN)


UNTOLD_FUEL = "Cannot tell how the fuel behaves on this line"


def cannot_tell(line: Line, text: str, fact: Fact) -> SupplyDecision:
    """The answer where nothing can be worked out at all; `fact` is what would change that."""
    stage = line.source or Stage(StageKind.CONTAINER, "container")
    found = finding("fuel_properties", stage, Answer.UNKNOWN, text, COMMON_PRACTICE, missing=(fact,))
    return SupplyDecision(Verdict.UNDETERMINED, text, found.slot or "", (found,), (), (fact,), (), ())


def left_open(decision: SupplyDecision, fact: Fact) -> SupplyDecision:
    """A refusal that another answer to `fact` may lift: what refused is unknown until it is told."""
    findings = tuple(
        found._replace(outcome=Answer.UNKNOWN, effect=Effect.UNDETERMINED, missing=(*found.missing, fact))
        if found.effect is Effect.REJECT
        else found
        for found in decision.findings
    )
    headline = f"Cannot tell before the {fact.name} is known; at its worst: {decision.headline}"
    missing = distinct((fact, *decision.missing))
    return replace(
        decision, verdict=Verdict.UNDETERMINED, headline=headline, findings=findings, conditions=(), missing=missing
    )


def heard(decision: SupplyDecision, reports: tuple[Finding, ...]) -> SupplyDecision:
    """The decision with open reports about parts that are tried on the line: a refusal stays one, no yes does."""
    folded = fold((*decision.findings, *reports), accepted_words="")
    if decision.verdict is Verdict.REJECTED:
        return replace(decision, findings=folded.findings)
    missing = distinct(fact for report in reports for fact in report.missing)
    decided = replace(
        decision, verdict=folded.verdict, findings=folded.findings, missing=distinct((*missing, *decision.missing))
    )
    if decision.verdict is Verdict.UNDETERMINED:
        return decided
    return replace(decided, headline=folded.headline, governing=governing(folded))


def _decided(weighing: Weighing, rulebook: Rulebook) -> SupplyDecision:
    folded = fold(
        _findings(weighing, rulebook), accepted_words=f"{weighing.line.name}: every stage gets what it needs."
    )
    return SupplyDecision(
        verdict=folded.verdict,
        headline=folded.headline,
        governing=governing(folded),
        findings=folded.findings,
        conditions=folded.conditions,
        missing=folded.missing,
        kelvins=weighing.kelvins,
        series=tuple(_series(weighing)),
    )


def governing(folded: Folded) -> str:
    return "" if folded.verdict is Verdict.ACCEPTED else folded.findings[0].slot or ""


def _findings(weighing: Weighing, rulebook: Rulebook) -> tuple[Finding, ...]:
    def phase_of(code: str) -> Phase | None:
        service = rulebook.classes.get(code)
        return service.phase if service else None

    return (
        *holding(weighing),
        *phases(weighing, phase_of),
        *evaporates(weighing),
        *keeps_holding(weighing),
        *passes(weighing),
        *needs(weighing),
        *stands(weighing, rulebook),
        *relieves(weighing),
        *heats(weighing),
        *stays_liquid(weighing),
        *stays_vapour(weighing),
    )


def _series(weighing: Weighing) -> Iterator[StageSeries]:
    for stage in weighing.line.stages:
        passage, pressures = weighing.best.at(stage)
        reached = passage is not None and any(pascal is not None for pascal in pressures)
        phase = passage.before.phase if passage and reached else None
        yield StageSeries(stage.position or stage.name, pressures, phase)
