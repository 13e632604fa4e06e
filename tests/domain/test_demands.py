"""Every demand there is of an attribute, whatever its basis, and which of them count. Figures are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Aspect, Basis, TakenOver, Verdict
from catalog.domain.parts import Part, StatementKind
from catalog.domain.rules import CodeFloor, FuelRole
from catalog.domain.values import Demand, How, Offer, Value
from tests.domain.bench_parts import (
    ON_GASOLINE,
    ON_LPG,
    K,
    also,
    ask,
    asked,
    at_inlet,
    book,
    category,
    codes,
    finding,
    for_class,
    kpa,
    mm,
    part,
    place,
    rule,
    says,
    told,
)

pytestmark = pytest.mark.domain
STRENGTH = rule("strength", K.AT_LEAST)
LESS, MORE = kpa("200"), kpa("400")
PRESSURE = book(category(STRENGTH))
THREAD = book(category(rule("thread", K.EQUALS)))
SAME = book(category(rule("thread", K.EQUALS, taken_over=TakenOver.SAME)))
M8, M10 = part("8", {"thread": codes("m8")}), part("10", {"thread": codes("m10")})


@pytest.mark.parametrize("basis", [Basis.STATED, Basis.COMPUTED, Basis.COUNTER])
def test_a_need_of_any_basis_is_weighed_and_named_with_its_basis(basis: Basis) -> None:
    """Rule 4."""
    position = place({"strength": kpa("300")}, basis=basis)
    weak, strong = (ask(PRESSURE, part("1", {"strength": kpa(size)}), position) for size in ("299", "300"))
    assert (weak.verdict, strong.verdict) == (Verdict.REJECTED, Verdict.ACCEPTED)
    shown = finding(weak, "strength").demand
    assert shown is not None
    assert shown.basis is basis


@pytest.mark.parametrize(("stated", "computed"), [("300", "400"), ("400", "300")])
def test_of_two_needs_of_a_rating_the_more_demanding_counts_and_the_difference_is_said(
    stated: str, computed: str
) -> None:
    """Rule 4."""
    position = also(place({"strength": kpa(stated)}), {"strength": kpa(computed)}, Basis.COMPUTED)
    decision = ask(PRESSURE, part("1", {"strength": kpa("350")}), position)
    assert decision.verdict is Verdict.REJECTED
    (conflict,) = decision.conflicts
    assert "300 kPa" in conflict
    assert "400 kPa" in conflict


def test_a_stated_identity_counts_before_a_computed_one_and_before_the_specified_part() -> None:
    """Rule 4."""
    lending = book(category(rule("thread", K.EQUALS, taken_over=TakenOver.SAME)))
    position = also(place({"thread": codes("m8")}), {"thread": codes("m10")}, Basis.COMPUTED)
    specified = says(part("9", {"thread": codes("m12")}))
    verdicts = [
        ask(lending, part("1", {"thread": codes(thread)}), position, specified).verdict for thread in ("m8", "m10")
    ]
    assert verdicts == [Verdict.ACCEPTED, Verdict.REJECTED]


FLOOR = CodeFloor(("LPG-VI",), "thing", "strength", Demand(kpa("500"), Basis.CODE_FLOOR, COMMON_PRACTICE))
FLOORED = book(category(STRENGTH, role=FuelRole.WETTED, ports=("inlet",)), code_floors=(FLOOR,))


@pytest.mark.parametrize(
    ("stated", "offered", "verdict"),
    [("300", "400", Verdict.REJECTED), ("300", "500", Verdict.ACCEPTED), ("700", "600", Verdict.REJECTED)],
)
def test_a_stated_need_raises_a_code_floor_and_never_lowers_it(stated: str, offered: str, verdict: Verdict) -> None:
    """Rule 4."""
    position = at_inlet(place({"strength": kpa(stated)}), "LPG-VI")
    candidate = part("1", {"strength": kpa(offered), **for_class("LPG-VI")})
    assert ask(FLOORED, candidate, position, application=ON_LPG).verdict is verdict


def test_a_need_below_a_code_floor_is_a_conflict_and_one_above_it_agrees() -> None:
    """Rule 4."""
    candidate = part("1", {"strength": kpa("900"), **for_class("LPG-VI")})
    below, above = (
        ask(FLOORED, candidate, at_inlet(place({"strength": kpa(size)}), "LPG-VI"), application=ON_LPG)
        for size in ("300", "700")
    )
    assert len(below.conflicts) == 1
    assert "published codes" in below.conflicts[0]
    assert above.conflicts == ()


def test_a_code_floor_of_another_class_asks_nothing_here() -> None:
    """Rule 4."""
    position = at_inlet(place({"strength": kpa("300")}), "GAS-PI")
    candidate = part("1", {"strength": kpa("300"), **for_class("GAS-PI")})
    assert ask(FLOORED, candidate, position, application=ON_GASOLINE).verdict is Verdict.ACCEPTED


def test_a_rejecting_rule_that_nothing_asks_anything_of_is_unknown_and_asks_what_the_position_needs() -> None:
    """Rule 4."""
    decision = ask(THREAD, M8, place())
    assert decision.verdict is Verdict.UNDETERMINED
    assert "position: thread" in asked(decision)


def test_it_asks_nothing_of_a_part_specified_here_or_where_only_a_stated_need_is_asked() -> None:
    """Rule 4, and 3 (a) for the part specified here."""
    assert ask(THREAD, M8, place(), says(M8)).verdict is Verdict.ACCEPTED
    only_stated = book(category(STRENGTH, rule("thread", K.EQUALS, only_where_stated=True)))
    assert ask(only_stated, part("1", {"strength": MORE}), place({"strength": LESS})).verdict is Verdict.ACCEPTED


@pytest.mark.parametrize(
    ("sources", "verdict"),
    [(("400", "500"), Verdict.ACCEPTED), (("200", "100"), Verdict.REJECTED), (("200", "400"), Verdict.UNDETERMINED)],
)
def test_sources_that_disagree_are_judged_by_the_answers_they_come_to(
    sources: tuple[str, str], verdict: Verdict
) -> None:
    """Rule 5."""
    one, other = sources
    candidate = part("1", {"strength": kpa(one)}).with_offers(
        {("strength", None): (Offer(kpa(other), COMMON_PRACTICE),)}
    )
    decision = ask(PRESSURE, candidate, place({"strength": kpa("300")}))
    assert decision.verdict is verdict
    if verdict is Verdict.UNDETERMINED:
        text = finding(decision, "strength").text
        assert "200 kPa" in text
        assert "400 kPa" in text


def two_sources(*values: Value) -> Part:
    return replace(part("1"), offers={("strength", None): tuple(Offer(value, COMMON_PRACTICE) for value in values)})


@pytest.mark.parametrize(
    ("seen", "how", "verdict"),
    [
        (MORE, How.MEASURED, Verdict.ACCEPTED),
        (MORE, How.LABEL, Verdict.ACCEPTED),
        (LESS, How.LABEL, Verdict.REJECTED),
        (MORE, How.TOLD, Verdict.UNDETERMINED),
        (kpa("350"), How.MEASURED, Verdict.UNDETERMINED),
    ],
)
def test_the_piece_in_the_hand_settles_which_of_two_sources_is_right_of_it(
    seen: Value, how: How, verdict: Verdict
) -> None:
    """Rule 6: what is asked for can change the verdict. Hearsay, or a third value, leaves both as they are."""
    candidate = two_sources(LESS, MORE)
    open_ = ask(PRESSURE, candidate, place({"strength": kpa("300")}))
    assert open_.verdict is Verdict.UNDETERMINED
    assert "candidate: strength" in asked(open_)
    assert ask(PRESSURE, told(candidate, "strength", seen, how), place({"strength": kpa("300")})).verdict is verdict


def test_one_source_that_the_piece_contradicts_is_not_settled_by_it() -> None:
    """Rule 5: the number may be another, or the measure wrong."""
    candidate = told(part("1", {"strength": LESS}), "strength", MORE, How.MEASURED)
    assert ask(PRESSURE, candidate, place({"strength": kpa("300")})).verdict is Verdict.UNDETERMINED


@pytest.mark.parametrize(("measured", "heard"), [("14.02", ["14 mm"]), ("14.03", ["14 mm", "14.03 mm"])])
def test_a_length_within_what_a_calliper_may_be_off_is_the_recorded_one(measured: str, heard: list[str]) -> None:
    """0.02 mm is what a shop's calliper can be trusted to: common practice, no source."""
    candidate = told(part("1", {"size": mm("14")}), "size", mm(measured), How.MEASURED)
    assert [offer.value.shown() for offer in candidate.at(("size", None))] == heard


