"""The cast of the tests that read the rules of a decision sentence by sentence: named parts, places and engines.

Invented throughout. Each part is right for the place named after it, on the fuel named with it.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from catalog.domain.answers import COMMON_PRACTICE, Basis
from catalog.domain.applicability import Applicability, Application
from catalog.domain.checking import decide
from catalog.domain.findings import Finding
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.parts import Medium, Part, PortClasses, Position, Statement, StatementKind
from catalog.domain.questions import Decision, Engine, Item, Question
from catalog.domain.rules import Rulebook
from catalog.domain.values import Demand, How, Offer, Place, Value
from tests.domain.cast_rulebook import RULEBOOK, codes, degrees, each, psi

Values = dict[str | Place, Value]  # by attribute, or by attribute and slot
ON = date(2026, 1, 12)


def placed(values: Values) -> dict[Place, Value]:
    return {(at, None) if isinstance(at, str) else at: value for at, value in values.items()}


def part(number: str, kind: str, values: Values | None = None, *, maker: str = "VRD", **more: Any) -> Part:
    offers = {at: (Offer(value, COMMON_PRACTICE),) for at, value in placed(values or {}).items()}
    return Part(maker, number, kind, offers, **more)


def with_value(one: Part, values: Values, how: How | None = None) -> Part:
    """The part with further values beside those recorded, from another source or from the counter."""
    return one.with_offers({at: (Offer(value, COMMON_PRACTICE, how=how),) for at, value in placed(values).items()})


def without(one: Part, attribute: str) -> Part:
    return replace(one, offers={at: offers for at, offers in one.offers.items() if at[0] != attribute})


def place(kind: str, needs: Values | None = None, *reaching: PortClasses, code: str = "", **more: Any) -> Position:
    demands = {at: (Demand(value, Basis.STATED, COMMON_PRACTICE),) for at, value in placed(needs or {}).items()}
    return Position(code or kind, kind, ports=reaching, demands=demands, **more)


def reaches(port: str, *classes: str, burning: str | None = None) -> PortClasses:
    return PortClasses(port, classes, burning)


def found(*fuels: str, mode: RecordMode = RecordMode.ONLY_FUEL, on: date = ON, paper: bool = False) -> FuelRecord:
    return FuelRecord(tuple(Fuel.parse(text) for text in fuels), mode, on, paper)


def burning(*fuels: str, plate: tuple[str, ...] | None = None, **more: Any) -> Application:
    """An uncertified engine of specification E whose plate and record agree, unless the plate is given."""
    written = tuple(Fuel.parse(text) for text in (fuels if plate is None else plate))
    known: dict[str, Any] = {"fuel_records": (found(*fuels),), "certified": False}
    return Application(specification="E", plate_fuels=written, **{**known, **more})


def by_plate(*fuels: str, **more: Any) -> Application:
    return burning(plate=fuels, **{"fuel_records": (), **more})


def says(
    one: Part, kind: StatementKind = StatementKind.SPECIFIED, *, at: str = "", by: str = "VRD", **applies: Any
) -> Statement:
    """A maker's statement on specification E; fuels are given as texts."""
    for facet in ("any_fuel", "all_fuels"):
        applies[facet] = tuple(Fuel.parse(text) for text in applies.get(facet, ()))
    applicability = Applicability(**{"specification": "E", **applies})
    return Statement(kind, one, at or one.category, applicability, by, COMMON_PRACTICE)


def ask(
    candidate: Part | tuple[Part, ...], position: Position, application: Application, *statements: Statement,
    rulebook: Rulebook = RULEBOOK, built_for: tuple[str, ...] = (), **more: Any,
) -> Decision:  # fmt: skip
    parts = candidate if isinstance(candidate, tuple) else (candidate,)
    engine = Engine("E", tuple(Fuel.parse(text) for text in built_for), (position,), statements)
    items = tuple(Item(one) for one in parts)
    return decide(Question(rulebook, items, application, engine, **{"position": position.code, **more}))


def side_by_side(candidate: Part, other: Part | None) -> Decision:
    return decide(Question(RULEBOOK, (Item(candidate),), replaces=other))


def finding(decision: Decision, attribute: str) -> Finding:
    """The one finding on an attribute."""
    (one,) = [entry for entry in decision.findings if entry.attribute == attribute]
    return one


def asked(decision: Decision) -> list[str]:
    return [fact.name for fact in decision.missing]


MADE_FOR_LIQUID: Values = {("fuel_service", "inlet"): codes("LPG-CL"), "max_pressure": psi("400")}
MATING: Values = {"connector_family": codes("C-24"), "connector_ways": codes("2"), "connector_gender": codes("female")}
LIQUID_INJECTOR = part("6210-LI", "injector", {**MADE_FOR_LIQUID, **MATING})
VAPOUR_INJECTOR = part("6210-VI", "injector", {**MATING, ("fuel_service", "inlet"): codes("LPG-VI"),
                                               "max_pressure": psi("125")})  # fmt: skip
GASOLINE_INJECTOR = part("6210-PI", "injector", {**MATING, ("fuel_service", "inlet"): codes("GAS-PI"),
                                                 "max_pressure": psi("125")})  # fmt: skip
VAPOUR_RAIL = place(
    "injector",
    {"max_pressure": psi("30"), "connector_family": codes("C-24"), "connector_ways": codes("2"),
     "connector_gender": codes("male")},
    reaches("inlet", "LPG-VI", burning="lpg_vapour"),
    reaches("inlet", "LPG-VI", burning="lpg_liquid"),
    reaches("inlet", "GAS-PI", burning="gasoline"),
)  # fmt: skip
GASOLINE_PLUG = part("4410-07", "plug", {"fuels": codes("gasoline"), "thread": codes("M14"), "heat_range": each(6)})
GAS_PLUG = part(
    "4470", "plug", {"fuels": codes("natural_gas"), "thread": codes("M14"), "heat_range": each(7)}, maker="TSK"
)
DUAL_PLUG = part("4475", "plug", {"fuels": codes("natural_gas", "lpg_vapour", "lpg_vapour:autogas"),
                                  "thread": codes("M14"), "heat_range": each(7)}, maker="TSK")  # fmt: skip
PLUG_WELL = place("plug", {"thread": codes("M14"), "heat_range": each(7)}, quantity=6)
LIQUID_HOSE = part("H-410", "fuel_hose", {("fuel_service", "inside"): codes("LPG-CL"), "max_pressure": psi("350")})
HYDRAULIC_HOSE = part("HX-410", "hydraulic_hose", {"max_pressure": psi("3000"), "media": codes("hydraulic_oil"),
                                                   "fuels": codes("diesel")})  # fmt: skip
CONTAINER_LINE = place("fuel_hose", {}, reaches("inside", "LPG-CL"), code="container_line")
RING = part("8812", "seal", {"ring_size": codes("2-014"), "seal_material": codes("FKM")})
RING_SEAT = place("seal", {"ring_size": codes("2-014")}, reaches("seat", "GAS-PI"),
                  media=(Medium("gasoline", degrees("-10", "80")),))  # fmt: skip
BELT = part("7001", "belt", {"belt_length": codes("1100")})
DUAL_FUEL = burning("natural_gas", "lpg_vapour")
CONVERTED = burning("lpg_vapour", plate=("natural_gas",))
ON_VAPOUR, ON_LIQUID, ON_GASOLINE = burning("lpg_vapour"), burning("lpg_liquid"), burning("gasoline:E10")
