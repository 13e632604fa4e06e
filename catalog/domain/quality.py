"""What of a category's parts has to be recorded so that a check can say yes or no."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from catalog.domain.answers import Effect, distinct
from catalog.domain.parts import FUELS, SERVICE
from catalog.domain.ring_readings import CROSS_SECTION, RING_SIZE
from catalog.domain.rules import Category, ComparisonKind, FuelRole, Rule, Rulebook
from catalog.domain.values import Place, Slot

GATE = "gate"
# A ring recorded by its size code has its measures from the published table.
STANDS_FOR = {RING_SIZE: CROSS_SECTION}


@dataclass(frozen=True, slots=True)
class Critical:
    """A place whose missing value leaves a check undetermined, and the rules that ask for it.

    `always` is False where it is asked only at positions that state a need. `of_piece` has no meaning for goods sold
    by length or volume. `with_fuel` is asked only at positions that carry fuel.
    """

    attribute: str
    slot: Slot
    rules: tuple[str, ...]
    always: bool
    of_piece: bool
    with_fuel: bool = False

    @property
    def place(self) -> Place:
        return self.attribute, self.slot


def critical_places(category: Category, rulebook: Rulebook) -> tuple[Critical, ...]:
    """What the gate asks, and what the rules ask that reject and leave open what is unknown; each place once."""
    found: dict[Place, Critical] = {}
    for critical in (*_at_the_gate(category), *_of_rules(category, rulebook)):
        known = found.get(critical.place)
        found[critical.place] = critical if known is None else _together(known, critical)
    return tuple(found.values())


def _together(one: Critical, other: Critical) -> Critical:
    return replace(
        one,
        rules=distinct((*one.rules, *other.rules)),
        always=one.always or other.always,
        with_fuel=one.with_fuel and other.with_fuel,
    )


def _at_the_gate(category: Category) -> Iterator[Critical]:
    """A loose seal may be judged by its material, which is a rule's to ask; one not made for fuel has no class."""
    if category.fuel_role in (FuelRole.COMBUSTION, FuelRole.CONTROL):
        yield Critical(FUELS, None, (GATE,), always=True, of_piece=False)
    if category.fuel_role in (FuelRole.METERING, FuelRole.WETTED):
        if category.loose_seal or category.not_made_for_fuel:
            return
        for port in category.ports:
            wetted = category.fuel_role is FuelRole.WETTED
            yield Critical(SERVICE, port, (GATE,), always=True, of_piece=False, with_fuel=wetted)


def _of_rules(category: Category, rulebook: Rulebook) -> Iterator[Critical]:
    for rule in category.rules:
        if rule.when_not_met is not Effect.REJECT or rule.when_unknown is not Effect.UNDETERMINED:
            continue
        for member in _members(rule, rulebook):
            definition = rulebook.attributes.get(member)
            of_piece = definition is not None and definition.of_piece
            for slot in rule.slots:
                yield Critical(member, slot, (rule.code,), always=not rule.only_where_stated, of_piece=of_piece)


def _members(rule: Rule, rulebook: Rulebook) -> tuple[str, ...]:
    """A joint is known by all its members but the pitch, which its size mostly says; else the leading one counts."""
    if rule.comparison.kind is not ComparisonKind.MATES_WITH:
        return rule.attributes[:1]
    table = rulebook.tables.mates.get(rule.comparison.table)
    pitch = table.joints.pitch if table is not None and table.joints is not None else ""
    return tuple(member for member in rule.attributes if member != pitch)


def facts_asked_for(critical: Critical, rulebook: Rulebook) -> tuple[str, ...]:
    """The names under which answers ask for the missing value: as a rule asks, and as the gate does."""
    name = rulebook.attribute_name(critical.attribute)
    if critical.slot is None:
        return (f"candidate: {name}",)
    return f"candidate: {name} ({critical.slot.replace('_', ' ')})", f"candidate: {name} at the {critical.slot}"
