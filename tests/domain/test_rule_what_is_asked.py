"""Rules 4 to 6: which demand an answer shows, what a note may do, and what a rule's condition hangs on.

Common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Effect, TakenOver, Verdict
from catalog.domain.parts import PartCondition
from catalog.domain.rules import FuelRole, Rule, Rulebook, Tolerance, WhenFact
from catalog.domain.values import Demand, Place
from tests.domain.cast import (
    BELT,
    CONTAINER_LINE,
    GAS_PLUG,
    GASOLINE_PLUG,
    LIQUID_HOSE,
    ON_GASOLINE,
    ON_LIQUID,
    ON_VAPOUR,
    PLUG_WELL,
    VAPOUR_INJECTOR,
    VAPOUR_RAIL,
    ask,
    asked,
    burning,
    by_plate,
    finding,
    part,
    place,
    says,
    with_value,
    without,
)
from tests.domain.cast_rulebook import RULEBOOK, K, category, codes, each, edited, only_where, psi, rule

pytestmark = pytest.mark.domain
COMPUTED_500: dict[Place, tuple[Demand, ...]] = {
    ("max_pressure", None): (Demand(psi("500"), Basis.COMPUTED, COMMON_PRACTICE),)
}
STATED_300 = place("fuel_hose", {"max_pressure": psi("300")}, *CONTAINER_LINE.ports, code="container_line")


def only(one: Rule) -> Rulebook:
    """The rulebook with belts judged by one more rule beside their length."""
    belt = RULEBOOK.categories["belt"]
    return edited(categories={**RULEBOOK.categories, "belt": category("belt", FuelRole.NONE, *belt.rules, one)})


@pytest.mark.parametrize(
    ("rating", "words"),
    [
        ("320", "320 psi gauge instead of at least 350 psi gauge, as published codes ask."),
        ("290", "290 psi gauge instead of at least 350 psi gauge, as published codes ask."),
        ("400", "400 psi gauge, as published codes ask."),
    ],
)
def test_an_answer_shows_the_demand_it_is_given_to_and_the_most_demanding_of_those_alike(
    rating: str, words: str
) -> None:
    """Rule 4: stated 300, code floor 350; the more demanding one is named with its own basis."""
    hose = with_value(without(LIQUID_HOSE, "max_pressure"), {"max_pressure": psi(rating)})
    shown = finding(ask(hose, STATED_300, ON_LIQUID), "max_pressure")
    assert shown.demand is not None
    assert (shown.demand.basis, shown.text) == (Basis.CODE_FLOOR, f"Max pressure: {words}")


def test_a_missing_value_is_asked_for_once_however_many_ask_it() -> None:
    """Rules 4 and 6."""
    decision = ask(without(LIQUID_HOSE, "max_pressure"), STATED_300.with_demands(COMPUTED_500), ON_LIQUID)
    assert asked(decision) == ["candidate: max pressure"]


def test_a_difference_between_needs_is_no_conflict_where_the_rule_is_not_asked_at_all() -> None:
    """Rules 4 and 5."""
    indoors = only_where("fuel_hose", "max_pressure", WhenFact.PLACE_OF_USE, "indoor")
    for place_of_use, at_odds in (("indoor", True), ("outdoor", False), (None, True)):
        engine = replace(ON_LIQUID, place_of_use=place_of_use)
        decision = ask(LIQUID_HOSE, STATED_300.with_demands(COMPUTED_500), engine, rulebook=indoors)
        assert bool(decision.conflicts) is at_odds


@pytest.mark.parametrize(("stretch", "effect"), [(7, Effect.NONE), (6, Effect.NOTE), (3, Effect.NOTE)])
def test_what_is_nearly_met_is_never_worse_than_what_is_not_met(stretch: int, effect: Effect) -> None:
    """Rules 5 and 6: a rule that only notes what is not met only notes what is nearly met."""
    noting = rule("stretch", K.AT_LEAST, outer=(Tolerance(minus=1),), condition="it is watched",
                  when_not_met=Effect.NOTE, when_unknown=Effect.NOTE)  # fmt: skip
    belt = with_value(BELT, {"stretch": each(stretch)})
    drive = place("belt", {"belt_length": codes("1100"), "stretch": each(7)})
    decision = ask(belt, drive, ON_VAPOUR, rulebook=only(noting))
    assert (decision.verdict, finding(decision, "stretch").effect) == (Verdict.ACCEPTED, effect)


def test_more_than_the_specified_part_takes_of_a_clearance_is_a_condition_also_of_a_rule_that_notes() -> None:
    """Rule 4, clearance: check room."""
    room = rule("width", K.AT_MOST, taken_over=TakenOver.CLEARANCE, when_not_met=Effect.NOTE, when_unknown=Effect.NOTE)
    specified, wide = part("7002", "belt", {"width": each(10)}), with_value(BELT, {"width": each(12)})
    drive = place("belt", {"belt_length": codes("1100")})
    decision = ask(wide, drive, ON_VAPOUR, says(specified), rulebook=only(room))
    assert decision.conditions == ("there is room for it",)


def test_a_rule_that_hangs_on_the_service_class_is_open_while_the_class_is() -> None:
    """Rule 5: the fuel is asked for first, then what stands there."""
    at_pressure = only_where("injector", "max_pressure", WhenFact.SERVICE_CLASS, "CNG-H")
    weak = with_value(without(VAPOUR_INJECTOR, "max_pressure"), {"max_pressure": psi("1")})
    for position, application, asks in (
        (VAPOUR_RAIL, by_plate("lpg_vapour"), ["fuel as-found"]),
        (replace(VAPOUR_RAIL, ports=()), ON_VAPOUR,
         ["position: fuel service class", "position: fuel service class at the inlet"]),
    ):  # fmt: skip
        decision = ask(weak, position, application, rulebook=at_pressure)
        assert finding(decision, "max_pressure").outcome is Answer.UNKNOWN
        assert sorted(asked(decision)) == asks
    decision = ask(weak, VAPOUR_RAIL, ON_VAPOUR, rulebook=at_pressure)
    assert finding(decision, "max_pressure").effect is Effect.NOT_ASKED


def test_a_rule_for_one_grade_is_open_while_the_grade_is() -> None:
    """Rule 5: a fuel named with its grade holds for that grade alone."""
    ethanol = only_where("plug", "heat_range", WhenFact.FUEL_BURNED, "gasoline:E85")
    cold = with_value(without(GASOLINE_PLUG, "heat_range"), {"heat_range": each(2)})
    answers = {
        fuel: finding(ask(cold, PLUG_WELL, burning(fuel), rulebook=ethanol), "heat_range")
        for fuel in ("gasoline:E85", "gasoline:E10", "gasoline", "lpg_vapour")
    }
    assert {fuel: (found.outcome, found.effect) for fuel, found in answers.items()} == {
        "gasoline:E85": (Answer.NOT_MET, Effect.REJECT), "gasoline:E10": (Answer.MET, Effect.NOT_ASKED),
        "gasoline": (Answer.UNKNOWN, Effect.UNDETERMINED), "lpg_vapour": (Answer.MET, Effect.NOT_ASKED),
    }  # fmt: skip
    assert [fact.name for fact in answers["gasoline"].missing] == ["fuel grade"]


def test_no_service_class_reaches_a_place_without_fuel() -> None:
    """Rules 2, 5 and 7: neither a rule nor the ban on used gas parts is asked there."""
    on_gas = only_where("fuel_hose", "max_pressure", WhenFact.SERVICE_CLASS, "LPG-CL")
    dry = replace(CONTAINER_LINE, carries_fuel=False)
    used = replace(LIQUID_HOSE, condition=PartCondition.USED)
    decision = ask(used, dry, ON_LIQUID, rulebook=on_gas)
    assert finding(decision, "max_pressure").effect is Effect.NOT_ASKED
    assert "condition" not in {one.attribute for one in decision.findings}


def test_a_used_gas_part_asks_only_for_the_fuel_while_that_is_not_known() -> None:
    """Rules 1 and 7."""
    used = replace(VAPOUR_INJECTOR, condition=PartCondition.USED)
    assert asked(ask(used, VAPOUR_RAIL, by_plate("lpg_vapour"))) == ["fuel as-found"]
    assert ask(used, VAPOUR_RAIL, ON_VAPOUR).headline == "A used injector that carries gas is not fitted again."
    assert "condition" not in {one.attribute for one in ask(used, VAPOUR_RAIL, ON_GASOLINE).findings}


def test_a_lender_of_another_fuel_lends_a_common_thread_and_not_its_heat_range() -> None:
    """Rule 4."""
    well = replace(PLUG_WELL, demands={})
    stated = says(GAS_PLUG, any_fuel=("natural_gas", "lpg_vapour"))
    colder = with_value(without(GASOLINE_PLUG, "heat_range"), {"heat_range": each(2)})
    decision = ask(colder, well, burning("gasoline:E10"), says(GAS_PLUG), built_for=("natural_gas",))
    assert finding(decision, "thread").outcome is Answer.MET
    assert finding(decision, "heat_range").outcome is Answer.UNKNOWN
    assert asked(decision) == ["position: heat range"]
    assert finding(ask(colder, well, ON_VAPOUR, stated), "heat_range").outcome is Answer.NOT_MET
