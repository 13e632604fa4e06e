"""With three values in ten gone from the catalogue, specified parts are still answered for, and nothing slips in.

The aim (common practice, no source): at most one specified part in five may become undetermined, and whatever the
whole data refuses stays unaccepted.
"""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date

import pytest

from catalog.domain.answers import Verdict
from catalog.domain.applicability import Application
from catalog.domain.checking import decide
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.parts import SPECIFIES, Part, Statement
from catalog.domain.questions import Engine, Item, Question
from tests.demo_world import engine, parts, rulebook

pytestmark = pytest.mark.domain
ENGINES = [engine(model, spec) for model, spec in (("VRD-H40", "S-118"), ("VRD-H40", "S-131"), ("TSK-R60", "N-43"),
                                                   ("OLM-K55", "D-30A"))]  # fmt: skip
SEEDS = range(20)
REMOVED = 0.3


def thinned(part: Part, seed: int) -> Part:
    chance = random.Random(f"{part.key} {seed}")  # noqa: S311 - which values go missing is no secret
    return replace(part, offers={place: kept for place, kept in part.offers.items() if chance.random() >= REMOVED})


def with_thin_parts(built: Engine, seed: int) -> Engine:
    statements = tuple(replace(entry, part=thinned(entry.part, seed)) for entry in built.statements)
    return replace(built, statements=statements)


def verdict(built: Engine, part: Part, position: str, fuels: tuple[Fuel, ...]) -> Verdict:
    record = FuelRecord(fuels, RecordMode.ONLY_FUEL, date(2026, 1, 12))
    application = Application(built.name, plate_fuels=fuels, fuel_records=(record,), certified=False, ecu=True)
    return decide(Question(rulebook(), (Item(part),), application, built, position)).verdict


def specified() -> list[tuple[Engine, Statement, tuple[Fuel, ...]]]:
    """Each part specified for a fuel that its engine burns, with that fuel."""
    return [
        (built, statement, (fuel,))
        for built in ENGINES
        for statement in built.statements
        if statement.kind in SPECIFIES
        for fuel in built.fuels
        if fuel in (statement.applicability.any_fuel or statement.applicability.all_fuels or (fuel,))
    ]


def test_most_specified_parts_are_answered_for_with_values_missing() -> None:
    asked = [
        verdict(with_thin_parts(built, seed), thinned(statement.part, seed), statement.position, fuels)
        for built, statement, fuels in specified()
        for seed in SEEDS
    ]
    assert asked.count(Verdict.UNDETERMINED) <= len(asked) / 5
    assert Verdict.ACCEPTED in asked


def test_no_part_is_accepted_for_want_of_the_value_that_refuses_it() -> None:
    for built in ENGINES:
        for position in built.positions:
            for fuel in built.fuels:
                # A part of another category is refused for that, whatever is recorded of it.
                for part in (each for each in parts().values() if each.category == position.category):
                    if verdict(built, part, position.code, (fuel,)) is not Verdict.REJECTED:
                        continue
                    for seed in SEEDS[:5]:
                        thin = verdict(built, thinned(part, seed), position.code, (fuel,))
                        assert thin in (Verdict.REJECTED, Verdict.UNDETERMINED), (part.key, position.code, fuel)
