"""Arbitrary small rulebooks, parts, engines and applications for the laws. Invented throughout."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import permutations, product
from typing import TypeVar

from hypothesis import strategies as st

from catalog.domain.answers import COMMON_PRACTICE, Answer, Aspect, Basis, Effect, TakenOver
from catalog.domain.applicability import Applicability, Application
from catalog.domain.fuels import Fuel, FuelDefinition, FuelRecord, RecordMode, ServiceClass
from catalog.domain.parts import (
    FUELS,
    SERVICE,
    Part,
    PartCondition,
    PortClasses,
    Position,
    Statement,
    StatementKind,
    SuppliedAs,
)
from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.questions import Engine, Item, Question
from catalog.domain.rules import (
    AttributeDefinition,
    Category,
    Comparison,
    ComparisonKind,
    FuelRole,
    OrderTable,
    Rule,
    Rulebook,
    Tables,
    Tolerance,
    When,
    WhenFact,
)
from catalog.domain.serials import Serial, SerialRange
from catalog.domain.values import KNOWN_NONE, NOT_APPLICABLE, Demand, Kind, Offer, Place, Value

T = TypeVar("T")

FUEL_DEFINITIONS = {
    definition.code: definition
    for definition in (
        FuelDefinition("gasoline", "gasoline", "gasoline", ("E0", "E10", "E85"), "E10", ("E0", "E10"), COMMON_PRACTICE),
        FuelDefinition("lpg_vapour", "LP-gas vapour", "LP-gas", ("HD-5",), "HD-5", ("HD-5",), COMMON_PRACTICE),
        FuelDefinition("natural_gas", "natural gas", "natural gas", ("pipeline gas",), "pipeline gas",
                       ("pipeline gas",), COMMON_PRACTICE),
    )
}  # fmt: skip
CLASSES = {
    code: ServiceClass(code, code, family, gas, pressure, COMMON_PRACTICE)
    for code, family, gas, pressure in (
        ("GAS-PI", "gasoline", False, False),
        ("LPG-CV", "LP-gas", True, True),
        ("LPG-VI", "LP-gas", True, False),
        ("NG-L", "natural gas", True, False),
    )
}
COVERS = {("LPG-CV", "LPG-VI"): COMMON_PRACTICE}
CODES = ("a", "b", "c")
ORDER = OrderTable("grades", {"a": "one", "b": "one", "c": "other"}, {("b", "a"): Answer.MET})

FUELS_BURNED = (Fuel("gasoline"), Fuel("gasoline", "E10"), Fuel("gasoline", "E85"), Fuel("lpg_vapour"),
                Fuel("natural_gas"))  # fmt: skip


class Choices:
    """A run of drawn bytes read as choices, two bytes each: one draw for a whole world keeps the laws quick."""

    def __init__(self, run: bytes) -> None:
        self._run = run
        self._at = 0

    def pick(self, options: Sequence[T]) -> T:
        number = int.from_bytes(self._run[self._at : self._at + 2], "big")
        self._at += 2
        return options[number % len(options)]


# Everything small is drawn from a list made once.
SOME_FUELS = [(fuel,) for fuel in FUELS_BURNED] + list(permutations(FUELS_BURNED, 2))
some_fuels = st.sampled_from(SOME_FUELS)
FUEL_SETS = [(), *SOME_FUELS]
_NO_OR_SOME_FUELS = [(), *FUEL_SETS, *[()] * len(SOME_FUELS)]
STEPS = range(5)
_MM = {step: Quantity(step, Dimension.LENGTH, "mm") for step in STEPS}
_ENDS = [None, *STEPS]
_INTERVALS = [
    Interval(None if low is None else _MM[low], None if high is None else _MM[high])
    for low in _ENDS
    for high in _ENDS
    if low is None or high is None or low <= high
]
_CODE_SETS = [codes for count in (1, 2) for codes in permutations(CODES, count)]
_STATES = [KNOWN_NONE, NOT_APPLICABLE]
VALUES: dict[Kind, list[Value]] = {
    Kind.QUANTITY: [*_STATES, *map(Value, _MM.values()), *map(Value, _INTERVALS)],
    Kind.RANGE: [*_STATES, *map(Value, _INTERVALS)],
    Kind.CHOICES: [*_STATES, *map(Value, _CODE_SETS)],
    Kind.FLAG: [*_STATES, Value(True), Value(False)],
}
KIND_OF = {
    ComparisonKind.EQUALS: Kind.CHOICES,
    ComparisonKind.ONE_OF: Kind.CHOICES,
    ComparisonKind.INCLUDES: Kind.CHOICES,
    ComparisonKind.DESIGNATION_MATCHES: Kind.CHOICES,
    ComparisonKind.CLASS_AT_LEAST: Kind.CHOICES,
    ComparisonKind.AT_LEAST: Kind.QUANTITY,
    ComparisonKind.AT_MOST: Kind.QUANTITY,
    ComparisonKind.WITHIN: Kind.QUANTITY,
    ComparisonKind.COVERS: Kind.RANGE,
    ComparisonKind.INSIDE: Kind.RANGE,
}
ATTRIBUTES = {kind: f"{kind.value}_attribute" for kind in KIND_OF}
DEFINITIONS = {
    code: AttributeDefinition(code, code, KIND_OF[kind], Dimension.LENGTH, geometry=kind is ComparisonKind.WITHIN,
                              fuel_dependent=kind is ComparisonKind.AT_LEAST)
    for kind, code in ATTRIBUTES.items()
}  # fmt: skip


_WHENS = [
    (), (), (When(WhenFact.PLACE_OF_USE, ("indoors",)),), (When(WhenFact.FUEL_BURNED, ("gasoline",)),),
    (When(WhenFact.ECU, ("yes",)),), (When(WhenFact.SERVICE_CLASS, ("LPG-CV",)),),
]  # fmt: skip


def rules(choices: Choices, number: int) -> Rule:
    kind = choices.pick(sorted(KIND_OF))
    not_met = choices.pick([Effect.REJECT, Effect.CONDITION, Effect.NOTE])
    unknown = [Effect.UNDETERMINED, Effect.CONDITION] + ([Effect.NOTE] if not_met is not Effect.REJECT else [])
    outer = choices.pick([(), (Tolerance(minus=2, plus=2),)])
    return Rule(
        code=f"rule_{number}",
        name=f"rule {number}",
        attributes=(ATTRIBUTES[kind],),
        comparison=Comparison(kind, outer=outer, condition="looked at", table="grades"),
        when_not_met=not_met,
        when_unknown=choices.pick(unknown),
        source=COMMON_PRACTICE,
        taken_over=choices.pick(list(TakenOver)),
        aspect=choices.pick([Aspect.FIT, Aspect.PERFORMANCE, Aspect.PRESSURE, Aspect.EMISSION]),
        when=choices.pick(_WHENS),
        condition="checked",
        rank=choices.pick(range(4)),
        only_where_stated=choices.pick((True, False)),
    )


def categories(choices: Choices, role: FuelRole | None = None) -> Category:
    role = role or choices.pick(list(FuelRole))
    count = choices.pick(range(4))
    return Category(
        code="thing",
        name="thing",
        noun="thing",
        fuel_role=role,
        attributes=tuple(DEFINITIONS),
        rules=tuple(rules(choices, number) for number in range(count)),
        ports=("inlet",) if role in (FuelRole.METERING, FuelRole.WETTED) else (),
        emission_listed=choices.pick((True, False)),
        replace_together=choices.pick((True, False)),
        assembly_only_classes=choices.pick([(), ("LPG-CV",)]),
    )


def rulebook_of(*found: Category) -> Rulebook:
    return Rulebook(
        number=1,
        attributes=DEFINITIONS,
        categories={category.code: category for category in found},
        fuels=FUEL_DEFINITIONS,
        classes=CLASSES,
        covers=COVERS,
        tables=Tables(orders={"grades": ORDER}),
    )


SERVICE_SETS = [(), *((code,) for code in CLASSES), *permutations(sorted(CLASSES), 2)]
_RECORDS = [
    FuelRecord(fuels, mode, on, paper)
    for fuels, mode, on, paper in product(SOME_FUELS, RecordMode, (date(2026, 1, 12), date(2026, 2, 1)), (True, False))
]
_SERIALS = [(), (SerialRange(None, 4),), (SerialRange(5, None),), (SerialRange(2, 7),)]
_TRUTHS = (None, True, False)


def some_values(choices: Choices, code: str) -> list[Value]:
    return [choices.pick(VALUES[DEFINITIONS[code].kind]) for _ in range(choices.pick((0, 1, 1, 2)))]


def parts(choices: Choices, attributes: tuple[str, ...], number: str = "1") -> Part:
    offers: dict[Place, tuple[Offer, ...]] = {}
    for code in attributes:
        found = some_values(choices, code)
        if found:
            offers[code, None] = tuple(Offer(value, COMMON_PRACTICE) for value in found)
    service = choices.pick(SERVICE_SETS)
    made_for = choices.pick((None, (), *SOME_FUELS))
    if service:
        offers[SERVICE, "inlet"] = (Offer(Value(tuple(service)), COMMON_PRACTICE),)
    if made_for is not None:
        value = Value(tuple(fuel.text for fuel in made_for)) if made_for else KNOWN_NONE
        offers[FUELS, None] = (Offer(value, COMMON_PRACTICE),)
    return Part(
        "VRD", number, choices.pick(["thing", "thing", "thing", "other"]), offers,
        supplied_as=choices.pick([None, *SuppliedAs]),
        condition=choices.pick(list(PartCondition)),
    )  # fmt: skip


def applications(choices: Choices) -> Application:
    return Application(
        specification="E",
        serial=choices.pick([None, *(Serial("", number) for number in range(1, 10))]),
        plate_fuels=choices.pick(FUEL_SETS),
        fuel_records=tuple(choices.pick(_RECORDS) for _ in range(choices.pick(range(3)))),
        told_as_plate=choices.pick((True, False)),
        place_of_use=choices.pick([None, "indoors", "outdoors"]),
        certified=choices.pick(_TRUTHS),
        ecu=choices.pick(_TRUTHS),
    )


def applicabilities(choices: Choices) -> Applicability:
    return Applicability(
        specification=choices.pick([None, "E", "E", "F"]),
        serials=choices.pick(_SERIALS),
        any_fuel=choices.pick(_NO_OR_SOME_FUELS),
        all_fuels=choices.pick(_NO_OR_SOME_FUELS),
        places=choices.pick([(), ("indoors",)]),
    )


def positions(choices: Choices, attributes: tuple[str, ...]) -> Position:
    demands: dict[Place, tuple[Demand, ...]] = {}
    for code in attributes:
        basis = choices.pick([Basis.STATED, Basis.COMPUTED])
        found = some_values(choices, code)
        if found:
            demands[code, None] = tuple(Demand(value, basis, COMMON_PRACTICE) for value in found)
    branches = [None, *sorted(FUEL_DEFINITIONS)]
    ports = [
        PortClasses("inlet", tuple(choices.pick(SERVICE_SETS)), choices.pick(branches))
        for _ in range(choices.pick(range(3)))
    ]
    return Position(
        code="place",
        category="thing",
        quantity=choices.pick([None, 1, 2, 4]),
        branch=choices.pick(branches),
        ports=tuple(ports),
        carries_fuel=choices.pick((True, False)),
        demands=demands,
    )


@dataclass(frozen=True, slots=True)
class World:
    """A question with its parts kept apart, so that a law can change one of them."""

    question: Question

    @property
    def part(self) -> Part:
        return self.question.candidate[0].part

    @property
    def position(self) -> Position:
        assert self.question.engine is not None
        return self.question.engine.positions[0]

    def with_part(self, part: Part) -> Question:
        engine = self.question.engine
        assert engine is not None
        statements = tuple(replace(s, part=part) if s.part.key == part.key else s for s in engine.statements)
        item = replace(self.question.candidate[0], part=part)
        return replace(self.question, candidate=(item,), engine=replace(engine, statements=statements))

    def with_application(self, application: Application) -> Question:
        return replace(self.question, application=application)

    def with_position(self, position: Position) -> Question:
        assert self.question.engine is not None
        return replace(self.question, engine=replace(self.question.engine, positions=(position,)))


def worlds(role: FuelRole | None = None) -> st.SearchStrategy[World]:
    """Arbitrary worlds, of one fuel role where it is given."""
    return st.binary(min_size=400, max_size=400).map(lambda run: world(Choices(run), role))


def world(choices: Choices, role: FuelRole | None) -> World:
    category = categories(choices, role)
    attributes = tuple(dict.fromkeys(member for rule in category.rules for member in rule.attributes))
    candidate, other = parts(choices, attributes, "1"), parts(choices, attributes, "2")
    statements = [
        Statement(
            choices.pick(list(StatementKind)), choices.pick([candidate, other]), "place",
            applicabilities(choices), "VRD", COMMON_PRACTICE,
        )
        for _ in range(choices.pick(range(3)))
    ]  # fmt: skip
    engine = Engine("E", choices.pick(FUEL_SETS), (positions(choices, attributes),), tuple(statements))
    return World(
        Question(
            rulebook=rulebook_of(category),
            candidate=(Item(candidate, choices.pick([None, 1, 4])),),
            application=applications(choices),
            engine=engine,
            position="place",
            replaces=choices.pick([None, other]),
        )
    )
