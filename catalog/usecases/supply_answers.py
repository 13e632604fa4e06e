"""The answer about a supply line in plain values, in the shape of a part check's, with its stages and its plot."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from catalog import loading
from catalog.domain.supply.fluids import Fluids
from catalog.domain.supply.line_questions import SupplyAnswered, decide_supply
from catalog.domain.supply.line_words import Words
from catalog.domain.supply.stages import Line, Stage
from catalog.domain.value_documents import Units
from catalog.models import SupplyCheck
from catalog.usecases.answers import Provenance, finding_document, provenance_document, source_document
from catalog.usecases.facts_used import FactsUsed
from catalog.usecases.supply_facts import supply_question_of

WORDS = {"as_given": Words(), "si": Words(si=True), "us": Words(fahrenheit=True)}


def supply_document(answered: SupplyAnswered, provenance: Provenance, units: Units = "as_given") -> dict[str, Any]:
    return {**provenance_document(provenance), **decided_document(answered, units)}


def shown_supply(check: SupplyCheck, fluids: Fluids, units: Units = "as_given") -> dict[str, Any]:
    """The answer as recorded; in other units it is decided again from the facts kept, to the same verdict."""
    answer: dict[str, Any] = json.loads(check.answer)
    if units == "as_given":
        return answer
    rulebook = loading.load_rulebook_numbered(check.rulebook_id)
    question = supply_question_of(FactsUsed.read(check.facts), rulebook)
    return {**answer, **decided_document(decide_supply(question, fluids, WORDS[units]), units)}


def decided_document(answered: SupplyAnswered, units: Units) -> dict[str, Any]:
    """What was decided, without who asked and when."""
    decision = answered.decision
    return {
        "verdict": decision.verdict.value,
        "headline": decision.headline,
        "line": {"engine": answered.line.name, "fuel": answered.line.fuel},
        "governing": decision.governing or None,
        "findings": [finding_document(finding, None, units) for finding in decision.findings],
        "conditions": list(decision.conditions),
        "missing": [
            {"fact": fact.name, "question": fact.question, "decisive": True} for fact in answered.missing
        ],
        "conflicts": list(answered.conflicts),
        "cautions": [{"code": caution.code, "text": caution.text} for caution in answered.cautions],
        "assumptions": list(_assumptions(answered)),
        "stages": [_stage(answered.line, index) for index in range(len(answered.line.stages))],
        "plot": _plot(answered, units),
    }  # fmt: skip


def _stage(line: Line, index: int) -> dict[str, Any]:
    stage = line.stages[index]
    return {
        "number": index + 1,
        "stage": stage.position or stage.name,
        "name": stage.name,
        "kind": stage.kind.value,
        "position": stage.position,
        "part": stage.part or None,
        "made_for": list(stage.made_for),
        "known": [_known(stage, place) for place in sorted(stage.facts, key=str)],
    }


def _known(stage: Stage, place: tuple[str, str | None]) -> dict[str, Any]:
    known = stage.facts[place]
    return {
        "attribute": place[0],
        "slot": place[1],
        "basis": known.basis.value,
        "source": source_document(known.source),
    }


def _assumptions(answered: SupplyAnswered) -> Iterator[str]:
    """What the answer rests on that nobody recorded of this engine."""
    made = answered.compositions
    if made is not None:
        both = made.hottest != made.coldest
        kinds = (("where heat is worse", made.hottest), ("where cold is worse", made.coldest)) if both else (
            ("throughout", made.coldest),
        )  # fmt: skip
        for when, composition in kinds:
            yield f"Weighed {when} as {composition.shown}: {composition.source.citation or composition.name}."
        if made.assumed:
            yield "The grade of the fuel is not stated; another may be allowed what this answer refuses."
    draw = answered.drawn.draw
    if draw is not None:
        by = " (usual efficiency, assumed)" if draw.assumed else ""
        yield f"Drawn: {Words().flow(draw.flow)}, from {draw.words}{by}."


def _plot(answered: SupplyAnswered, units: Units) -> dict[str, Any] | None:
    """Pressure at each stage's inlet over the temperatures, Pa absolute turned into the unit asked for."""
    decision = answered.decision
    if not decision.kelvins:
        return None
    fahrenheit, unit = units == "us", ("psi", 6894.757293) if units != "si" else ("kPa", 1000.0)
    return {
        "temperature": {
            "unit": "degF" if fahrenheit else "degC",
            "values": [_degrees(kelvin, fahrenheit=fahrenheit) for kelvin in decision.kelvins],
        },
        "pressure": {"unit": unit[0], "reference": "absolute"},
        "series": [
            {
                "stage": series.stage,
                "phase": series.phase.value if series.phase else None,
                "values": [None if one is None else round(one / unit[1], 2) for one in series.pressures],
            }
            for series in decision.series
        ],
    }


def _degrees(kelvin: float, *, fahrenheit: bool) -> float:
    celsius = kelvin - 273.15
    return round(celsius * 9 / 5 + 32 if fahrenheit else celsius, 2)
