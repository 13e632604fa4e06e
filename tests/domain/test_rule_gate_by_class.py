"""Rule 2, the fuel gate by service class: metering parts at a port, and wetted parts with what covers what.

The classes and covers are those published for the trade; how the gate uses them is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import Answer, Effect, Verdict
from catalog.domain.parts import Part, Position
from catalog.domain.questions import Decision
from catalog.domain.values import KNOWN_NONE
from tests.domain.cast import (
    CONTAINER_LINE,
    CONVERTED,
    DUAL_FUEL,
    GASOLINE_INJECTOR,
    HYDRAULIC_HOSE,
    LIQUID_HOSE,
    LIQUID_INJECTOR,
    ON_LIQUID,
    ON_VAPOUR,
    VAPOUR_INJECTOR,
    VAPOUR_RAIL,
    Values,
    ask,
    asked,
    burning,
    by_plate,
    finding,
    part,
    place,
    reaches,
    with_value,
    without,
)
from tests.domain.cast_rulebook import codes, psi

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


def test_a_metering_part_of_the_class_itself_passes() -> None:
    """Rule 2."""
    assert ask(VAPOUR_INJECTOR, VAPOUR_RAIL, ON_VAPOUR).verdict is Verdict.ACCEPTED


def test_a_liquid_injector_in_a_vapour_system_is_rejected_though_everything_else_matches() -> None:
    """Rule 2: the headline is the gate's, and names what the part is for and what is needed."""
    decision = ask(LIQUID_INJECTOR, VAPOUR_RAIL, ON_VAPOUR)
    assert decision.verdict is Verdict.REJECTED
    assert decision.headline == (
        "This injector is made for LP-gas liquid at container pressure (LPG-CL) at the inlet; "
        "here it needs LP-gas vapour to the injectors (LPG-VI)."
    )
    assert finding(decision, "connector").outcome is Answer.MET


@pytest.mark.parametrize("made_for", ["LPG-CL", "LPG-CV", "GAS-PI", "NG-I"])
def test_no_cover_serves_a_metering_part(made_for: str) -> None:
    """Rule 2: what covers a hose covers no injector."""
    assert at_gate(ask(injector(made_for), VAPOUR_RAIL, ON_VAPOUR)) is Answer.NOT_MET


def test_every_class_of_the_place_is_needed_not_one_of_them() -> None:
    """Rule 2: a common injector of a dual-fuel engine."""
    common = replace(VAPOUR_RAIL, ports=(reaches("inlet", "LPG-VI", burning="lpg_vapour"),
                                         reaches("inlet", "NG-I", burning="natural_gas")))  # fmt: skip
    assert at_gate(ask(injector("LPG-VI"), common, DUAL_FUEL)) is Answer.NOT_MET
    assert at_gate(ask(injector("LPG-VI", "NG-I"), common, DUAL_FUEL)) is Answer.MET
    assert at_gate(ask(injector("LPG-VI"), common, ON_VAPOUR)) is Answer.MET


def test_a_port_that_two_classes_reach_on_one_fuel_needs_both() -> None:
    """Rule 2: every class of the place, each for itself."""
    both = replace(VAPOUR_RAIL, ports=(reaches("inlet", "LPG-VI"), reaches("inlet", "LPG-CV")))
    assert at_gate(ask(injector("LPG-VI"), both, ON_VAPOUR)) is Answer.NOT_MET
    assert at_gate(ask(injector("LPG-VI", "LPG-CV"), both, ON_VAPOUR)) is Answer.MET


def test_the_published_reason_stands_beside_a_refusal() -> None:
    """Rule 2 and the table of what never serves what."""
    gas_rail = replace(VAPOUR_RAIL, ports=(reaches("inlet", "NG-I"),))
    headline = ask(VAPOUR_INJECTOR, gas_rail, burning("natural_gas")).headline
    assert headline.startswith("Not made for natural gas: this injector is made for LP-gas vapour to the injectors")
    assert headline.endswith("Natural gas needs 2.5 times the volume.")


