"""Rule 1, the facts of the application: plate and fuel records, conversions, certified engines.

Where nothing else is named, the rule is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from catalog.domain.answers import Answer, Effect, Verdict
from catalog.domain.applicability import Application
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.parts import Part
from catalog.domain.questions import Decision
from catalog.domain.rules import Approver
from tests.domain.cast import (
    BELT,
    CONVERTED,
    DUAL_PLUG,
    GAS_PLUG,
    GASOLINE_PLUG,
    HYDRAULIC_HOSE,
    ON_VAPOUR,
    PLUG_WELL,
    VAPOUR_INJECTOR,
    VAPOUR_RAIL,
    ask,
    asked,
    burning,
    by_plate,
    finding,
    found,
    part,
    place,
    reaches,
    says,
    with_value,
    without,
)
from tests.domain.cast_rulebook import codes

pytestmark = pytest.mark.domain
CONVERSION = (
    "a licensed person has confirmed the LP-gas equipment and the service manager records it; "
    "this answer does not approve the conversion"
)


def of_fuels(decision: Decision) -> Answer:
    return finding(decision, "fuels").outcome


def test_a_record_of_the_only_fuel_replaces_the_plate() -> None:
    """Rule 1."""
    assert ask(DUAL_PLUG, PLUG_WELL, burning("lpg_vapour", plate=("gasoline",))).verdict is Verdict.CONDITIONAL
    assert ask(GASOLINE_PLUG, PLUG_WELL, burning("lpg_vapour", plate=("gasoline",))).verdict is Verdict.REJECTED


def test_a_record_of_what_burns_today_is_united_with_the_plate() -> None:
    """Rule 1."""
    today = found("lpg_vapour", mode=RecordMode.BURNS_TODAY)
    both = burning(plate=("natural_gas",), fuel_records=(today,))
    assert of_fuels(ask(GAS_PLUG, PLUG_WELL, both)) is Answer.NOT_MET
    assert of_fuels(ask(DUAL_PLUG, PLUG_WELL, both)) is Answer.MET


def test_what_burns_today_without_a_plate_does_not_say_what_else_can_be_burned() -> None:
    """Rule 1."""
    decision = ask(DUAL_PLUG, PLUG_WELL, burning(fuel_records=(found("lpg_vapour", mode=RecordMode.BURNS_TODAY),)))
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == ["fuel as-found"]


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_records_count_in_the_order_they_were_found_in_not_the_order_they_are_given_in(order: tuple[int, int]) -> None:
    """Rule 1: the later only fuel replaces the earlier."""
    records = (found("lpg_vapour", on=date(2025, 1, 1)), found("natural_gas", on=date(2026, 1, 1)))
    application = burning(plate=("natural_gas",), fuel_records=tuple(records[at] for at in order))
    assert of_fuels(ask(GAS_PLUG, PLUG_WELL, application)) is Answer.MET


def test_of_two_records_of_one_day_the_last_given_holds_and_is_the_one_the_conflict_names() -> None:
    """Rule 1."""
    application = burning(plate=("natural_gas",), fuel_records=(found("gasoline"), found("lpg_vapour")))
    decision = ask(DUAL_PLUG, PLUG_WELL, application)
    assert of_fuels(decision) is Answer.MET
    (conflict,) = decision.conflicts
    assert conflict == "Plate says natural gas, found on LP-gas vapour 2026-01-12, the only fuel it can burn now."


@pytest.mark.parametrize("plug", [GASOLINE_PLUG, GAS_PLUG, DUAL_PLUG])
def test_on_the_plate_alone_a_part_with_a_fuel_role_is_undetermined_and_nothing_is_rejected(plug: Part) -> None:
    """Rule 1: the question is whether the plate still holds, and it is the only one."""
    decision = ask(plug, PLUG_WELL, by_plate("natural_gas"))
    assert decision.verdict is Verdict.UNDETERMINED
    assert [fact.question for fact in decision.missing] == [
        "What does the engine burn today: still natural gas, as the plate says? Look at the engine."
    ]


def test_on_the_plate_alone_a_part_whose_fuels_are_not_recorded_is_asked_nothing_else() -> None:
    """Rule 1."""
    decision = ask(without(GAS_PLUG, "fuels"), PLUG_WELL, by_plate("natural_gas"))
    assert asked(decision) == ["fuel as-found"]


def test_on_the_plate_alone_a_part_without_a_fuel_role_is_judged() -> None:
    """Rule 1."""
    drive = place("belt", {"belt_length": codes("1100")})
    assert ask(BELT, drive, by_plate("natural_gas")).verdict is Verdict.ACCEPTED


def test_on_the_plate_alone_the_specified_parts_fuel_dependent_values_refuse_nothing() -> None:
    """Rules 1 and 4: a value lent for the plate's fuel says nothing while the fuel burned is not known."""
    specified = part("4470-2", "plug", {"heat_range": GAS_PLUG.offers["heat_range", None][0].value})
    cold = with_value(without(DUAL_PLUG, "heat_range"), {"heat_range": GASOLINE_PLUG.at(("heat_range", None))[0].value})
    bare_well = replace(PLUG_WELL, demands={})
    decision = ask(cold, bare_well, by_plate("natural_gas"), says(specified), built_for=("natural_gas",))
    assert finding(decision, "heat_range").outcome is Answer.UNKNOWN
    assert asked(decision)[0] == "fuel as-found"


