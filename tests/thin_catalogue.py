"""The demo catalogue with values taken away by chance, and every part asked for at every position of its category."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

from catalog.domain.answers import Verdict
from catalog.domain.applicability import Application
from catalog.domain.checking import decide
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.parts import SPECIFIES, Part, PartKey, StatementKind
from catalog.domain.questions import Engine, Item, Question
from tests.demo_world import engines, parts, rulebook

REMOVED = 0.3


@dataclass(frozen=True, slots=True)
class Ask:
    """A part at a position of an engine that burns one fuel."""

    engine: Engine
    part: Part
    position: str
    fuel: Fuel


@cache
def thinned(key: PartKey, seed: int) -> Part:
    part, chance = parts()[key], random.Random(f"{key} {seed}")  # noqa: S311 - which values go missing is no secret
    return replace(part, offers={place: kept for place, kept in part.offers.items() if chance.random() >= REMOVED})


@cache
def thinned_engine(name: str, seed: int) -> Engine:
    (built,) = (one for one in engines() if one.name == name)
    statements = tuple(replace(entry, part=thinned(entry.part.key, seed)) for entry in built.statements)
    return replace(built, statements=statements)


def verdict(ask: Ask, seed: int | None = None) -> Verdict:
    """Of the whole catalogue, or of the one that the seed leaves."""
    built, part = ask.engine, ask.part
    if seed is not None:
        built, part = thinned_engine(built.name, seed), thinned(part.key, seed)
    record = FuelRecord((ask.fuel,), RecordMode.ONLY_FUEL, date(2026, 1, 12))
    application = Application(
        built.name,
        plate_fuels=(ask.fuel,),
        fuel_records=(record,),
        place_of_use="indoor",
        dusty=False,
        certified=False,
        ecu=True,
    )
    return decide(Question(rulebook(), (Item(part),), application, built, ask.position)).verdict


def stated(*kinds: StatementKind) -> Iterator[Ask]:
    """Each part that statements of these kinds name, for each fuel it is named for; serial breaks aside."""
    for built in engines():
        for said in built.statements:
            named = said.applicability.any_fuel or said.applicability.all_fuels
            if said.kind in kinds and not said.applicability.serials:
                yield from (
                    Ask(built, said.part, said.position, fuel)
                    for fuel in built.fuels
                    if not named or fuel.code in {one.code for one in named}
                )


def specified() -> tuple[Ask, ...]:
    return tuple(stated(*SPECIFIES))


def only_listed() -> tuple[Ask, ...]:
    """What its own maker lists and the engine's maker does not specify."""
    by_maker = {(ask.engine.name, ask.part.key, ask.position) for ask in specified()}
    return tuple(
        ask for ask in stated(StatementKind.LISTED) if (ask.engine.name, ask.part.key, ask.position) not in by_maker
    )


def of_the_category() -> Iterator[Ask]:
    """Every part of the demo at every position of its category, for each fuel the engine is built for."""
    for built in engines():
        for position in built.positions:
            for part in parts().values():
                if part.category == position.category:
                    yield from (Ask(built, part, position.code, fuel) for fuel in built.fuels)