def test_each_port_is_judged_by_itself() -> None:
    """Rule 2: a regulator with its ports the wrong way round."""
    outlet = ("fuel_service", "outlet")
    rating: Values = {INLET: codes("LPG-CV"), outlet: codes("LPG-VI"), "max_pressure": psi("350")}
    first_stage = part("R-1", "regulator", rating)
    stands = place("regulator", {"max_pressure": psi("250")}, reaches("inlet", "LPG-CV"), reaches("outlet", "LPG-VI"))
    assert ask(first_stage, stands, ON_VAPOUR).verdict is Verdict.ACCEPTED
    swapped = place("regulator", {}, reaches("inlet", "LPG-VI"), reaches("outlet", "LPG-CV"))
    decision = ask(first_stage, swapped, ON_VAPOUR)
    outcomes = {f.slot: f.outcome for f in decision.findings if f.attribute == "fuel_service"}
    assert outcomes == {"inlet": Answer.NOT_MET, "outlet": Answer.NOT_MET}


def test_a_cover_serves_a_wetted_part_one_way_only() -> None:
    """Rule 2: what is made for liquid at container pressure serves vapour there, never the other way."""
    decision = ask(hose("LPG-CL"), line("LPG-CV"), ON_VAPOUR)
    assert decision.verdict is Verdict.ACCEPTED
    assert finding(decision, "fuel_service").text == (
        "Made for LP-gas liquid at container pressure (LPG-CL), which also serves what reaches the inside here: "
        "LP-gas vapour at container pressure (LPG-CV)."
    )
    assert at_gate(ask(hose("LPG-CV"), line("LPG-CL"), ON_LIQUID)) is Answer.NOT_MET


def test_a_container_outlet_is_never_covered() -> None:
    """Rule 2: liquid withdrawal is not vapour withdrawal nor the reverse."""
    valve = part("V-9", "container_valve", {("fuel_service", "outlet"): codes("LPG-CL"), "max_pressure": psi("400")})
    outlet = place("container_valve", {"max_pressure": psi("250")}, reaches("outlet", "LPG-CV"))
    assert at_gate(ask(valve, outlet, ON_VAPOUR)) is Answer.NOT_MET


def test_covers_do_not_chain_across_fuels() -> None:
    """Rule 2."""
    assert at_gate(ask(hose("LPG-CL"), line("NG-I"), burning("natural_gas"))) is Answer.NOT_MET
    assert at_gate(ask(hose("LPG-CL"), line("CNG-H"), burning("natural_gas"))) is Answer.NOT_MET


@pytest.mark.parametrize("classes", [(), ("LPG-CL",)])
def test_a_place_whose_class_is_not_recorded_is_undetermined_and_asks_what_stands_there(
    classes: tuple[str, ...],
) -> None:
    """Rule 2: unknown on the place's side, whatever the part is made for."""
    unrecorded = replace(CONTAINER_LINE, ports=())
    decision = ask(hose(*classes) if classes else without(LIQUID_HOSE, "fuel_service"), unrecorded, ON_LIQUID)
    assert decision.verdict is Verdict.UNDETERMINED
    assert decision.missing[0].question == (
        "What stands at the container line for LP-gas liquid now, and what reaches its inside?"
    )


def test_a_part_whose_class_is_not_recorded_is_undetermined_and_asks_its_maker() -> None:
    """Rule 2: unknown on the part's side; missing is never a no."""
    decision = ask(without(VAPOUR_INJECTOR, "fuel_service"), VAPOUR_RAIL, ON_VAPOUR)
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == ["candidate: fuel service at the inlet"]
    assert decision.headline == ("Cannot tell whether this injector suits what reaches the inlet: "
                                 "no fuel service class is recorded.")  # fmt: skip


def test_a_fuel_that_no_branch_class_or_record_answers_for_is_undetermined() -> None:
    """Rule 2: a converted engine whose specification knows only the other fuel."""
    gasoline_rail = replace(VAPOUR_RAIL, ports=(reaches("inlet", "GAS-PI", burning="gasoline"),))
    for candidate in (VAPOUR_INJECTOR, GASOLINE_INJECTOR):
        decision = ask(candidate, gasoline_rail, burning("lpg_vapour", plate=("gasoline",)))
        assert decision.verdict is Verdict.UNDETERMINED
        assert "What stands at the injector for LP-gas vapour now" in decision.missing[0].question


