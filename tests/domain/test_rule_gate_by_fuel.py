"""Rule 2, the fuel gate by the fuel burned: combustion and control parts, parts without a fuel role, grades.

Which grades a bare name stands for is common practice, no source; so is all of the rest.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import Answer, Basis, Effect, Verdict
from catalog.domain.fuels import RecordMode
from catalog.domain.parts import Part
from catalog.domain.questions import Decision
from catalog.domain.values import KNOWN_NONE, How
from tests.domain.cast import (
    BELT,
    CONTAINER_LINE,
    CONVERTED,
    DUAL_FUEL,
    DUAL_PLUG,
    GAS_PLUG,
    GASOLINE_PLUG,
    LIQUID_HOSE,
    ON_VAPOUR,
    PLUG_WELL,
    ask,
    asked,
    burning,
    finding,
    found,
    part,
    place,
    reaches,
    says,
    with_value,
    without,
)
from tests.domain.cast_rulebook import RULEBOOK, K, codes, edited, psi, rule

pytestmark = pytest.mark.domain
INSIDE = ("fuel_service", "inside")
SHADE = rule("shade", K.EQUALS, when_not_met=Effect.NOTE, when_unknown=Effect.NOTE)


def at_gate(decision: Decision) -> Answer:
    return next(f for f in decision.findings if f.attribute in ("fuels", "fuel_service")).outcome


def plug(*fuels: str) -> Part:
    return with_value(without(GAS_PLUG, "fuels"), {"fuels": codes(*fuels)})


def diesel_hose(*classes: str) -> Part:
    return part("D-10", "fuel_hose", {INSIDE: codes(*classes), "max_pressure": psi("100")})


def test_a_plug_is_judged_by_the_fuel_burned() -> None:
    """Rule 2: thread and heat range match and do not count."""
    decision = ask(GASOLINE_PLUG, PLUG_WELL, ON_VAPOUR)
    assert decision.verdict is Verdict.REJECTED
    assert decision.headline == "Gasoline plug; this engine burns LP-gas (found 2026-01-12)."
    gate = finding(decision, "fuels")
    assert gate.demand is not None
    assert (gate.demand.value, gate.demand.basis) == (codes("lpg_vapour"), Basis.FUEL_RECORD)
    assert finding(decision, "thread").outcome is Answer.MET


def test_a_common_part_needs_every_fuel_burned_and_a_branch_part_its_own() -> None:
    """Rule 2."""
    assert at_gate(ask(GAS_PLUG, PLUG_WELL, DUAL_FUEL)) is Answer.NOT_MET
    assert at_gate(ask(DUAL_PLUG, PLUG_WELL, DUAL_FUEL)) is Answer.MET
    assert at_gate(ask(GAS_PLUG, replace(PLUG_WELL, branch="natural_gas"), DUAL_FUEL)) is Answer.MET


def test_liquid_and_vapour_are_two_fuels() -> None:
    """Rule 2: how the engine draws its gas is part of what it burns."""
    assert at_gate(ask(plug("lpg_liquid"), PLUG_WELL, ON_VAPOUR)) is Answer.NOT_MET


def test_a_controller_is_judged_by_the_fuel_burned() -> None:
    """Rule 2."""
    controller = part("C-1", "controller", {"fuels": codes("natural_gas"), "supply": codes("12")})
    at = place("controller", {"supply": codes("12")})
    assert ask(controller, at, burning("natural_gas")).verdict is Verdict.ACCEPTED
    assert (
        ask(controller, at, CONVERTED).headline
        == "Natural-gas controller; this engine burns LP-gas (found 2026-01-12)."
    )


def test_a_part_without_a_fuel_role_is_not_asked_about_fuel_and_says_so() -> None:
    """Rule 2."""
    gate = finding(ask(BELT, place("belt", {"belt_length": codes("1100")}), CONVERTED), "fuels")
    assert (gate.effect, gate.text) == (Effect.NOT_ASKED, "A belt is not judged by the fuel burned.")


def test_that_the_gate_asks_nothing_is_no_ground_to_accept_on() -> None:
    """Rules 0 and 2."""
    noted = edited(categories={"belt": replace(RULEBOOK.categories["belt"], rules=(SHADE,))})
    decision = ask(BELT, place("belt", {"shade": codes("black")}), ON_VAPOUR, rulebook=noted)
    assert decision.verdict is Verdict.UNDETERMINED
    assert decision.headline.startswith("Nothing to compare: ")


def test_a_part_whose_fuels_are_not_recorded_is_undetermined_and_asks_its_maker() -> None:
    """Rule 2: missing is never a no."""
    decision = ask(without(GAS_PLUG, "fuels"), PLUG_WELL, ON_VAPOUR)
    assert (decision.verdict, asked(decision)) == (Verdict.UNDETERMINED, ["candidate: fuels"])


def test_a_part_made_for_no_fuel_is_refused_on_any() -> None:
    """Rules 2 and 5."""
    none = with_value(without(GAS_PLUG, "fuels"), {"fuels": KNOWN_NONE})
    assert ask(none, PLUG_WELL, ON_VAPOUR).headline == (
        "This plug is made for no fuel; this engine burns LP-gas vapour (found 2026-01-12)."
    )


def test_fuels_that_were_only_told_settle_nothing() -> None:
    """Rules 2 and 6."""
    unlabelled = without(GAS_PLUG, "fuels")
    for how, answer in ((How.TOLD, Answer.UNKNOWN), (How.LABEL, Answer.MET), (How.MEASURED, Answer.MET)):
        told = with_value(unlabelled, {"fuels": codes("natural_gas")}, how)
        assert at_gate(ask(told, PLUG_WELL, burning("natural_gas"))) is answer


def test_a_known_fuel_refuses_while_another_may_still_be_missing() -> None:
    """Rules 1 and 2."""
    application = burning(fuel_records=(found("lpg_vapour", mode=RecordMode.BURNS_TODAY),))
    assert ask(GASOLINE_PLUG, PLUG_WELL, application).verdict is Verdict.REJECTED
    assert at_gate(ask(DUAL_PLUG, PLUG_WELL, application)) is Answer.UNKNOWN


def test_a_bare_name_stands_for_the_common_grades_and_another_grade_must_be_named() -> None:
    """Rule 2 and the table of grades."""
    for burned, answer in (("gasoline:E0", Answer.MET), ("gasoline:E10", Answer.MET), ("gasoline:E85", Answer.NOT_MET)):
        assert at_gate(ask(plug("gasoline"), PLUG_WELL, burning(burned))) is answer
    assert at_gate(ask(plug("gasoline", "gasoline:E85"), PLUG_WELL, burning("gasoline:E85"))) is Answer.MET


@pytest.mark.parametrize(
    ("fuels", "answer"),
    [
        (("gasoline",), Answer.MET_IF), (("gasoline", "gasoline:E85"), Answer.MET), (("gasoline:E85",), Answer.UNKNOWN),
        (("gasoline:E10",), Answer.MET_IF), (("gasoline:E0",), Answer.UNKNOWN), (("lpg_vapour",), Answer.NOT_MET),
    ],
)  # fmt: skip
def test_a_grade_that_nobody_stated_is_weighed_for_every_grade_of_its_row(
    fuels: tuple[str, ...], answer: Answer
) -> None:
    """Rule 5, grades: the same answer for all is the answer; met for the usual one is a condition, else ask."""
    decision = ask(plug(*fuels), PLUG_WELL, burning("gasoline"))
    assert at_gate(decision) is answer
    if answer is Answer.UNKNOWN:
        assert decision.missing[0].question == "Which grade of gasoline is burned: E0, E10, E85?"
    if fuels == ("gasoline",):
        assert decision.conditions[0] == "the gasoline is E0 or E10"


@pytest.mark.parametrize(
    ("classes", "answer"),
    [
        (("DSL-L", "BIO-100"), Answer.MET), (("BIO-100",), Answer.MET), (("DSL-L",), Answer.MET_IF),
        (("GAS-PI",), Answer.NOT_MET),
    ],
)  # fmt: skip
def test_where_a_place_has_a_class_for_each_grade_every_grade_is_weighed(
    classes: tuple[str, ...], answer: Answer
) -> None:
    """Rules 2 and 5: a return line that has to stand whatever diesel is in the tank."""
    line = replace(CONTAINER_LINE, ports=(reaches("inside", "DSL-L", "BIO-100"),))
    decision = ask(diesel_hose(*classes), line, burning("diesel"))
    assert at_gate(decision) is answer
    if answer is Answer.MET_IF:
        assert decision.conditions == ("the diesel is B7",)


def test_a_place_meant_for_the_usual_grade_alone_asks_that_it_is_that_grade() -> None:
    """Rules 2 and 5: nothing there answers for the other grades."""
    line = replace(CONTAINER_LINE, ports=(reaches("inside", "DSL-L"),))
    decision = ask(diesel_hose("DSL-L"), line, burning("diesel"))
    assert (at_gate(decision), decision.conditions[0]) == (Answer.MET_IF, "the diesel is B7")
    biodiesel = replace(CONTAINER_LINE, ports=(reaches("inside", "BIO-100"),))
    assert at_gate(ask(diesel_hose("BIO-100"), biodiesel, burning("diesel"))) is Answer.UNKNOWN
    assert at_gate(ask(diesel_hose("GAS-PI"), biodiesel, burning("diesel"))) is Answer.NOT_MET


def test_a_statement_that_may_hold_does_not_turn_a_condition_of_grade_into_a_cannot_tell() -> None:
    """Rules 3 and 5: whether or not the statement is about this grade, the usual one is right."""
    candidate = plug("gasoline")
    decision = ask(candidate, PLUG_WELL, burning("gasoline"), says(candidate, any_fuel=("gasoline:E85",)))
    assert at_gate(decision) is Answer.MET_IF


@pytest.mark.parametrize("candidate", [plug("digester_gas", "digester_gas:wet", "digester_gas:dried"), GAS_PLUG])
def test_a_gas_without_a_usual_grade_leaves_every_part_with_a_fuel_role_undetermined(candidate: Part) -> None:
    """Rule 2, other gas: hydrogen sulphide, water and low heat are not in the name."""
    decision = ask(candidate, PLUG_WELL, burning("digester_gas"))
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision)[0] == "gas analysis"
    assert ask(LIQUID_HOSE, CONTAINER_LINE, burning("digester_gas")).verdict is Verdict.UNDETERMINED


def test_sources_that_disagree_about_the_fuels_leave_the_gate_open_and_both_are_shown() -> None:
    """Rules 2 and 5."""
    text = finding(
        ask(with_value(GAS_PLUG, {"fuels": codes("gasoline")}), PLUG_WELL, burning("natural_gas")), "fuels"
    ).text
    assert text == (
        "Cannot tell whether this plug suits natural gas: the sources disagree: made for natural gas / "
        "not made for natural gas."
    )


def test_missing_fuels_are_met_by_a_statement_that_names_the_fuel_and_contradicted_ones_are_an_error() -> None:
    """Rules 2 and 3a."""
    unlabelled = without(GAS_PLUG, "fuels")
    named = says(unlabelled, any_fuel=("lpg_vapour",))
    assert at_gate(ask(unlabelled, PLUG_WELL, ON_VAPOUR, named)) is Answer.MET
    assert at_gate(ask(unlabelled, PLUG_WELL, ON_VAPOUR, says(unlabelled))) is Answer.UNKNOWN
    decision = ask(GAS_PLUG, PLUG_WELL, ON_VAPOUR, says(GAS_PLUG, any_fuel=("lpg_vapour",)))
    assert (decision.verdict, len(decision.catalogue_errors)) == (Verdict.UNDETERMINED, 1)
    assert ask(GAS_PLUG, PLUG_WELL, ON_VAPOUR, says(GAS_PLUG)).verdict is Verdict.REJECTED