def test_a_told_yes_settles_the_fuel_by_the_plate() -> None:
    """Rule 1: plate and owner agree."""
    assert ask(GAS_PLUG, PLUG_WELL, by_plate("natural_gas", told_as_plate=True)).verdict is Verdict.ACCEPTED
    assert ask(GASOLINE_PLUG, PLUG_WELL, by_plate("natural_gas", told_as_plate=True)).verdict is Verdict.REJECTED


def test_a_told_yes_without_a_plate_settles_nothing() -> None:
    """Rule 1."""
    decision = ask(GAS_PLUG, PLUG_WELL, by_plate(told_as_plate=True))
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == ["fuel as-found"]


def test_a_told_yes_does_not_outweigh_what_was_found() -> None:
    """Rule 1."""
    assert of_fuels(ask(GAS_PLUG, PLUG_WELL, replace(CONVERTED, told_as_plate=True))) is Answer.NOT_MET


@pytest.mark.parametrize("candidate", [DUAL_PLUG, GAS_PLUG, VAPOUR_INJECTOR, BELT, HYDRAULIC_HOSE])
def test_a_record_that_differs_from_the_plate_is_said_on_every_answer(candidate: Part) -> None:
    """Rule 1."""
    for where in (PLUG_WELL, VAPOUR_RAIL, place("belt"), place("fuel_hose")):
        decision = ask(candidate, where, CONVERTED)
        assert "Plate says natural gas, found on LP-gas vapour 2026-01-12" in decision.conflicts[0]


def test_a_conversion_without_paper_is_a_condition_on_every_part_with_a_fuel_role_and_on_no_other() -> None:
    """Rule 1."""
    for candidate, where in ((DUAL_PLUG, PLUG_WELL), (VAPOUR_INJECTOR, VAPOUR_RAIL)):
        decision = ask(candidate, where, CONVERTED)
        assert decision.verdict is Verdict.CONDITIONAL
        assert decision.conditions == (CONVERSION,)
        assert decision.headline == f"Use it only if {CONVERSION}."
    belt = ask(BELT, place("belt", {"belt_length": codes("1100")}), CONVERTED)
    assert (belt.verdict, belt.conditions) == (Verdict.ACCEPTED, ())


def test_the_service_manager_records_a_conversion_also_for_a_part_that_carries_gas() -> None:
    """Rule 1: the licensed person confirms, the manager records."""
    assert ask(VAPOUR_INJECTOR, VAPOUR_RAIL, CONVERTED).approvable_by is Approver.SERVICE_MANAGER


def test_a_conversion_paper_takes_the_condition_away_and_leaves_the_conflict() -> None:
    """Rule 1."""
    papered = burning(plate=("natural_gas",), fuel_records=(found("lpg_vapour", paper=True),))
    decision = ask(VAPOUR_INJECTOR, VAPOUR_RAIL, papered)
    assert (decision.verdict, decision.conditions) == (Verdict.ACCEPTED, ())
    assert decision.conflicts


def test_a_paper_on_an_earlier_record_of_the_same_fuel_is_still_on_record() -> None:
    """Rule 1."""
    records = (found("lpg_vapour", on=date(2024, 5, 6), paper=True), found("lpg_vapour"))
    decision = ask(VAPOUR_INJECTOR, VAPOUR_RAIL, burning(plate=("natural_gas",), fuel_records=records))
    assert decision.conditions == ()
    other = (found("gasoline", on=date(2024, 5, 6), paper=True), found("lpg_vapour"))
    decision = ask(VAPOUR_INJECTOR, VAPOUR_RAIL, burning(plate=("natural_gas",), fuel_records=other))
    assert decision.conditions == (CONVERSION,)


