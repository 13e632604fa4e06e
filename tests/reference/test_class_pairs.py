"""Every ordered pair of two different service classes, with the published reference, in each role judged by class.

Source: the table of what covers what, common practice, no source, but for BIO-20 over DSL-L, whose scope is published
(ISO 19013-1). The table is typed here from its page and not read from the fixture, so that the two check each other.
"""

from collections.abc import Callable
from datetime import date
from itertools import permutations

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Answer, Verdict
from catalog.domain.applicability import Application
from catalog.domain.checking import decide
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.parts import SERVICE, Part, PortClasses, Position
from catalog.domain.questions import Decision, Engine, Item, Question
from catalog.domain.rules import FuelRole
from catalog.domain.values import Offer, Value
from tests.demo_world import rulebook

pytestmark = pytest.mark.domain
# Each class with the fuel, and the grade where it matters, that an engine behind it burns.
BURNED = {
    "GAS-LP": "gasoline:E10",
    "GAS-PI": "gasoline:E10",
    "GAS-E85": "gasoline:E85",
    "LPG-CV": "lpg_vapour:HD-5",
    "LPG-CL": "lpg_liquid:HD-5",
    "LPG-LI": "lpg_liquid:HD-5",
    "LPG-V1": "lpg_vapour:HD-5",
    "LPG-VI": "lpg_liquid:HD-5",
    "LPG-V2": "lpg_vapour:HD-5",
    "LPG-VZ": "lpg_liquid:HD-5",
    "NG-L": "natural_gas:pipeline gas",
    "NG-M": "natural_gas:pipeline gas",
    "NG-I": "natural_gas:pipeline gas",
    "CNG-H": "natural_gas:CNG",
    "CNG-I": "natural_gas:CNG",
    "DSL-L": "diesel:B7",
    "DSL-H": "diesel:B7",
    "BIO-20": "diesel:B20",
    "BIO-100": "diesel:B100",
}
COVERS = {
    "GAS-PI": {"GAS-LP"},
    "GAS-E85": {"GAS-LP", "GAS-PI"},
    "LPG-CL": {"LPG-CV", "LPG-V1", "LPG-VI", "LPG-V2"},
    "LPG-CV": {"LPG-V1", "LPG-VI", "LPG-V2"},
    "LPG-V1": {"LPG-V2"},
    "NG-M": {"NG-L"},
    "BIO-100": {"BIO-20", "DSL-L"},
    "BIO-20": {"DSL-L"},
}
# Liquid withdrawal is not vapour withdrawal, nor the reverse: a container's outlet is never covered.
NEVER_COVERED = {"container": ("outlet",)}
PAIRS = list(permutations(BURNED, 2))


def by_class(*roles: FuelRole) -> list[tuple[str, str]]:
    """Every category of these roles with each port it declares."""
    found = rulebook().categories.values()
    return [(category.code, port) for category in found if category.fuel_role in roles for port in category.ports]


def asked(category: str, port: str, made_for: str, needed: str) -> Decision:
    record = FuelRecord((Fuel.parse(BURNED[needed]),), RecordMode.ONLY_FUEL, date(2026, 1, 12))
    ports = tuple(PortClasses(each, (needed,)) for each in rulebook().categories[category].ports)
    part = Part("VRD", "1", category, {(SERVICE, port): (Offer(Value((made_for,)), COMMON_PRACTICE),)})
    engine = Engine("E", (), (Position("place", category, ports=ports),))
    application = Application("E", fuel_records=(record,), certified=False)
    return decide(Question(rulebook(), (Item(part),), application, engine, "place"))


def at_port(decision: Decision, port: str) -> Answer:
    return next(f.outcome for f in decision.findings if f.attribute == SERVICE and f.slot == port)


def test_the_table_here_names_every_published_class() -> None:
    assert set(BURNED) == set(rulebook().classes)


def wrong(category: str, port: str, served: Callable[[str, str], bool]) -> list[str]:
    """The ordered pairs of which the gate says another thing than is expected."""
    return [
        f"{made_for} at {needed}"
        for made_for, needed in PAIRS
        if not as_expected(asked(category, port, made_for, needed), port, serves=served(made_for, needed))
    ]


def as_expected(decision: Decision, port: str, *, serves: bool) -> bool:
    if serves:
        return at_port(decision, port) is Answer.MET
    return (decision.verdict, at_port(decision, port)) == (Verdict.REJECTED, Answer.NOT_MET)


@pytest.mark.parametrize(("category", "port"), by_class(FuelRole.METERING))
def test_what_meters_serves_no_other_class(category: str, port: str) -> None:
    assert wrong(category, port, lambda made_for, needed: False) == []


@pytest.mark.parametrize(("category", "port"), by_class(FuelRole.METERING))
def test_a_refusal_names_both_classes(category: str, port: str) -> None:
    for made_for, needed in PAIRS:
        headline = asked(category, port, made_for, needed).headline
        assert made_for in headline
        assert needed in headline


@pytest.mark.parametrize(("category", "port"), by_class(FuelRole.WETTED))
def test_what_is_only_wetted_serves_another_class_as_the_table_says(category: str, port: str) -> None:
    never = port in NEVER_COVERED.get(category, ())
    assert wrong(category, port, lambda made_for, needed: not never and needed in COVERS.get(made_for, ())) == []


@pytest.mark.parametrize(("category", "port"), by_class(FuelRole.METERING, FuelRole.WETTED))
def test_the_class_itself_always_passes(category: str, port: str) -> None:
    for service in BURNED:
        assert at_port(asked(category, port, service, service), port) is Answer.MET
