"""What the part specified here, and the part found on the engine, ask of another one. Figures are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import Answer, Basis, Effect, TakenOver, Verdict
from catalog.domain.applicability import Application
from catalog.domain.fuels import Fuel
from catalog.domain.parts import StatementKind
from catalog.domain.rules import When, WhenFact
from tests.domain.bench_parts import (
    ON_GASOLINE,
    ON_LPG,
    K,
    ask,
    asked,
    book,
    category,
    codes,
    finding,
    kpa,
    mm,
    part,
    place,
    rule,
    says,
)

pytestmark = pytest.mark.domain
LESS, MORE = kpa("200"), kpa("400")
SPECIFIED = says(part("9", {"strength": kpa("300")}))


@pytest.mark.parametrize(
    ("taken_over", "less", "more"),
    [
        (TakenOver.SAME, Answer.NOT_MET, Answer.NOT_MET),
        (TakenOver.PROTECTS, Answer.NOT_MET, Answer.MET),
        (TakenOver.CAPACITY, Answer.UNKNOWN, Answer.MET),
        (TakenOver.NONE, Answer.UNKNOWN, Answer.UNKNOWN),
    ],
)
def test_what_the_specified_part_has_means_what_the_rule_says_it_means(
    taken_over: TakenOver, less: Answer, more: Answer
) -> None:
    """Rule 4: same, protects, capacity and none."""
    rules = book(category(rule("strength", K.AT_LEAST, taken_over=taken_over)))
    found = [
        finding(ask(rules, part("1", {"strength": size}), place(), SPECIFIED), "strength").outcome
        for size in (LESS, MORE)
    ]
    assert found == [less, more]


def test_less_capacity_than_the_specified_part_asks_what_the_position_needs() -> None:
    """Rule 4."""
    rules = book(category(rule("strength", K.AT_LEAST, taken_over=TakenOver.CAPACITY)))
    decision = ask(rules, part("1", {"strength": LESS}), place(), SPECIFIED)
    assert decision.verdict is Verdict.UNDETERMINED
    assert "position: strength" in asked(decision)


def test_a_recorded_lesser_capacity_is_more_than_a_word_for_the_supplier() -> None:
    """Components 1.1: "supplier to state" is for a value that is unknown; rule 4: less is asked of the position."""
    rules = book(category(
        rule("width", K.EQUALS),
        rule("strength", K.AT_LEAST, taken_over=TakenOver.CAPACITY, when_unknown=Effect.CONDITION),
    ))  # fmt: skip
    position = place({"width": mm("10")})
    lesser = ask(rules, part("1", {"width": mm("10"), "strength": LESS}), position, SPECIFIED)
    silent = ask(rules, part("1", {"width": mm("10")}), position, SPECIFIED)
    assert (lesser.verdict, asked(lesser)) == (Verdict.UNDETERMINED, ["position: strength"])
    assert (silent.verdict, silent.conditions) == (Verdict.CONDITIONAL, ("the supplier states the strength",))


def test_a_record_against_a_statement_is_no_word_for_the_supplier() -> None:
    """Rule 3: a recorded contradiction makes it undetermined, whatever an unknown value would do."""
    rules = book(category(rule("strength", K.AT_LEAST, when_unknown=Effect.CONDITION)))
    weak = part("1", {"strength": LESS})
    for kind in (StatementKind.SPECIFIED, StatementKind.LISTED):
        decision = ask(rules, weak, place({"strength": kpa("300")}), says(weak, kind))
        assert decision.verdict is Verdict.UNDETERMINED


def test_what_would_be_refused_indoors_waits_for_the_place() -> None:
    """Rule 5: with a condition of the rule unknown, what is not met asks for that fact and is no mere condition."""
    indoors = (When(WhenFact.PLACE_OF_USE, ("indoor",)),)
    rules = book(category(
        rule("width", K.EQUALS), rule("strength", K.AT_LEAST, when=indoors, when_unknown=Effect.CONDITION)
    ))  # fmt: skip
    position = place({"width": mm("10"), "strength": kpa("300")})
    decision = ask(rules, part("1", {"width": mm("10"), "strength": LESS}), position)
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == ["place of use"]


@pytest.mark.parametrize("basis", [Basis.STATED, Basis.COMPUTED])
def test_a_capacity_is_taken_over_only_where_no_need_is_stated_or_computed(basis: Basis) -> None:
    """Rule 4."""
    rules = book(category(rule("strength", K.AT_LEAST, taken_over=TakenOver.CAPACITY)))
    position = place({"strength": kpa("150")}, basis=basis)
    assert ask(rules, part("1", {"strength": LESS}), position, SPECIFIED).verdict is Verdict.ACCEPTED


def test_protection_below_the_specified_part_is_refused_even_where_the_stated_need_is_met() -> None:
    """Rule 4: for a rating every demand counts, and a protection is one of them."""
    rules = book(category(rule("strength", K.AT_LEAST, taken_over=TakenOver.PROTECTS)))
    decision = ask(rules, part("1", {"strength": LESS}), place({"strength": kpa("150")}), SPECIFIED)
    assert decision.verdict is Verdict.REJECTED


def test_a_longer_part_than_the_specified_one_is_used_only_if_there_is_room() -> None:
    """Rule 4: clearance."""
    width = rule("width", K.EQUALS)
    length = rule("length", K.AT_MOST, taken_over=TakenOver.CLEARANCE, condition="there is room for the longer body")
    specified, position = says(part("9", {"length": mm("80")})), place({"width": mm("10")})
    longer, same = (
        ask(book(category(width, length)), part("1", {"width": mm("10"), "length": mm(size)}), position, specified)
        for size in ("90", "80")
    )
    assert (longer.verdict, longer.conditions) == (Verdict.CONDITIONAL, ("there is room for the longer body",))
    assert same.verdict is Verdict.ACCEPTED


SAME = book(category(rule("thread", K.EQUALS, taken_over=TakenOver.SAME)))
M8, M10 = part("8", {"thread": codes("m8")}), part("10", {"thread": codes("m10")})


def test_two_parts_specified_here_that_disagree_leave_it_open_and_both_refusing_is_a_refusal() -> None:
    """Rule 4: lenders have to agree."""
    both = says(M8), says(M10)
    assert ask(SAME, part("1", {"thread": codes("m8")}), place(), *both).verdict is Verdict.UNDETERMINED
    assert ask(SAME, part("1", {"thread": codes("m12")}), place(), *both).verdict is Verdict.REJECTED


@pytest.mark.parametrize("thread", ["m8", "m12"])
def test_a_part_that_only_may_be_specified_here_settles_nothing_and_asks_for_its_fact(thread: str) -> None:
    """Rule 4."""
    perhaps = says(M8, places=("indoors",))
    decision = ask(SAME, part("1", {"thread": codes(thread)}), place(), perhaps)
    assert decision.verdict is Verdict.UNDETERMINED
    assert "place of use" in asked(decision)
    settled = replace(ON_GASOLINE, place_of_use="indoors")
    known = ask(SAME, part("1", {"thread": codes(thread)}), place(), perhaps, application=settled)
    assert known.verdict is (Verdict.ACCEPTED if thread == "m8" else Verdict.REJECTED)


@pytest.mark.parametrize(
    ("application", "fuel_dependent", "verdict"),
    [
        (ON_GASOLINE, True, Verdict.ACCEPTED),
        (ON_LPG, True, Verdict.UNDETERMINED),
        (ON_LPG, False, Verdict.ACCEPTED),
    ],
)
def test_what_depends_on_the_fuel_is_not_lent_to_an_engine_on_another_fuel(
    application: Application, fuel_dependent: bool, verdict: Verdict
) -> None:
    """Rule 4."""
    rules = book(
        category(rule("thread", K.EQUALS, taken_over=TakenOver.SAME)),
        attributes={"thread": {"fuel_dependent": fuel_dependent}},
    )
    decision = ask(rules, part("1", {"thread": codes("m8")}), place(), says(M8), application=application,
                   built_for=(Fuel("gasoline"),))  # fmt: skip
    assert decision.verdict is verdict
    assert ("position: thread" in asked(decision)) is (verdict is Verdict.UNDETERMINED)


@pytest.mark.parametrize(("geometry", "verdict"), [(True, Verdict.ACCEPTED), (False, Verdict.UNDETERMINED)])
def test_the_part_found_on_the_engine_lends_its_geometry_and_nothing_else(geometry: bool, verdict: Verdict) -> None:
    """Rule 4."""
    rules = book(
        category(rule("thread", K.EQUALS, taken_over=TakenOver.SAME)), attributes={"thread": {"geometry": geometry}}
    )
    candidate = part("1", {"thread": codes("m8")})
    assert ask(rules, candidate, place(), replaces=M8).verdict is verdict
    if geometry:
        assert ask(rules, candidate, place(), replaces=M10).verdict is Verdict.REJECTED
        assert ask(rules, candidate, place(), says(M8), replaces=M10).verdict is Verdict.ACCEPTED