@pytest.mark.parametrize(
    "aspect", [Aspect.GATE, Aspect.PHASE, Aspect.PRESSURE, Aspect.SHUT_OFF, Aspect.RELIEF, Aspect.LISTING]
)  # fmt: skip
@pytest.mark.parametrize(
    ("how", "verdict"),
    [(How.TOLD, Verdict.UNDETERMINED), (How.MEASURED, Verdict.ACCEPTED), (How.LABEL, Verdict.ACCEPTED)],
)
def test_what_was_only_told_settles_nothing_that_safety_hangs_on(aspect: Aspect, how: How, verdict: Verdict) -> None:
    """Rule 6."""
    rules = book(category(rule("strength", K.AT_LEAST, aspect=aspect)))
    candidate = told(part("1"), "strength", MORE, how)
    assert ask(rules, candidate, place({"strength": LESS})).verdict is verdict


def test_what_was_told_settles_a_question_of_fit() -> None:
    """Rule 6."""
    candidate = told(part("1"), "strength", MORE, How.TOLD)
    assert ask(PRESSURE, candidate, place({"strength": LESS})).verdict is Verdict.ACCEPTED


def test_a_list_by_somebody_else_is_no_basis_at_all() -> None:
    """Rules 3 (d) and 4: neither evidence for the part nor a demand taken over from it."""
    thirds = says(M8, StatementKind.THIRD_PARTY)
    assert ask(SAME, M8, place(), thirds).verdict is Verdict.UNDETERMINED
    assert ask(SAME, M10, place(), thirds).verdict is Verdict.UNDETERMINED
