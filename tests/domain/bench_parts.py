"""Small parts, rules and engines for the tests of how a position's demands are weighed. Invented throughout."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from catalog.domain.answers import COMMON_PRACTICE, Basis, Effect
from catalog.domain.applicability import Applicability, Application
from catalog.domain.checking import decide
from catalog.domain.findings import Finding
from catalog.domain.fuels import Fuel, FuelDefinition, ServiceClass
from catalog.domain.parts import SERVICE, Part, PortClasses, Position, Statement, StatementKind
from catalog.domain.quantities import Interval, Quantity, quantity
from catalog.domain.questions import Decision, Engine, Item, Question
from catalog.domain.rules import (
    AttributeDefinition,
    Category,
    Comparison,
    ComparisonKind,
    FuelRole,
    Rule,
    Rulebook,
)
from catalog.domain.values import Demand, How, Kind, Offer, Place, Value

K = ComparisonKind
Values = dict[str | Place, Value]  # by attribute, or by attribute and slot
GASOLINE = FuelDefinition("gasoline", "gasoline", "gasoline", (), "", (), COMMON_PRACTICE)
LPG = FuelDefinition("lpg_vapour", "LP-gas vapour", "LP-gas", (), "", (), COMMON_PRACTICE)
FUELS = {fuel.code: fuel for fuel in (GASOLINE, LPG)}
CLASSES = {
    code: ServiceClass(code, name, family, gas, at_container_pressure, COMMON_PRACTICE)
    for code, name, family, gas, at_container_pressure in (
        ("GAS-PI", "port injection gasoline", "gasoline", False, False),
        ("LPG-CV", "LP-gas vapour at container pressure", "LP-gas", True, True),
        ("LPG-VI", "LP-gas vapour to the injectors", "LP-gas", True, False),
        ("CNG-H", "compressed natural gas", "CNG", True, False),
    )
}
ON_GASOLINE = Application(specification="E", plate_fuels=(Fuel("gasoline"),), told_as_plate=True)
ON_LPG = Application(specification="E", plate_fuels=(Fuel("lpg_vapour"),), told_as_plate=True)


def kpa(value: str, reference: str = "gauge") -> Value:
    return Value(quantity(value, "kPa", reference))


def mm(value: str) -> Value:
    return Value(quantity(value, "mm"))


def between(low: Value, high: Value) -> Value:
    assert isinstance(low.payload, Quantity)
    assert isinstance(high.payload, Quantity)
    return Value(Interval(low.payload, high.payload))


def codes(*found: str) -> Value:
    return Value(found)


def rule(
    code: str, kind: ComparisonKind, attributes: tuple[str, ...] = (), *, compare: Mapping[str, Any] | None = None,
    **more: Any,
) -> Rule:  # fmt: skip
    """A rule that rejects what is not met and leaves open what is not known, unless told otherwise."""
    rejecting: dict[str, Any] = {
        "when_not_met": Effect.REJECT,
        "when_unknown": Effect.UNDETERMINED,
        "source": COMMON_PRACTICE,
    }
    comparison = Comparison(kind, **(compare or {}))
    return Rule(code, code.replace("_", " "), attributes or (code,), comparison, **{**rejecting, **more})


def category(*rules: Rule, code: str = "thing", role: FuelRole = FuelRole.NONE, **more: Any) -> Category:
    members = tuple(dict.fromkeys(member for one in rules for member in one.attributes))
    return Category(code, code.replace("_", " "), code.replace("_", " "), role, members, rules, **more)


def book(*categories: Category, attributes: Mapping[str, Mapping[str, Any]] | None = None, **more: Any) -> Rulebook:
    """A rulebook of these categories; `attributes` sets flags (geometry, fuel_dependent, of_piece) of some."""
    members = {member for one in categories for member in one.attributes}
    flags: Mapping[str, Mapping[str, Any]] = attributes or {}
    return Rulebook(
        number=1,
        attributes={
            member: AttributeDefinition(member, member.replace("_", " "), Kind.CHOICES, **flags.get(member, {}))
            for member in sorted(members)
        },
        categories={one.code: one for one in categories},
        fuels=FUELS,
        classes=CLASSES,
        **more,
    )


def placed(values: Values) -> dict[Place, Value]:
    return {(place, None) if isinstance(place, str) else place: value for place, value in values.items()}


def part(number: str, values: Values | None = None, kind: str = "thing", **more: Any) -> Part:
    offers = {place: (Offer(value, COMMON_PRACTICE),) for place, value in placed(values or {}).items()}
    return Part("VRD", number, kind, offers, **more)


def told(one: Part, attribute: str, value: Value, how: How) -> Part:
    """The part with a fact from the counter beside its record."""
    return one.with_offers({(attribute, None): (Offer(value, COMMON_PRACTICE, how=how),)})


def place(
    values: Values | None = None, *, basis: Basis = Basis.STATED, code: str = "place",
    kind: str = "thing", **more: Any,
) -> Position:  # fmt: skip
    demands = {at: (Demand(value, basis, COMMON_PRACTICE),) for at, value in placed(values or {}).items()}
    return Position(code, kind, demands=demands, **more)


def also(position: Position, values: Values, basis: Basis) -> Position:
    return position.with_demands(
        {at: (Demand(value, basis, COMMON_PRACTICE),) for at, value in placed(values).items()}
    )  # fmt: skip


def at_inlet(position: Position, *classes: str) -> Position:
    return replace(position, ports=(*position.ports, PortClasses("inlet", classes)))


def for_class(*classes: str) -> Values:
    return {(SERVICE, "inlet"): codes(*classes)}


def says(
    one: Part, kind: StatementKind = StatementKind.SPECIFIED, *, position: str = "place", **applies: Any
) -> Statement:
    return Statement(kind, one, position, Applicability(**applies), "VRD", COMMON_PRACTICE)


def ask(
    rulebook: Rulebook, candidate: Part | tuple[Item, ...], position: Position, *statements: Statement,
    application: Application = ON_GASOLINE, built_for: tuple[Fuel, ...] = (), **more: Any,
) -> Decision:  # fmt: skip
    items = (Item(candidate),) if isinstance(candidate, Part) else candidate
    engine = Engine("E", built_for, (position,), statements)
    return decide(Question(rulebook, items, application, engine, position.code, **more))


def finding(decision: Decision, attribute: str) -> Finding:
    """The one finding on an attribute."""
    (found,) = [one for one in decision.findings if one.attribute == attribute]
    return found


def asked(decision: Decision) -> list[str]:
    return [fact.name for fact in decision.missing]
