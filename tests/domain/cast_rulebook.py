"""The rulebook of the cast: a few categories, fuels and service classes of the trade, cut to what the tests need.

The fuels, classes and covers are the trade's; every rule and number is invented.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from catalog.domain.answers import COMMON_PRACTICE, Answer, Aspect, Basis, Effect, Source, SourceKind, TakenOver
from catalog.domain.fuels import FuelDefinition, ServiceClass
from catalog.domain.parts import MATERIAL
from catalog.domain.quantities import Dimension, Interval, Quantity, quantity
from catalog.domain.rules import (
    AttributeDefinition,
    Category,
    Caution,
    CodeFloor,
    Comparison,
    ComparisonKind,
    FuelRole,
    MateTable,
    NeverServes,
    OrderTable,
    RatingTable,
    Rule,
    Rulebook,
    Tables,
    Tolerance,
    When,
    WhenFact,
)
from catalog.domain.values import Demand, Kind, Value

K = ComparisonKind


def codes(*found: str) -> Value:
    return Value(found)


def psi(value: str) -> Value:
    return Value(quantity(value, "psi", "gauge"))


def each(value: int) -> Value:
    return Value(Quantity(value, Dimension.COUNT, "each"))


def degrees(low: str, high: str) -> Interval:
    return Interval(quantity(low, "degC", "absolute"), quantity(high, "degC", "absolute"))


def fuel(
    code: str, name: str, family: str, grades: tuple[str, ...] = (), *, bare: tuple[str, ...] = ()
) -> FuelDefinition:
    """`bare` are the grades that the name alone stands for, the usual one first."""
    return FuelDefinition(code, name, family, grades, bare[0] if bare else "", bare, COMMON_PRACTICE)


FUELS = {
    one.code: one
    for one in (
        fuel("gasoline", "gasoline", "gasoline", ("E0", "E10", "E85"), bare=("E10", "E0")),
        fuel("lpg_liquid", "LP-gas liquid", "LP-gas", ("HD-5", "autogas"), bare=("HD-5",)),
        fuel("lpg_vapour", "LP-gas vapour", "LP-gas", ("HD-5", "autogas"), bare=("HD-5",)),
        fuel("natural_gas", "natural gas", "natural gas"),
        fuel("diesel", "diesel", "diesel", ("B7", "B20", "B100"), bare=("B7",)),
        fuel("digester_gas", "digester gas", "other gas", ("wet", "dried")),
    )
}
CLASSES = {
    code: ServiceClass(code, name, family, gas, container, COMMON_PRACTICE, grades)
    for code, name, family, gas, container, grades in (
        ("GAS-PI", "gasoline to the injectors", "gasoline", False, False, ("gasoline:E0", "gasoline:E10")),
        ("GAS-E85", "ethanol fuel", "gasoline", False, False, ("gasoline:E85",)),
        ("LPG-CL", "LP-gas liquid at container pressure", "LP-gas", True, True, ()),
        ("LPG-CV", "LP-gas vapour at container pressure", "LP-gas", True, True, ()),
        ("LPG-VI", "LP-gas vapour to the injectors", "LP-gas", True, False, ()),
        ("NG-I", "natural gas to the injectors", "natural gas", True, False, ()),
        ("CNG-H", "compressed natural gas", "CNG", True, False, ()),
        ("DSL-L", "diesel feed", "diesel", False, False, ("diesel:B7",)),
        ("BIO-100", "biodiesel feed", "diesel", False, False, ("diesel:B20", "diesel:B100")),
    )
}
COVERS = dict.fromkeys(
    (("GAS-E85", "GAS-PI"), ("LPG-CL", "LPG-CV"), ("LPG-CL", "LPG-VI"), ("LPG-CV", "LPG-VI"), ("BIO-100", "DSL-L")),
    COMMON_PRACTICE,
)
MATERIALS = RatingTable(
    MATERIAL,
    {("FKM", "gasoline"): "1", ("NBR", "gasoline"): "2", ("EPDM", "gasoline"): "4", ("EPDM", "coolant"): "1",
     ("NBR", "coolant"): "1", ("FKM", "coolant"): "3"},
    {material: degrees("-15", "120") for material in ("FKM", "NBR", "EPDM")},
    {"FKM": degrees("-35", "120")},
)  # fmt: skip


def rule(code: str, kind: ComparisonKind, *members: str, taken_over: TakenOver = TakenOver.SAME, **more: Any) -> Rule:
    """A rule that rejects what is not met and leaves open what is not known, unless told otherwise."""
    comparison = Comparison(kind, **{key: more.pop(key) for key in ("outer", "condition", "table") if key in more})
    weight: dict[str, Any] = {"when_not_met": Effect.REJECT, "when_unknown": Effect.UNDETERMINED}
    return Rule(code, code.replace("_", " "), members or (code,), comparison, source=COMMON_PRACTICE,
                taken_over=taken_over, **{**weight, **more})  # fmt: skip


def category(code: str, role: FuelRole, *rules: Rule, noun: str = "", **more: Any) -> Category:
    members = tuple(dict.fromkeys(member for one in rules for member in one.attributes))
    return Category(code, code.replace("_", " "), noun or code.replace("_", " "), role, members, rules, **more)


PRESSURE = rule("max_pressure", K.AT_LEAST, taken_over=TakenOver.CAPACITY, aspect=Aspect.PRESSURE, rank=20)
THREAD = rule("thread", K.EQUALS, rank=10)
HEAT = rule("heat_range", K.WITHIN, rank=20, aspect=Aspect.PERFORMANCE,
            outer=(Tolerance(minus=1, plus=1),), condition="a plug reading shows that it is right")  # fmt: skip
CONNECTOR = rule("connector", K.MATES_WITH, "connector_family", "connector_ways", "connector_gender",
                 table="connectors", rank=30)  # fmt: skip
CATEGORIES = (
    category("injector", FuelRole.METERING, PRESSURE, CONNECTOR, ports=("inlet",), cautions=("gas_leak", "analyser")),
    category("regulator", FuelRole.METERING, PRESSURE, ports=("inlet", "outlet")),
    category("fuel_hose", FuelRole.WETTED, PRESSURE, noun="fuel hose", ports=("inside",), cautions=("gas_leak",)),
    category("container_valve", FuelRole.WETTED, PRESSURE, ports=("outlet",), never_covered=("outlet",)),
    category("hydraulic_hose", FuelRole.WETTED, PRESSURE, noun="hydraulic hose", ports=("inside",),
             not_made_for_fuel=True),
    category("seal", FuelRole.WETTED, rule("ring_size", K.DESIGNATION_MATCHES), ports=("seat",), loose_seal=True),
    category("plug", FuelRole.COMBUSTION, THREAD, HEAT, emission_listed=True, replace_together=True,
             cautions=("carbon_monoxide",)),
    category("exhaust", FuelRole.COMBUSTION,
             rule("emission_control", K.CLASS_AT_LEAST, table="controls", taken_over=TakenOver.PROTECTS,
                  aspect=Aspect.EMISSION, rank=90), rule("flange", K.EQUALS)),
    category("lock_off", FuelRole.METERING,
             rule("fail_state", K.EQUALS, aspect=Aspect.SHUT_OFF, rank=90), PRESSURE, ports=("inlet",)),
    category("controller", FuelRole.CONTROL, rule("supply", K.EQUALS)),
    category("belt", FuelRole.NONE, rule("belt_length", K.EQUALS), noun="belt"),
    category("oil_filter", FuelRole.NONE, THREAD, noun="oil filter"),
)  # fmt: skip
RULEBOOK = Rulebook(
    number=7,
    attributes={
        member: AttributeDefinition(
            member, member.replace("_", " "), Kind.CHOICES,
            fuel_dependent=member == "heat_range", geometry=member in ("thread", "ring_size"),
        )
        for one in CATEGORIES
        for member in one.attributes
    },
    categories={one.code: one for one in CATEGORIES},
    fuels=FUELS,
    classes=CLASSES,
    covers=COVERS,
    never_serves=(
        NeverServes(("LPG-VI",), ("NG-I",), (FuelRole.METERING,), "Natural gas needs 2.5 times the volume.",
                    COMMON_PRACTICE),
    ),
    code_floors=(
        CodeFloor(("LPG-CL", "LPG-CV"), "fuel_hose", "max_pressure",
                  Demand(psi("350"), Basis.CODE_FLOOR, Source(SourceKind.PUBLISHED, "CSA B149.1 clause 6.2.10"))),
    ),
    cautions={
        one.code: one
        for one in (
            Caution("gas_leak", "Leak-test every joint.", COMMON_PRACTICE, families=("LP-gas", "natural gas")),
            Caution("carbon_monoxide", "Measure carbon monoxide.", COMMON_PRACTICE, places=("indoor",)),
            Caution("analyser", "Set the mixture with an analyser.", COMMON_PRACTICE),
        )
    },
    tables=Tables(
        mates={"connectors": MateTable("connectors", ("connector_family", "connector_ways"), "connector_gender",
                                       {("male", "female"): (Answer.MET, ""), ("female", "male"): (Answer.MET, "")})},
        orders={"controls": OrderTable("controls", {"none": "controls", "oxidation": "controls",
                                                    "three_way": "controls"},
                                       {("three_way", "oxidation"): Answer.MET})},
        ratings={MATERIAL: MATERIALS},
    ),
)  # fmt: skip


def edited(**changes: Any) -> Rulebook:
    """The rulebook with other sections."""
    return replace(RULEBOOK, **changes)


def only_where(kind: str, code: str, fact: WhenFact, *one_of: str) -> Rulebook:
    """The rulebook with one rule of a category asked only where a fact is one of these."""
    known = RULEBOOK.categories[kind]
    rules = tuple(replace(r, when=(When(fact, one_of),)) if r.code == code else r for r in known.rules)
    return edited(categories={**RULEBOOK.categories, kind: replace(known, rules=rules)})
