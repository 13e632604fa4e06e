"""A recorded check as it is shown: as it was given, or with its measures in other units."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, TypeVar

from catalog import loading
from catalog.domain.checking import decide
from catalog.domain.parts import Part, Position
from catalog.domain.quantities import Interval, Quantity
from catalog.domain.questions import Question
from catalog.domain.rules import Rulebook
from catalog.domain.value_documents import Units, write_value
from catalog.domain.values import Demand, Offer, Value
from catalog.models import Check
from catalog.usecases.answers import decided
from catalog.usecases.facts_used import FactsUsed, question_of

T = TypeVar("T", Offer, Demand)
SUMMARY = (
    "id", "verdict", "headline", "position", "use", "digest", "catalogue_version", "rulebook", "checked_at",
    "checked_by",
)  # fmt: skip


class AsKept(dict[str, Any]):
    """An answer shown just as it is kept, with the text that it is kept as."""

    def __init__(self, answer: Mapping[str, Any], text: str) -> None:
        super().__init__(answer)
        self.text = text


def shown(
    check: Check,
    units: Units = "as_given",
    approval: Mapping[str, Any] | None = None,
    answer: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """The answer. In other units it is decided again from the facts kept with it, which gives the same verdict.

    `approval` is the one that applies at the moment of showing: no part of what is kept. `answer` is the document that
    is kept with the check, where it is at hand.
    """
    kept = json.loads(check.answer) if answer is None else answer
    if units == "as_given" and approval is None:  # which is what is kept in its place
        return AsKept(kept, check.answer)
    answer = {**kept, "approval": approval}
    if units == "as_given":
        return answer
    rulebook = rulebook_of(check)
    question = in_units(question_of(FactsUsed.read(check.facts), rulebook), units)
    return {**answer, **decided(decide(question), rulebook, units=units)}


def rulebook_of(check: Check) -> Rulebook:
    """The rulebook that a check was decided by, whatever has been published since."""
    return loading.load_rulebook_numbered(check.rulebook_id)


def in_units(question: Question, units: Units) -> Question:
    """The same question, every measure in it to be shown in these units."""
    engine = question.engine
    return replace(
        question,
        candidate=tuple(
            replace(item, part=_part(item.part, units), adapters=tuple(_part(a, units) for a in item.adapters))
            for item in question.candidate
        ),
        replaces=None if question.replaces is None else _part(question.replaces, units),
        replacements=replace(
            question.replacements,
            parts={number: _part(part, units) for number, part in question.replacements.parts.items()},
        ),
        engine=None
        if engine is None
        else replace(
            engine,
            positions=tuple(_position(position, units) for position in engine.positions),
            statements=tuple(replace(said, part=_part(said.part, units)) for said in engine.statements),
        ),
    )


def _part(part: Part, units: Units) -> Part:
    return replace(
        part,
        offers={place: _restated(offers, units) for place, offers in part.offers.items()},
        contains=tuple(replace(held, part=_part(held.part, units)) for held in part.contains),
    )


def _position(position: Position, units: Units) -> Position:
    return replace(
        position,
        demands={place: _restated(demands, units) for place, demands in position.demands.items()},
        inside=tuple(_position(inner, units) for inner in position.inside),
    )


def _restated(stated: tuple[T, ...], units: Units) -> tuple[T, ...]:
    return tuple(replace(one, value=_value(one.value, units)) for one in stated)


def _value(value: Value, units: Units) -> Value:
    payload = value.payload
    if not isinstance(payload, (Quantity, Interval)):
        return value
    written = write_value(value, units=units)
    unit = written.get("unit", "") if isinstance(written, dict) else ""
    if isinstance(payload, Quantity):
        return Value(replace(payload, unit=unit))
    ends = (None if end is None else replace(end, unit=unit) for end in (payload.low, payload.high))
    return Value(Interval(*ends))


def summary(check: Check) -> dict[str, Any]:
    """What a list shows of a check."""
    answer = json.loads(check.answer)
    return {name: answer[name] for name in SUMMARY}
