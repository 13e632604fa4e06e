"""A supply line put together from an engine's positions, the parts that stand at them, and what the stages state."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from catalog.domain.answers import Basis, distinct
from catalog.domain.applicability import Where
from catalog.domain.case import Case
from catalog.domain.fuels import Fuel, Phase
from catalog.domain.parts import Part, Position
from catalog.domain.questions import Engine
from catalog.domain.rules import Rulebook
from catalog.domain.supply.stages import Known, Line, Stage, StageKind
from catalog.domain.values import Demand, Offer, Place, State

_NOBODY = Part("", "", "")
_WITHDRAWAL: Place = ("withdrawal", None)


@dataclass(frozen=True, slots=True)
class StageRow:
    """One stage as recorded: its kind, the position that it is (if it is one), and values of its own."""

    kind: StageKind
    name: str = ""
    position: str | None = None
    values: Mapping[Place, Known] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Build:
    """What a line is built from; `replaced` are candidate parts by the position they are tried at."""

    rulebook: Rulebook
    engine: Engine
    where: Where
    fuel: Fuel
    replaced: Mapping[str, Part] = field(default_factory=dict)


def build_line(build: Build, rows: Iterable[StageRow]) -> Line:
    """The stages in order, each with what is known of it, first of these: the candidate, the stage's own values.

    Then the part that the engine's maker specifies for the application, then what the position states that it needs.
    Sources that disagree leave a value unknown.
    """
    stages = tuple(_stage(build, row) for row in rows)
    source = next((stage for stage in stages if stage.kind is StageKind.CONTAINER), None)
    return Line(build.engine.name, build.fuel.text, stages, _withdrawal(build, source))


def taken_out(build: Build, rows: Iterable[StageRow]) -> tuple[str, ...]:
    """The positions of the line as recorded that are not on this engine any more."""
    standing = {place.code for place in build.engine.positions}
    return distinct(row.position for row in rows if row.position and row.position not in standing)


def _stage(build: Build, row: StageRow) -> Stage:
    position = next((place for place in build.engine.positions if place.code == row.position), None)
    if position is None:
        return Stage(row.kind, row.name or row.kind.value, row.values)
    candidate, specified = build.replaced.get(position.code), _specified(build, position)
    standing = candidate or specified
    facts = {
        **_demanded(position),
        **(_recorded(standing) if standing else {}),
        **row.values,
        **(_recorded(candidate) if candidate else {}),
    }
    return Stage(
        row.kind,
        row.name or position.shown,
        facts,
        part=standing.shown if standing else "",
        position=position.code,
        category=position.category,
        inlet=_classes(build, position),
    )


def _specified(build: Build, position: Position) -> Part | None:
    """The one part that the engine's maker specifies here for the application; None where it is not known which."""
    case = case_at(build, position)
    certain = [part for part, truth in case.specified_here if truth.holds]
    return certain[0] if len(certain) == 1 and len(case.specified_here) == 1 else None


def case_at(build: Build, position: Position, part: Part = _NOBODY) -> Case:
    """The position as a check of single parts sees it, with a part tried there or none."""
    return Case(
        build.rulebook, build.where, position, part, build.engine.statements, fuels_built_for=build.engine.fuels
    )


def _classes(build: Build, position: Position) -> tuple[str, ...]:
    case = case_at(build, position)
    return tuple(code for port in ("inlet", "inside") for code in case.answering(port, build.fuel))


def _recorded(part: Part) -> dict[Place, Known]:
    agreed: dict[Place, Known] = {}
    for place, offers in part.offers.items():
        found = _one(offers)
        if found is not None:
            agreed[place] = Known(found.value, Basis.PART_DATA, found.source)
    return agreed


def _one(offers: tuple[Offer, ...]) -> Offer | None:
    """The offer that every source agrees on, if it is a value."""
    alike = len({offer.value for offer in offers}) == 1
    return offers[0] if alike and offers[0].value.state is State.VALUE else None


def _demanded(position: Position) -> dict[Place, Known]:
    """What the position states, as what a part that is right for it has; computed demands are the line's own."""
    found: dict[Place, Known] = {}
    for place, demands in position.demands.items():
        for demand in demands:
            if _speaks(demand):
                found.setdefault(place, Known(demand.value, Basis.STATED, demand.source))
    return found


def _speaks(demand: Demand) -> bool:
    return demand.basis is not Basis.COMPUTED and demand.value.state is State.VALUE


def _withdrawal(build: Build, source: Stage | None) -> Phase | None:
    """What the line draws: as the container's position states it, else the only phase its valve gives."""
    if source is None:
        return None
    position = next((place for place in build.engine.positions if place.code == source.position), None)
    stated = position.demands.get(_WITHDRAWAL, ()) if position else ()
    asked = stated[0].value.codes if stated else ()
    for codes in (asked, source.codes("withdrawal")):
        if len(codes) == 1:
            return Phase(codes[0])
    return None
