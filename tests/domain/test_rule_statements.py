"""Rule 3, makers' statements: specified, replacing, excluded, listed by the part's own maker, listed by a third party.

Common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from catalog.domain.answers import Answer, Aspect, Verdict
from catalog.domain.fuels import RecordMode
from catalog.domain.parts import StatementKind
from catalog.domain.rules import Rulebook
from catalog.domain.serials import Serial, SerialRange
from tests.domain.cast import (
    BELT,
    DUAL_FUEL,
    DUAL_PLUG,
    GAS_PLUG,
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
    says,
    with_value,
    without,
)
from tests.domain.cast_rulebook import RULEBOOK, codes, each, edited

pytestmark = pytest.mark.domain
FROM_205000, TO_204999 = (SerialRange(205000, None),), (SerialRange(None, 204999),)
DRIVE = place("belt", {"belt_length": codes("1100")})
BARE_BELT = without(BELT, "belt_length")


def with_aspect(kind: str, code: str, aspect: Aspect) -> Rulebook:
    known = RULEBOOK.categories[kind]
    rules = tuple(replace(r, aspect=aspect) if r.code == code else r for r in known.rules)
    return edited(categories={**RULEBOOK.categories, kind: replace(known, rules=rules)})


@pytest.mark.parametrize("kind", [StatementKind.SPECIFIED, StatementKind.REPLACEMENT])
def test_what_is_not_recorded_is_met_for_a_part_specified_here_or_its_live_replacement(kind: StatementKind) -> None:
    """Rule 3a."""
    decision = ask(BARE_BELT, DRIVE, ON_VAPOUR, says(BARE_BELT, kind))
    assert decision.verdict is Verdict.ACCEPTED
    assert decision.headline == (
        "The engine's maker specifies VRD 7001 for this position on an engine that burns LP-gas vapour."
    )
    assert ask(BARE_BELT, DRIVE, ON_VAPOUR).verdict is Verdict.UNDETERMINED


def test_a_recorded_contradiction_of_a_specified_part_is_undetermined_and_a_data_error() -> None:
    """Rule 3a."""
    short = part("7001", "belt", {"belt_length": codes("900")})
    decision = ask(short, DRIVE, ON_VAPOUR, says(short))
    assert decision.verdict is Verdict.UNDETERMINED
    (error,) = decision.catalogue_errors
    assert error == (
        "Belt, belt length: the engine's maker specifies it here, and the record of VRD 7001 contradicts it "
        "(900 where 1100 is asked)."
    )
    assert asked(decision) == ["candidate: record against maker's statement"]


def test_sources_that_disagree_about_a_specified_part_are_a_contradiction_where_one_of_them_refuses() -> None:
    """Rules 3a and 5: what is recorded twice is recorded."""
    disputed = with_value(BELT, {"belt_length": codes("900")})
    decision = ask(disputed, DRIVE, ON_VAPOUR, says(disputed))
    assert (decision.verdict, len(decision.catalogue_errors)) == (Verdict.UNDETERMINED, 1)


@pytest.mark.parametrize(
    "facet",
    [{"specification": "F"}, {"any_fuel": ("gasoline",)}, {"all_fuels": ("gasoline",)}, {"places": ("indoor",)}],
)
def test_a_statement_about_another_application_says_nothing(facet: dict[str, Any]) -> None:
    """Rule 3a: specification, fuels and place all have to hold."""
    outdoors = replace(ON_VAPOUR, place_of_use="outdoor")
    decision = ask(BARE_BELT, DRIVE, outdoors, says(BARE_BELT, **facet))
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == ["candidate: belt length"]


def test_a_statement_for_all_fuels_holds_where_nothing_else_is_burned() -> None:
    """Rule 3a."""
    only_gas = says(BARE_BELT, all_fuels=("natural_gas",))
    assert ask(BARE_BELT, DRIVE, burning("natural_gas"), only_gas).verdict is Verdict.ACCEPTED
    assert ask(BARE_BELT, DRIVE, DUAL_FUEL, only_gas).verdict is Verdict.UNDETERMINED
    assert ask(BARE_BELT, DRIVE, DUAL_FUEL, says(BARE_BELT, any_fuel=("natural_gas",))).verdict is Verdict.ACCEPTED


def test_a_statement_for_all_fuels_is_open_while_another_fuel_may_be_burned() -> None:
    """Rules 1 and 3a."""
    today = by_plate(fuel_records=(found("natural_gas", mode=RecordMode.BURNS_TODAY),))
    decision = ask(BARE_BELT, DRIVE, today, says(BARE_BELT, all_fuels=("natural_gas",)))
    assert (decision.verdict, asked(decision)) == (Verdict.UNDETERMINED, ["fuel as-found"])


def test_a_statement_that_hangs_on_an_unknown_fact_settles_nothing_and_asks_for_it() -> None:
    """Rule 3a."""
    indoors = says(BARE_BELT, places=("indoor",))
    decision = ask(BARE_BELT, DRIVE, ON_VAPOUR, indoors)
    assert (decision.verdict, asked(decision)) == (Verdict.UNDETERMINED, ["place of use"])


def test_a_statement_about_another_position_says_nothing_here() -> None:
    """Rule 3a."""
    decision = ask(BARE_BELT, DRIVE, ON_VAPOUR, says(BARE_BELT, at="second_belt"))
    assert decision.verdict is Verdict.UNDETERMINED


def test_what_is_excluded_here_is_rejected_though_all_of_it_matches() -> None:
    """Rule 3b."""
    decision = ask(BELT, DRIVE, ON_VAPOUR, says(BELT, StatementKind.EXCLUDED, by="OLM"))
    assert (decision.verdict, decision.headline) == (Verdict.REJECTED, "OLM excludes VRD 7001 here.")


def test_what_is_specified_and_excluded_is_rejected() -> None:
    """Rule 3b."""
    stated = says(BELT), says(BELT, StatementKind.EXCLUDED)
    assert ask(BELT, DRIVE, ON_VAPOUR, *stated).verdict is Verdict.REJECTED


def test_an_exclusion_that_may_hold_is_undetermined_and_says_that_it_may() -> None:
    """Rule 3b."""
    decision = ask(BELT, DRIVE, ON_VAPOUR, says(BELT, StatementKind.EXCLUDED, by="OLM", serials=FROM_205000))
    assert decision.verdict is Verdict.UNDETERMINED
    assert decision.headline == "Cannot tell whether this engine is one for which OLM excludes VRD 7001."
    assert asked(decision) == ["serial (change at 205000)"]


def test_an_exclusion_of_another_engine_says_nothing_here() -> None:
    """Rule 3b."""
    elsewhere = says(BELT, StatementKind.EXCLUDED, specification="F"), says(BELT, StatementKind.EXCLUDED, at="other")
    assert ask(BELT, DRIVE, ON_VAPOUR, *elsewhere).verdict is Verdict.ACCEPTED


@pytest.mark.parametrize(
    ("serial", "in_no_block", "verdict"),
    [
        (204999, False, Verdict.ACCEPTED), (205000, False, Verdict.REJECTED), (1, False, Verdict.ACCEPTED),
        (None, False, Verdict.UNDETERMINED), (None, True, Verdict.UNDETERMINED),
    ],
)  # fmt: skip
def test_a_part_on_the_other_side_of_a_serial_break_is_rejected_and_an_unknown_serial_asks_for_the_change(
    serial: int | None, in_no_block: bool, verdict: Verdict
) -> None:
    """Rule 3b: at the break itself, one beyond, not given, and of a prefix that no block has."""
    engine = replace(ON_VAPOUR, serial=None if serial is None else Serial("", serial), serial_in_no_block=in_no_block)
    decision = ask(BELT, DRIVE, engine, says(BELT, serials=TO_204999))
    assert decision.verdict is verdict
    if verdict is Verdict.REJECTED:
        assert decision.headline == "VRD 7001 is specified to serial 204999; this engine is serial 205000."
    if verdict is Verdict.UNDETERMINED:
        stray = "; the serial given is in no block of this engine" if in_no_block else ""
        expected = f"Cannot tell whether this engine is meant: VRD 7001 is specified to serial 204999{stray}."
        assert decision.headline == expected
        assert [fact.question for fact in decision.missing] == [
            "Which serial number is on the engine plate (change at 205000)?"
        ]


def test_a_serial_of_another_block_is_not_on_this_side_of_the_break() -> None:
    """Rule 3b: a prefix chooses the block."""
    engine = replace(ON_VAPOUR, serial=Serial("K", 100))
    assert ask(BELT, DRIVE, engine, says(BELT, serials=TO_204999)).verdict is Verdict.REJECTED
    both = (*TO_204999, SerialRange(None, 500, "K"))
    assert ask(BELT, DRIVE, engine, says(BELT, serials=both)).verdict is Verdict.ACCEPTED


def test_several_breaks_are_named_in_their_order_whatever_order_they_were_recorded_in() -> None:
    """Rule 3b."""
    upper, lower = says(BELT, serials=(SerialRange(300000, 399999),)), says(BELT, serials=TO_204999)
    headlines = {ask(BELT, DRIVE, ON_VAPOUR, *stated).headline for stated in ((upper, lower), (lower, upper))}
    assert headlines == {
        "Cannot tell whether this engine is meant: VRD 7001 is specified to serial 204999; serial 300000 to 399999."
    }


def test_a_part_specified_on_both_sides_of_a_break_does_not_hang_on_the_serial() -> None:
    """Rule 3b."""
    stated = says(BARE_BELT, serials=TO_204999), says(BARE_BELT)
    assert ask(BARE_BELT, DRIVE, ON_VAPOUR, *stated).verdict is Verdict.ACCEPTED


def test_a_break_for_a_fuel_that_is_not_burned_here_breaks_nothing() -> None:
    """Rule 3b: specified only on the other side means for this application."""
    engine = replace(ON_VAPOUR, serial=Serial("", 300000))
    stated = says(BELT, serials=TO_204999, any_fuel=("gasoline",))
    assert ask(BELT, DRIVE, engine, stated).verdict is Verdict.ACCEPTED


def test_a_part_that_nobody_specifies_does_not_hang_on_the_serial() -> None:
    """Rule 3b."""
    assert ask(BELT, DRIVE, ON_VAPOUR, says(BARE_BELT, StatementKind.THIRD_PARTY, serials=TO_204999)).missing == ()


@pytest.mark.parametrize("aspect", list(Aspect))
def test_a_listing_by_the_parts_own_maker_settles_fit_and_performance_and_nothing_else(aspect: Aspect) -> None:
    """Rule 3c: never gate, pressure, phase, shut-off, relief, emission."""
    unknown = without(DUAL_PLUG, "heat_range")
    listing = says(unknown, StatementKind.LISTED, by="TSK", any_fuel=("lpg_vapour",))
    decision = ask(unknown, PLUG_WELL, ON_VAPOUR, listing, rulebook=with_aspect("plug", "heat_range", aspect))
    settled = aspect in (Aspect.FIT, Aspect.PERFORMANCE)
    assert (finding(decision, "heat_range").outcome is Answer.MET) is settled
    assert (decision.verdict is Verdict.ACCEPTED) is settled


def test_a_listing_opens_no_gate() -> None:
    """Rules 2 and 3c."""
    for unknown, where in (
        (without(DUAL_PLUG, "fuels"), PLUG_WELL),
        (without(VAPOUR_INJECTOR, "fuel_service"), VAPOUR_RAIL),
    ):
        decision = ask(unknown, where, ON_VAPOUR, says(unknown, StatementKind.LISTED, any_fuel=("lpg_vapour",)))
        assert decision.verdict is Verdict.UNDETERMINED


@pytest.mark.parametrize(
    ("fuels", "settled"), [(("natural_gas", "lpg_vapour"), True), (("lpg_vapour",), False), ((), False)]
)
def test_a_listing_counts_only_for_every_fuel_burned(fuels: tuple[str, ...], settled: bool) -> None:
    """Rule 3c: for this engine and fuel."""
    unknown = without(DUAL_PLUG, "heat_range")
    decision = ask(unknown, PLUG_WELL, DUAL_FUEL, says(unknown, StatementKind.LISTED, by="TSK", any_fuel=fuels))
    assert (decision.verdict is Verdict.ACCEPTED) is settled


def test_a_listing_is_open_while_another_fuel_may_be_burned() -> None:
    """Rules 1 and 3c."""
    unknown = without(DUAL_PLUG, "heat_range")
    listing = says(unknown, StatementKind.LISTED, by="TSK", any_fuel=("lpg_vapour",))
    today = by_plate(fuel_records=(found("lpg_vapour", mode=RecordMode.BURNS_TODAY),))
    assert finding(ask(unknown, PLUG_WELL, today, listing), "heat_range").outcome is Answer.UNKNOWN


def test_a_listing_counts_for_a_branch_part_by_the_fuel_of_its_branch() -> None:
    """Rules 2 and 3c."""
    unknown = without(DUAL_PLUG, "heat_range")
    listing = says(unknown, StatementKind.LISTED, by="TSK", any_fuel=("lpg_vapour",))
    branch = replace(PLUG_WELL, branch="lpg_vapour")
    assert ask(unknown, branch, DUAL_FUEL, listing).verdict is Verdict.ACCEPTED


def test_a_listing_of_a_part_without_a_fuel_role_needs_no_fuel_and_is_the_same_whether_or_not_it_is_known() -> None:
    """Rule 3c."""
    listing = says(BARE_BELT, StatementKind.LISTED)
    for engine in (ON_VAPOUR, by_plate("natural_gas"), DUAL_FUEL):
        assert ask(BARE_BELT, DRIVE, engine, listing).verdict is Verdict.ACCEPTED


def test_a_record_against_a_listing_is_undetermined_and_a_data_error() -> None:
    """Rule 3c: a listing settles no record that refuses; as a refusal it would turn into a yes once taken away."""
    short = part("7001", "belt", {"belt_length": codes("900")})
    decision = ask(short, DRIVE, ON_VAPOUR, says(short, StatementKind.LISTED))
    assert (decision.verdict, len(decision.catalogue_errors)) == (Verdict.UNDETERMINED, 1)


def test_a_list_by_a_third_party_is_never_evidence() -> None:
    """Rule 3d."""
    hint = says(BARE_BELT, StatementKind.THIRD_PARTY)
    assert ask(BARE_BELT, DRIVE, ON_VAPOUR, hint) == ask(BARE_BELT, DRIVE, ON_VAPOUR)
    lent = says(part("7002", "belt", {"belt_length": codes("900")}), StatementKind.THIRD_PARTY)
    assert ask(BELT, place("belt"), ON_VAPOUR, lent) == ask(BELT, place("belt"), ON_VAPOUR)


def test_verdicts_do_not_chain() -> None:
    """Rule 3: each statement is about the part it names, so what stands for a specified part is judged by itself."""
    first, second = part("7002", "belt", {"belt_length": codes("1100")}), without(part("7003", "belt"), "belt_length")
    assert ask(first, DRIVE, ON_VAPOUR, says(BELT)).verdict is Verdict.ACCEPTED
    assert ask(second, DRIVE, ON_VAPOUR, says(BELT), replaces=first).verdict is Verdict.UNDETERMINED


def test_one_part_for_another_says_nothing_of_the_other_for_the_one() -> None:
    """Rule 3."""
    wide = with_value(without(GAS_PLUG, "fuels"), {"fuels": codes("natural_gas", "lpg_vapour")})
    assert ask(wide, PLUG_WELL, burning("natural_gas"), replaces=GAS_PLUG).verdict is Verdict.ACCEPTED
    assert ask(GAS_PLUG, PLUG_WELL, burning("natural_gas", "lpg_vapour"), replaces=wide).verdict is Verdict.REJECTED


def test_a_specified_part_beyond_its_outer_band_is_a_contradiction_and_within_it_stays_a_condition() -> None:
    """Rules 3a and 5."""
    near, far = (part("4475", "plug", {"fuels": codes("lpg_vapour"), "thread": codes("M14"), "heat_range": each(size)})
                 for size in (6, 4))  # fmt: skip
    graded = burning("lpg_vapour:HD-5")
    assert ask(near, PLUG_WELL, graded, says(near)).verdict is Verdict.CONDITIONAL
    assert ask(far, PLUG_WELL, graded, says(far)).verdict is Verdict.UNDETERMINED
