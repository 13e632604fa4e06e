"""What check values are tried with: a demo position asked about a demo part with one thing changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby
from typing import Any, Protocol, TypeVar

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Verdict
from catalog.domain.applicability import Application
from catalog.domain.checking import decide
from catalog.domain.findings import Finding
from catalog.domain.fuels import FuelRecord, RecordMode, known_fuel
from catalog.domain.parts import Part, Position
from catalog.domain.questions import Engine, Item, Question
from catalog.domain.value_documents import read_value
from catalog.domain.values import Demand, Offer, Place
from tests.demo_world import engine, rulebook

UNSOURCED = "common practice, no source"


@dataclass(frozen=True)
class DemoPlace:
    """A demo position without any statement: what it needs is what a case states, and nothing is lent."""

    model: str
    spec: str
    position: str
    burned: str

    def asked(self, candidate: Part, demands: Mapping[str, Any]) -> tuple[Verdict, Mapping[str, Finding]]:
        built = engine(self.model, self.spec)
        bare = next(entry for entry in built.positions if entry.code == self.position)
        place = replace(bare, demands=_demands(bare, demands))
        record = FuelRecord((known_fuel(self.burned, rulebook().fuels),), RecordMode.ONLY_FUEL, date(2026, 1, 12))
        application = Application(plate_fuels=record.fuels, fuel_records=(record,), certified=False, ecu=True)
        question = Question(
            rulebook(), (Item(candidate),), application, Engine("E", built.fuels, (place,)), self.position
        )
        decision = decide(question)
        return decision.verdict, {finding.attribute: finding for finding in decision.findings}


def _demands(position: Position, raw: Mapping[str, Any]) -> Mapping[Place, tuple[Demand, ...]]:
    stated: dict[Place, tuple[Demand, ...]] = {
        (name, None): (Demand(_value(name, value), Basis.STATED, COMMON_PRACTICE),) for name, value in raw.items()
    }
    return {**position.demands, **stated}


def _value(name: str, raw: Any) -> Any:
    return read_value(raw, rulebook().attributes[name], pointer="")


def changed(found: Part, raw: Mapping[str, Any]) -> Part:
    """The part with some attributes stated otherwise; None takes an attribute away."""
    offers = {place: offer for place, offer in found.offers.items() if place[0] not in raw}
    stated: dict[Place, tuple[Offer, ...]] = {
        (name, None): (Offer(_value(name, value), COMMON_PRACTICE),) for name, value in raw.items() if value is not None
    }
    return replace(found, maker="XYZ", offers={**offers, **stated})


def quantity(value: str, unit: str, reference: str | None = None) -> dict[str, str]:
    return {"value": value, "unit": unit} | ({"reference": reference} if reference else {})


@dataclass(frozen=True)
class CheckValue:
    """One value: what is offered, what is demanded, and what the finding of `rule` has to come to and to say."""

    id: str
    source: str
    place: DemoPlace
    candidate: Part
    offered: Mapping[str, Any]
    demanded: Mapping[str, Any]
    rule: str
    outcome: Answer
    verdict: Verdict | None = None
    text_has: tuple[str, ...] = ()

    def comes_out(self) -> None:
        verdict, findings = self.place.asked(changed(self.candidate, self.offered), self.demanded)
        finding = findings[self.rule]
        assert finding.outcome is self.outcome, f"{self.id}: {finding.text}"
        assert self.verdict in (None, verdict), self.id
        for words in self.text_has:
            assert words in finding.text, self.id


class _Named(Protocol):
    @property
    def id(self) -> str: ...


N = TypeVar("N", bound=_Named)


def by_check_value(cases: Iterable[N]) -> list[Any]:
    """One parameter for each check value, with all the rows that it takes; any other row is its own."""
    grouped = groupby(cases, key=lambda case: case.id.split()[0] if case.id.startswith("CV") else case.id)
    return [pytest.param(tuple(rows), id=name) for name, rows in grouped]
