"""Part against part, without an engine: what that can and cannot say. Parts and figures are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Effect, TakenOver, Verdict
from catalog.domain.applicability import Application
from catalog.domain.checking import decide
from catalog.domain.parts import FUELS, Part, StatementKind
from catalog.domain.quantities import quantity
from catalog.domain.questions import Decision, Item, Question
from catalog.domain.rules import FuelRole, MayServe, Rule, Rulebook, When, WhenFact
from catalog.domain.values import Value
from tests.domain.bench_parts import (
    K,
    ask,
    asked,
    book,
    category,
    codes,
    finding,
    for_class,
    kpa,
    part,
    place,
    rule,
    says,
)

pytestmark = pytest.mark.domain
THREAD = rule("thread", K.EQUALS, taken_over=TakenOver.SAME)
STRENGTH = rule("strength", K.AT_LEAST, taken_over=TakenOver.CAPACITY)
RULES = book(category(THREAD, STRENGTH), category(THREAD, code="other"))
OLD = part("9", {"thread": codes("m8"), "strength": kpa("300")})
SAME = part("1", {"thread": codes("m8"), "strength": kpa("300")})


def beside(candidate: Part, replaces: Part | None = OLD, rulebook: Rulebook = RULES) -> Decision:
    return decide(Question(rulebook, (Item(candidate),), Application(), replaces=replaces))


def test_parts_alike_in_all_that_is_recorded_are_still_undetermined() -> None:
    """Without an engine nothing is accepted: the need is the position's, not the old part's."""
    decision = beside(SAME)
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == ["engine"]


def test_a_part_against_itself_is_undetermined_too() -> None:
    """Without an engine."""
    assert beside(OLD).verdict is Verdict.UNDETERMINED


def test_with_nothing_to_replace_and_no_engine_there_is_nothing_to_compare() -> None:
    """Rule 0, without an engine."""
    decision = beside(SAME, None)
    assert decision.verdict is Verdict.UNDETERMINED
    assert decision.headline.startswith("Nothing to compare")


def test_a_conflict_that_no_engine_could_resolve_is_a_refusal() -> None:
    """Without an engine: a thread that has to be the same is not."""
    decision = beside(replace(SAME, offers=part("", {"thread": codes("m10")}).offers))
    assert decision.verdict is Verdict.REJECTED
    assert "m10" in decision.headline
    assert "m8" in decision.headline


@pytest.mark.parametrize(
    "softer",
    [
        replace(THREAD, when=(When(WhenFact.ECU, ("yes",)),)),
        replace(THREAD, when_not_met=Effect.CONDITION),
        replace(THREAD, taken_over=TakenOver.PROTECTS),
        replace(THREAD, taken_over=TakenOver.NONE),
    ],
)
def test_a_difference_that_an_engine_may_not_mind_is_shown_and_refuses_nothing(softer: Rule) -> None:
    """Without an engine."""
    different = part("1", {"thread": codes("m10")})
    decision = beside(different, OLD, book(category(softer)))
    assert decision.verdict is Verdict.UNDETERMINED
    assert finding(decision, "thread").effect is Effect.NOTE


def test_a_difference_that_depends_on_the_fuel_refuses_nothing() -> None:
    """Without an engine: it may burn another fuel than the old part was for."""
    rules = book(category(THREAD), attributes={"thread": {"fuel_dependent": True}})
    assert beside(part("1", {"thread": codes("m10")}), OLD, rules).verdict is Verdict.UNDETERMINED


@pytest.mark.parametrize("strength", ["200", "400"])
def test_less_or_more_of_a_rating_is_shown_beside_the_other_and_refuses_nothing(strength: str) -> None:
    """Without an engine: differences side by side, and the question that would settle them."""
    decision = beside(part("1", {"thread": codes("m8"), "strength": kpa(strength)}))
    assert decision.verdict is Verdict.UNDETERMINED
    text = finding(decision, "strength").text
    assert f"{strength} kPa" in text
    assert "300 kPa" in text
    assert decision.missing[0].question.endswith("?")


def test_what_is_not_recorded_of_the_part_is_said_and_no_conflict() -> None:
    """Rule 5: missing is unknown."""
    decision = beside(part("1"))
    assert decision.verdict is Verdict.UNDETERMINED
    assert "not recorded" in finding(decision, "thread").text


def test_another_category_never_takes_the_place_of_this_one() -> None:
    """Without an engine, rule 0."""
    other = replace(SAME, category="other")
    assert beside(other).verdict is Verdict.REJECTED
    allowed = replace(RULES, may_serve=(MayServe("other", "thing", "", COMMON_PRACTICE),))
    assert beside(other, OLD, allowed).verdict is Verdict.UNDETERMINED


@pytest.mark.parametrize(("service", "verdict"), [("GAS-PI", Verdict.REJECTED), ("LPG-VI", Verdict.UNDETERMINED)])
def test_metering_parts_with_no_fuel_service_in_common_conflict_by_nature(service: str, verdict: Verdict) -> None:
    """Without an engine, rule 2."""
    rules = book(category(THREAD, role=FuelRole.METERING, ports=("inlet",)))
    old, offered = part("9", for_class("LPG-VI")), part("1", for_class(service))
    assert beside(offered, old, rules).verdict is verdict


@pytest.mark.parametrize(("fuel", "verdict"), [("gasoline", Verdict.REJECTED), ("lpg_vapour", Verdict.UNDETERMINED)])
def test_parts_for_fuels_with_nothing_in_common_conflict_by_nature(fuel: str, verdict: Verdict) -> None:
    """Without an engine, rule 2."""
    rules = book(category(THREAD, role=FuelRole.COMBUSTION))
    old, offered = part("9", {FUELS: codes("lpg_vapour")}), part("1", {FUELS: codes(fuel)})
    assert beside(offered, old, rules).verdict is verdict


def test_a_yes_for_one_part_on_an_engine_says_nothing_of_the_way_back() -> None:
    """Rule 3: A in place of B is judged by what A has, and B in place of A by what B has."""
    stronger = part("2", {"thread": codes("m8"), "strength": kpa("400")})
    position = place({"thread": codes("m8"), "strength": kpa("350")})
    forth = ask(RULES, stronger, position, replaces=OLD)
    back = ask(RULES, OLD, position, replaces=stronger)
    assert (forth.verdict, back.verdict) == (Verdict.ACCEPTED, Verdict.REJECTED)


def test_a_statement_about_one_part_is_none_about_the_part_it_is_like() -> None:
    """Rule 3 (d): verdicts do not chain, neither from A to C nor from A back to B."""
    unknown = part("3")
    position = place({"thread": codes("m8"), "strength": kpa("300")})
    for kind in (StatementKind.SPECIFIED, StatementKind.LISTED):
        assert ask(RULES, SAME, position, says(SAME, kind), replaces=unknown).verdict is Verdict.ACCEPTED
        assert ask(RULES, unknown, position, says(SAME, kind), replaces=SAME).verdict is Verdict.UNDETERMINED


def test_several_parts_held_against_one_are_each_named_and_any_conflict_refuses_all() -> None:
    """Rule 7, without an engine."""
    wrong = part("2", {"thread": codes("m10")})
    decision = decide(Question(RULES, (Item(SAME), Item(wrong)), Application(), replaces=OLD))
    assert decision.verdict is Verdict.REJECTED
    assert decision.headline.startswith(f"{wrong.shown}:")


def test_asking_twice_gives_equal_answers() -> None:
    """Equal questions, equal answers, with an engine and without."""
    position = place({"thread": codes("m8"), "strength": kpa("350")})
    assert beside(SAME) == beside(SAME)
    assert ask(RULES, SAME, position, says(OLD)) == ask(RULES, SAME, position, says(OLD))


@pytest.mark.parametrize(("asks", "margin"), [("250", "+250 psi"), ("250.5", "+249.5 psi"), ("500", "0 psi")])
def test_a_margin_has_no_more_figures_than_it_needs(asks: str, margin: str) -> None:
    """500 psi less 250 psi is 250 psi, though neither is a whole number of the steps that pressures are kept in."""
    offered, asked_for = (Value(quantity(amount, "psi", "gauge")) for amount in ("500", asks))
    decision = ask(
        book(category(rule("strength", K.AT_LEAST))), (Item(part("1", {"strength": offered})),),
        place({"strength": asked_for}),
    )  # fmt: skip
    assert finding(decision, "strength").margin == margin
