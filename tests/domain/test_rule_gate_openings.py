"""Rule 2, what opens the gate by service class and what does not: statements, telling, sources that disagree, covers.

Common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import Answer, Verdict
from catalog.domain.applicability import Application
from catalog.domain.parts import Part, Position, StatementKind
from catalog.domain.questions import Decision
from catalog.domain.values import How
from tests.domain.cast import (
    CONTAINER_LINE,
    DUAL_FUEL,
    GASOLINE_INJECTOR,
    HYDRAULIC_HOSE,
    LIQUID_HOSE,
    LIQUID_INJECTOR,
    ON_GASOLINE,
    ON_LIQUID,
    ON_VAPOUR,
    VAPOUR_INJECTOR,
    VAPOUR_RAIL,
    ask,
    asked,
    burning,
    finding,
    reaches,
    says,
    with_value,
    without,
)
from tests.domain.cast_rulebook import CLASSES, codes, edited

pytestmark = pytest.mark.domain
INLET, INSIDE = ("fuel_service", "inlet"), ("fuel_service", "inside")


def at_gate(decision: Decision) -> Answer:
    return finding(decision, "fuel_service").outcome


def injector(*classes: str) -> Part:
    return with_value(without(VAPOUR_INJECTOR, "fuel_service"), {INLET: codes(*classes)})


def hose(*classes: str) -> Part:
    return with_value(without(LIQUID_HOSE, "fuel_service"), {INSIDE: codes(*classes)})


def line(*classes: str) -> Position:
    return replace(CONTAINER_LINE, ports=(reaches("inside", *classes),))


@pytest.mark.parametrize("kind", list(StatementKind))
@pytest.mark.parametrize("application", [ON_GASOLINE, ON_LIQUID])
def test_no_statement_that_does_not_name_the_fuel_burned_opens_the_gate(
    kind: StatementKind, application: Application
) -> None:
    """Rule 2."""
    stated = says(VAPOUR_INJECTOR, kind), says(VAPOUR_INJECTOR, kind, any_fuel=("natural_gas",))
    rail = replace(VAPOUR_RAIL, ports=(reaches("inlet", "LPG-CL"),))
    assert ask(VAPOUR_INJECTOR, rail, application, *stated).verdict is Verdict.REJECTED


def test_a_missing_class_is_met_only_by_a_statement_that_names_every_fuel_burned() -> None:
    """Rules 2 and 3."""
    unlabelled = without(VAPOUR_INJECTOR, "fuel_service")
    rail = replace(VAPOUR_RAIL, ports=(reaches("inlet", "LPG-VI"),))
    for fuels, answer in ((("lpg_vapour", "natural_gas"), Answer.MET), (("lpg_vapour",), Answer.UNKNOWN),
                          ((), Answer.UNKNOWN)):  # fmt: skip
        decision = ask(unlabelled, rail, DUAL_FUEL, says(unlabelled, any_fuel=fuels))
        assert at_gate(decision) is answer


@pytest.mark.parametrize("candidate", [LIQUID_INJECTOR, GASOLINE_INJECTOR])
def test_a_recorded_class_against_a_specification_for_the_fuel_is_undetermined_and_a_data_error(
    candidate: Part,
) -> None:
    """Rules 2 and 3a."""
    decision = ask(candidate, VAPOUR_RAIL, ON_VAPOUR, says(candidate, any_fuel=("lpg_vapour",)))
    assert decision.verdict is Verdict.UNDETERMINED
    (error,) = decision.catalogue_errors
    assert error.startswith(
        f"Injector: the engine's maker specifies VRD {candidate.number} for this fuel, and its record"
    )
    assert asked(decision) == ["candidate: fuels it is made for"]


def test_a_hydraulic_hose_specified_for_the_fuel_is_undetermined_and_a_data_error() -> None:
    """Rule 2: a category not made for fuel has a recorded none at every port."""
    decision = ask(
        HYDRAULIC_HOSE, CONTAINER_LINE, ON_LIQUID, says(HYDRAULIC_HOSE, at="container_line", any_fuel=("lpg_liquid",))
    )
    assert at_gate(decision) is Answer.UNKNOWN
    assert len(decision.catalogue_errors) == 1


def test_what_was_only_told_of_a_class_settles_nothing_at_the_gate() -> None:
    """Rules 2 and 6: measured or read from the label it does."""
    unlabelled = without(VAPOUR_INJECTOR, "fuel_service")
    for how, answer in ((How.TOLD, Answer.UNKNOWN), (How.LABEL, Answer.MET)):
        decision = ask(with_value(unlabelled, {INLET: codes("LPG-VI")}, how), VAPOUR_RAIL, ON_VAPOUR)
        assert at_gate(decision) is answer
    told_wrong = with_value(VAPOUR_INJECTOR, {INLET: codes("LPG-CL")}, How.TOLD)
    assert at_gate(ask(told_wrong, VAPOUR_RAIL, ON_VAPOUR)) is Answer.MET


def test_sources_that_name_two_classes_leave_the_gate_open_and_both_are_shown() -> None:
    """Rules 2 and 5."""
    decision = ask(with_value(VAPOUR_INJECTOR, {INLET: codes("LPG-CL")}), VAPOUR_RAIL, ON_VAPOUR)
    gate = finding(decision, "fuel_service")
    assert gate.outcome is Answer.UNKNOWN
    assert "LPG-VI" in gate.text
    assert "LPG-CL" in gate.text
    assert decision.missing


def test_two_sources_of_which_one_refuses_are_no_ground_for_a_statement_to_open_the_gate() -> None:
    """Rules 2 and 3a: one of the records contradicts the maker."""
    disputed = with_value(VAPOUR_INJECTOR, {INLET: codes("LPG-CL")})
    decision = ask(disputed, VAPOUR_RAIL, ON_VAPOUR, says(disputed, any_fuel=("lpg_vapour",)))
    assert decision.verdict is Verdict.UNDETERMINED
    assert decision.catalogue_errors


@pytest.mark.parametrize("needed", sorted(CLASSES))
@pytest.mark.parametrize("made_for", sorted(CLASSES))
def test_a_rulebook_without_covers_serves_equal_classes_only(made_for: str, needed: str) -> None:
    """Rule 2: covers are what the published table says and nothing else."""
    fuel = {"gasoline": "gasoline:E85" if needed == "GAS-E85" else "gasoline:E10", "LP-gas": "lpg_liquid:HD-5",
            "diesel": "diesel:B100" if needed == "BIO-100" else "diesel:B7"}  # fmt: skip
    burned = fuel.get(CLASSES[needed].fuel_family, "natural_gas")
    decision = ask(hose(made_for), line(needed), burning(burned), rulebook=edited(covers={}))
    assert (at_gate(decision) is Answer.MET) is (made_for == needed)
