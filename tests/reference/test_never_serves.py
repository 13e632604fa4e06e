"""A refusal at the gate shows the physical reason of its pair of classes, with the published number.

Typed here from the page of pairs that must not serve each other (rows judged by class alone), not read from the
reference files. Sources of the numbers: the propane equation of state of Lemmon, McLinden and Wagner (2009), UL 144,
US DOE fuel properties, EN 590 summaries, ISO 19013-1, and Oak Ridge elastomer studies.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Answer, Effect, Verdict
from catalog.domain.applicability import Application
from catalog.domain.checking import decide
from catalog.domain.findings import Finding
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.parts import SERVICE, Part, PortClasses, Position
from catalog.domain.questions import Engine, Item, Question
from catalog.domain.rules import FuelRole, Rulebook
from catalog.domain.values import Offer, Value
from tests.demo_world import rulebook

pytestmark = pytest.mark.domain
# What an engine behind each family of classes burns, of a grade that every class of the family is meant for.
BURNED = {"GAS": "gasoline:E10", "LPG": "lpg_liquid:HD-5", "NG": "natural_gas:pipeline gas", "CNG": "natural_gas:CNG",
          "DSL": "diesel:B7", "BIO": "diesel:B7"}  # fmt: skip
OF_ROLE = {FuelRole.METERING: ("injector", "inlet"), FuelRole.WETTED: ("fuel_hose", "inside")}
NEVER = [
    (FuelRole.WETTED, "LPG-CV", "LPG-CL", "5.3"),
    (FuelRole.METERING, "LPG-V1", "LPG-CL", "5.3"),
    (FuelRole.METERING, "LPG-CL", "LPG-CV", "fifth"),
    (FuelRole.METERING, "GAS-PI", "LPG-VI", "27 to 58"),
    (FuelRole.METERING, "LPG-VI", "GAS-PI", "27 to 58"),
    (FuelRole.METERING, "LPG-VZ", "NG-L", "2.5"),
    (FuelRole.METERING, "NG-I", "LPG-VI", "1.45 to 1.57"),
    (FuelRole.WETTED, "NG-M", "CNG-H", "74"),
    (FuelRole.METERING, "CNG-H", "NG-L", "165 to 248"),
    (FuelRole.WETTED, "LPG-CL", "CNG-H", "13.9"),
    (FuelRole.WETTED, "GAS-PI", "LPG-LI", "17.9"),
    (FuelRole.WETTED, "GAS-LP", "GAS-PI", "43"),
    (FuelRole.METERING, "GAS-PI", "GAS-LP", "9 to 15"),
    (FuelRole.METERING, "LPG-V1", "LPG-CV", "107"),
    (FuelRole.METERING, "LPG-V1", "LPG-VI", "10.75"),
    (FuelRole.WETTED, "GAS-PI", "GAS-E85", "20 to 45"),
    (FuelRole.METERING, "GAS-LP", "GAS-E85", "1.34 to 1.40"),
    (FuelRole.METERING, "GAS-E85", "GAS-PI", "1.34 to 1.40"),
    (FuelRole.METERING, "DSL-H", "GAS-PI", "460 to 520"),
    (FuelRole.METERING, "GAS-LP", "DSL-L", "1.9 to 4.1"),
    (FuelRole.WETTED, "BIO-20", "BIO-100", "B20"),
]


def gate(rules: Rulebook, role: FuelRole, recorded: str, needed: str) -> tuple[Verdict, Finding]:
    """The gate's finding on a part of one class where another is needed."""
    category, port = OF_ROLE[role]
    part = Part("VRD", "1", category, {(SERVICE, port): (Offer(Value((recorded,)), COMMON_PRACTICE),)})
    burned = Fuel.parse(BURNED[needed.split("-", maxsplit=1)[0]])
    application = Application(fuel_records=(FuelRecord((burned,), RecordMode.ONLY_FUEL, date(2026, 1, 12)),))
    position = Position("here", category, ports=(PortClasses(port, (needed,)),))
    decision = decide(Question(rules, (Item(part),), application, Engine("E", positions=(position,)), "here"))
    return decision.verdict, next(f for f in decision.findings if f.attribute == SERVICE)


@pytest.mark.parametrize(("role", "recorded", "needed", "number"), NEVER)
def test_a_refusal_shows_the_physical_reason_with_its_number(
    role: FuelRole, recorded: str, needed: str, number: str
) -> None:
    verdict, finding = gate(rulebook(), role, recorded, needed)
    assert (verdict, finding.effect) == (Verdict.REJECTED, Effect.REJECT)
    assert number in finding.text


def test_a_reason_is_shown_for_its_role_alone() -> None:
    """A hose for liquid may carry vapour: the orifice that would starve is no reason against it."""
    _, finding = gate(rulebook(), FuelRole.WETTED, "LPG-CL", "LPG-CV")
    assert finding.outcome is Answer.MET
    assert "starves" not in finding.text


def test_every_row_of_the_reference_is_a_pair_the_gate_refuses() -> None:
    for row in rulebook().never_serves:
        for role in row.roles:
            for recorded in row.made_for:
                for needed in row.must_not_serve:
                    verdict, finding = gate(rulebook(), role, recorded, needed)
                    assert verdict is Verdict.REJECTED, (role, recorded, needed)
                    assert row.reason in finding.text


@pytest.mark.parametrize("pair", [("LPG-CL", "LPG-CV"), ("LPG-CL", "LPG-V1"), ("GAS-PI", "GAS-LP")])
def test_a_port_that_is_never_covered_takes_its_own_class_alone(pair: tuple[str, str]) -> None:
    """A container's outlet: withdrawing liquid is no way of withdrawing vapour."""
    hose = rulebook().categories["fuel_hose"]
    outlet = replace(rulebook(), categories={"fuel_hose": replace(hose, never_covered=hose.ports)})
    assert gate(rulebook(), FuelRole.WETTED, *pair)[1].outcome is Answer.MET
    assert gate(outlet, FuelRole.WETTED, *pair)[0] is Verdict.REJECTED