def test_one_fuel_answered_for_does_not_answer_for_the_other() -> None:
    """Rule 2: nothing is met while one fuel burned is open, and what the known one refuses stays refused."""
    half = replace(VAPOUR_RAIL, ports=(reaches("inlet", "LPG-VI", burning="lpg_vapour"),))
    assert at_gate(ask(VAPOUR_INJECTOR, half, DUAL_FUEL)) is Answer.UNKNOWN
    assert at_gate(ask(GASOLINE_INJECTOR, half, DUAL_FUEL)) is Answer.NOT_MET


def test_a_branch_known_not_to_burn_here_is_not_on_this_engine() -> None:
    """Rule 2."""
    gas_branch = replace(VAPOUR_RAIL, branch="natural_gas", ports=(reaches("inlet", "NG-I"),))
    decision = ask(injector("NG-I"), gas_branch, CONVERTED)
    assert decision.verdict is Verdict.REJECTED
    assert decision.headline == (
        "The natural gas branch is not on this engine; it burns LP-gas vapour (found 2026-01-12)."
    )


def test_a_branch_that_may_burn_here_is_not_rejected_on_the_plate() -> None:
    """Rules 1 and 2."""
    gas_branch = replace(VAPOUR_RAIL, branch="natural_gas", ports=(reaches("inlet", "NG-I"),))
    assert asked(ask(injector("NG-I"), gas_branch, by_plate("lpg_vapour"))) == ["fuel as-found"]


def test_a_part_in_one_branch_answers_for_that_branch_alone() -> None:
    """Rule 2: the vapour injector of a dual-fuel engine is not asked to suit natural gas."""
    branch = replace(VAPOUR_RAIL, branch="lpg_vapour")
    assert ask(VAPOUR_INJECTOR, branch, DUAL_FUEL).verdict is Verdict.ACCEPTED


def test_the_class_comes_from_the_place_and_never_from_the_fuel_burned() -> None:
    """Rule 2: behind the vaporiser an engine that draws liquid is all vapour."""
    assert at_gate(ask(VAPOUR_INJECTOR, VAPOUR_RAIL, ON_LIQUID)) is Answer.MET
    assert at_gate(ask(LIQUID_INJECTOR, VAPOUR_RAIL, ON_LIQUID)) is Answer.NOT_MET


def test_a_wetted_part_at_a_place_without_fuel_is_not_asked_about_fuel_and_says_so() -> None:
    """Rule 2."""
    dry = place("fuel_hose", {"max_pressure": psi("100")}, carries_fuel=False, name="breather line")
    decision = ask(without(LIQUID_HOSE, "fuel_service"), dry, by_plate("gasoline"))
    assert decision.verdict is Verdict.ACCEPTED
    gate = finding(decision, "fuel_service")
    assert (gate.effect, gate.text) == (
        Effect.NOT_ASKED, "No fuel reaches the breather line; the fuel is not asked."
    )  # fmt: skip


def test_a_part_known_to_be_made_for_no_fuel_is_refused_where_fuel_is_known_to_come() -> None:
    """Rules 2 and 5: known none is a fact, not a gap."""
    none = with_value(without(LIQUID_HOSE, "fuel_service"), {INSIDE: KNOWN_NONE})
    assert at_gate(ask(none, CONTAINER_LINE, ON_LIQUID)) is Answer.NOT_MET
    assert at_gate(ask(none, replace(CONTAINER_LINE, ports=()), ON_LIQUID)) is Answer.UNKNOWN


def test_a_category_not_made_for_fuel_is_refused_and_its_recorded_media_and_fuels_are_shown() -> None:
    """Rule 2: the hydraulic hose with the same ends; whoever asks, and before anyone looked at the engine."""
    for application in (ON_LIQUID, by_plate("lpg_liquid")):
        decision = ask(HYDRAULIC_HOSE, CONTAINER_LINE, application)
        assert decision.verdict is Verdict.REJECTED
        assert decision.headline.endswith("VRD HX-410 is a hydraulic hose, recorded for hydraulic oil, diesel.")
    assert ask(HYDRAULIC_HOSE, CONTAINER_LINE, ON_LIQUID).headline.startswith("Not made for LP-gas: ")