def test_a_record_that_agrees_with_the_plate_is_no_conflict() -> None:
    """Rule 1."""
    today = found("natural_gas", mode=RecordMode.BURNS_TODAY)
    dual = burning(plate=("natural_gas", "lpg_vapour"), fuel_records=(today,))
    assert ask(DUAL_PLUG, PLUG_WELL, dual).conflicts == ()
    assert ask(DUAL_PLUG, PLUG_WELL, burning("natural_gas", "lpg_vapour")).conflicts == ()


def test_an_engine_left_with_one_fuel_of_its_plate_differs_from_the_plate() -> None:
    """Rule 1: the other system was removed or sealed."""
    decision = ask(DUAL_PLUG, PLUG_WELL, burning("lpg_vapour", plate=("natural_gas", "lpg_vapour")))
    assert decision.conflicts == (
        "Plate says natural gas and LP-gas vapour, found on LP-gas vapour 2026-01-12, the only fuel it can burn now.",
    )
    assert decision.conditions == (CONVERSION,)


def test_a_conversion_is_not_approved_by_what_the_engines_maker_specifies() -> None:
    """Rules 1 and 3."""
    decision = ask(DUAL_PLUG, PLUG_WELL, CONVERTED, says(DUAL_PLUG, any_fuel=("lpg_vapour",)))
    assert decision.conditions == (CONVERSION,)


@pytest.mark.parametrize("certified", [True, None])
def test_an_emission_listed_part_that_is_not_specified_is_at_best_conditional_on_a_certified_engine(
    certified: bool | None,
) -> None:
    """Rule 1; not knowing whether the engine is certified is said in the condition."""
    decision = ask(DUAL_PLUG, PLUG_WELL, replace(ON_VAPOUR, certified=certified))
    assert decision.verdict is Verdict.CONDITIONAL
    assert "emissions are not harmed" in decision.conditions[0]
    assert ("not emission-certified" in decision.conditions[0]) is (certified is None)


def test_an_emission_listed_part_that_the_engines_maker_specifies_needs_no_such_condition() -> None:
    """Rule 1."""
    certified = replace(ON_VAPOUR, certified=True)
    assert ask(DUAL_PLUG, PLUG_WELL, certified, says(DUAL_PLUG, any_fuel=("lpg_vapour",))).verdict is Verdict.ACCEPTED


def test_removing_an_emission_control_is_rejected_and_called_by_its_name() -> None:
    """Rule 1: a plain muffler for a catalyst of the same flange."""
    catalyst = part("C-77", "exhaust", {"fuels": codes("lpg_vapour"), "emission_control": codes("three_way"),
                                        "flange": codes("F4")})  # fmt: skip
    muffler = part("C-70", "exhaust", {"fuels": codes("lpg_vapour"), "emission_control": codes("none"),
                                       "flange": codes("F4")})  # fmt: skip
    graded = burning("lpg_vapour:HD-5", certified=True)
    decision = ask(muffler, place("exhaust"), graded, says(catalyst))
    assert decision.verdict is Verdict.REJECTED
    assert decision.headline == ("Emission control removed: emission control none where three way is asked, "
                                 "as the part specified here has.")  # fmt: skip
    assert finding(decision, "flange").effect is Effect.NONE


def test_as_built_places_are_judged_by_what_reaches_them_and_not_by_what_the_specification_had() -> None:
    """Rule 1: the place of a converted machine stands for itself."""
    as_built = replace(VAPOUR_RAIL, ports=(reaches("inlet", "LPG-VI"),), as_built=True)
    assert finding(ask(VAPOUR_INJECTOR, as_built, CONVERTED), "fuel_service").outcome is Answer.MET


def test_an_application_of_which_nothing_is_known_asks_what_is_burned() -> None:
    """Rule 1."""
    decision = ask(DUAL_PLUG, PLUG_WELL, Application(specification="E", certified=False))
    assert asked(decision) == ["fuel as-found"]
    assert decision.missing[0].question == (
        "What does the engine burn today, and can it burn anything else? Look at the engine."
    )


def test_a_plate_without_a_grade_is_not_a_second_fuel_beside_a_record_that_names_it() -> None:
    """Rule 1: plate gasoline, found on gasoline E10, is one fuel."""
    graded = FuelRecord((Fuel("gasoline", "E10"),), RecordMode.BURNS_TODAY, date(2026, 1, 12))
    decision = ask(GASOLINE_PLUG, PLUG_WELL, burning(plate=("gasoline",), fuel_records=(graded,)))
    assert (of_fuels(decision), decision.conflicts) == (Answer.MET, ())
