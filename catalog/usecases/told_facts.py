"""Facts given with a question: measured, read from a label or told, about the part, the position or the engine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from catalog.domain.rules import AttributeDefinition, Rulebook
from catalog.domain.value_documents import pack_value, read_value, refuse_impossible
from catalog.usecases.asked import ToldFact
from catalog.usecases.refusals import Gathered
from service.errors import Invalid

CANDIDATE, POSITION, APPLICATION = "candidate", "position", "application"
ABOUT = (CANDIDATE, POSITION, APPLICATION)
# The one thing about the engine that can be told here; the rest has its own field in `application`.
PLATE_HOLDS = "plate_holds"
Told = list[Any]  # attribute, slot, packed value, how


@dataclass(frozen=True, slots=True)
class ToldFacts:
    candidate: tuple[Told, ...] = ()
    position: tuple[Told, ...] = ()
    as_plate: bool = False


def read_told(facts: Sequence[ToldFact], rulebook: Rulebook, *, category: str | None) -> ToldFacts:
    """Read the facts against the published attributes; `category` is what the names to choose from are listed of.

    Raises what `Gathered.tell` raises.
    """
    problems = Gathered()
    told: dict[str, list[Told]] = {CANDIDATE: [], POSITION: []}
    as_plate = False
    for fact in facts:
        with problems.each():
            if fact.about == APPLICATION:
                as_plate = _plate_holds(fact) or as_plate
            else:
                told[fact.about].append(read_one(fact, rulebook, category=category))
    problems.tell()
    return ToldFacts(tuple(told[CANDIDATE]), tuple(told[POSITION]), as_plate)


def read_one(fact: ToldFact, rulebook: Rulebook, *, category: str | None) -> Told:
    definition = definition_of(fact, rulebook, category=category)
    value = read_value(fact.value, definition, pointer=f"{fact.pointer}/value")
    refuse_impossible(value, definition, pointer=f"{fact.pointer}/value")
    return [fact.attribute, fact.slot, pack_value(value), fact.how.value if fact.how else None]


def definition_of(fact: ToldFact, rulebook: Rulebook, *, category: str | None) -> AttributeDefinition:
    """The attribute's definition. Raises Invalid for an attribute or a slot that is not published."""
    definition = rulebook.attributes.get(fact.attribute)
    if definition is None:
        known = rulebook.categories.get(category or "")
        choose = f"of a {known.noun}: {', '.join(known.attributes)}" if known else "see GET /categories/"
        raise Invalid(
            f"There is no attribute {fact.attribute[:60]!r}; {choose}.",
            pointer=f"{fact.pointer}/attribute",
            code="unknown_attribute",
        )
    if fact.slot not in definition.slots and not _at_a_port(fact, rulebook, category):
        slots = ", ".join("none" if slot is None else slot for slot in definition.slots)
        raise Invalid(
            f"{definition.name} has no slot {fact.slot!r}; its slots: {slots}.",
            pointer=f"{fact.pointer}/slot",
            code="unknown_slot",
        )
    return definition


def _at_a_port(fact: ToldFact, rulebook: Rulebook, category: str | None) -> bool:
    known = rulebook.categories.get(category or "")
    return known is not None and fact.slot in known.ports


def _plate_holds(fact: ToldFact) -> bool:
    """Told that the plate still holds. A no settles nothing: somebody has to look at the engine."""
    if fact.attribute != PLATE_HOLDS or fact.slot is not None:
        raise Invalid(
            f"About the application only {PLATE_HOLDS} can be told as a fact; the rest has its fields in application.",
            pointer=f"{fact.pointer}/attribute",
            code="unknown_attribute",
        )
    if not isinstance(fact.value, bool):
        raise Invalid(
            f"{PLATE_HOLDS} is true or false.", pointer=f"{fact.pointer}/value", code="wrong_type"
        )  # fmt: skip
    return fact.value
