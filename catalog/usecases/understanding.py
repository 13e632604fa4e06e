"""From what was asked to what it means: parts and engine found, values read, and then the facts the decision uses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from catalog import loading
from catalog.domain.rules import Rulebook
from catalog.loading import LoadedMachine, LoadedPart, LoadedSpecification, Wanted
from catalog.models.facts import as_text
from catalog.usecases.applications import read_application
from catalog.usecases.asked import Asked, AskedItem, DescribedPart
from catalog.usecases.part_finding import PartFinder
from catalog.usecases.refusals import Gathered, PositionRemoved, UnknownPosition
from catalog.usecases.specification_finding import SpecificationFinder
from catalog.usecases.told_facts import CANDIDATE, POSITION, ToldFacts, read_one, read_told
from service.errors import Invalid


@dataclass(frozen=True, slots=True)
class FoundItem:
    """One part of the candidate: its text, and its row where it is in the catalogue."""

    text: str
    category: str
    row: LoadedPart | None
    quantity: int | None
    adapters: tuple[LoadedPart, ...]


@dataclass(frozen=True, slots=True)
class Understood:
    """A question with everything it names found; only the makers' statements are still to be loaded."""

    asked: Asked
    candidate: tuple[FoundItem, ...]
    replaces: LoadedPart | None
    specification: LoadedSpecification | None
    position: str | None
    application: Mapping[str, Any]
    told: ToldFacts

    @property
    def wanted(self) -> Wanted | None:
        """The statements this question needs; none where no engine is given.

        At a position that is given they are the same whatever part is asked about.
        """
        if self.specification is None:
            return None
        if self.position is not None:
            return Wanted(self.specification.id, self.position)
        rows = [item.row for item in self.candidate if item.row] + ([self.replaces] if self.replaces else [])
        return Wanted(
            specification=self.specification.id,
            position=None,
            parts=tuple(row.id for row in rows),
            categories=(self.candidate[0].category, *((self.replaces.category,) if self.replaces else ())),
        )


@dataclass(frozen=True, slots=True)
class Reference:
    """What questions are read against: the rulebook, the parts and specifications they name, the day of asking."""

    rulebook: Rulebook
    parts: PartFinder
    specifications: SpecificationFinder
    today: date


def understand(asked: Asked, reference: Reference) -> Understood:
    """Find and read everything. Raises every problem of the question at once, see `Gathered.tell`."""
    problems = Gathered()
    items: list[FoundItem] = []
    replaces: LoadedPart | None = None
    specification: LoadedSpecification | None = None
    application: Mapping[str, Any] = {}
    told = ToldFacts()
    for item in asked.candidate:
        with problems.each():
            items.append(_found(item, reference, on_an_engine=asked.specification is not None))
    if asked.replaces is not None:
        with problems.each():
            replaces = reference.parts.find(asked.replaces)
    with problems.each():
        specification = _specification(asked, reference)
    with problems.each():
        application = read_application(
            asked.application,
            specification,
            reference.rulebook,
            today=reference.today,
            at="/machine" if asked.machine else "/application",
        )
    with problems.each():
        told = _told(asked, reference, items)
    problems.tell()
    return Understood(asked, tuple(items), replaces, specification, asked.position, application, told)


def _found(item: AskedItem, reference: Reference, *, on_an_engine: bool) -> FoundItem:
    adapters = tuple(reference.parts.find_live(adapter) for adapter in item.adapters)
    if isinstance(item.part, DescribedPart):
        return FoundItem(_described(item.part, reference.rulebook), item.part.category, None, item.quantity, adapters)
    row = reference.parts.find_live(item.part, or_replaced=on_an_engine)
    return FoundItem(row.text, row.category, row, item.quantity, adapters)


def _described(part: DescribedPart, rulebook: Rulebook) -> str:
    """A description in the form of a part's text, so that it is judged like one; it says of itself what it is."""
    if part.category not in rulebook.categories:
        raise Invalid(
            f"There is no category {part.category[:60]!r}; use one of {', '.join(rulebook.categories)}.",
            pointer=f"{part.pointer}/category",
            code="unknown_category",
        )
    problems = Gathered()
    offers = []
    for attribute in part.attributes:
        with problems.each():
            name, slot, packed, _ = read_one(attribute, rulebook, category=part.category)
            offers.append([name, slot, packed, "record", "as described"])
    problems.tell()
    return as_text(
        {
            "maker": part.maker_text,
            "number": part.number_text,
            "name": "",
            "category": part.category,
            "supplied_as": part.supplied_as,
            "condition": "new",
            "described": True,
            "offers": sorted(offers, key=as_text),
        }
    )


def _specification(asked: Asked, reference: Reference) -> LoadedSpecification | None:
    if asked.specification is None:
        return None
    found = reference.specifications.find(asked.specification, "/machine" if asked.machine else "/application/spec")
    if asked.machine is not None:
        found = loading.as_it_stands(found, asked.machine)
        _refuse_removed(asked, asked.machine)
    codes = [position.code for position in found.positions]
    if asked.position is not None and asked.position not in codes:
        raise UnknownPosition(
            f"{found.key} has no position {asked.position[:60]!r}; its positions: {', '.join(codes) or 'none'}.",
            pointer="/position",
            positions=codes,
        )
    return found


def _refuse_removed(asked: Asked, machine: LoadedMachine) -> None:
    if asked.position in machine.removed:
        raise PositionRemoved(
            f"{machine.name} has no position {asked.position} any more: it is recorded as removed when the engine was "
            "converted. Ask about the position that took its place.",
            pointer="/position",
        )


def _told(asked: Asked, reference: Reference, items: Sequence[FoundItem]) -> ToldFacts:
    category = items[0].category if items else None
    told = read_told(asked.facts, reference.rulebook, category=category)
    places = {fact.about: fact.pointer for fact in asked.facts}
    if told.candidate and len(asked.candidate) > 1:
        raise Invalid(
            "With several parts asked about, a fact about the candidate does not say which it is of; ask about that "
            "part by itself.",
            pointer=f"{places[CANDIDATE]}/about",
            code="which_part",
        )
    if told.position and (asked.position is None or asked.specification is None):
        raise Invalid(
            "A fact about the position needs the position and the engine's specification in the question.",
            pointer=f"{places[POSITION]}/about",
            code="which_position",
        )
    return told
