"""Used, rebuilt and described goods, goods of another category, who approves, and hazards said. Invented throughout."""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Effect, Verdict
from catalog.domain.applicability import Application
from catalog.domain.parts import PartCondition, Position, StatementKind
from catalog.domain.rules import Approver, Category, Caution, FuelRole, MayServe, When, WhenFact
from tests.domain.bench_parts import (
    ON_GASOLINE,
    ON_LPG,
    K,
    ask,
    asked,
    at_inlet,
    book,
    category,
    codes,
    for_class,
    part,
    place,
    rule,
    says,
)

pytestmark = pytest.mark.domain
BORE = rule("bore", K.EQUALS)
WETTED = category(BORE, role=FuelRole.WETTED, ports=("inlet",))
PLACE = place({"bore": codes("8")})
ON_GAS, ON_LIQUID = at_inlet(PLACE, "LPG-VI"), at_inlet(PLACE, "GAS-PI")
GOOD = part("1", {"bore": codes("8"), **for_class("LPG-VI", "GAS-PI")})


@pytest.mark.parametrize(
    ("position", "application", "verdict"),
    [
        (ON_GAS, ON_LPG, Verdict.REJECTED),
        (ON_LIQUID, ON_GASOLINE, Verdict.ACCEPTED),
        (ON_GAS, Application(specification="E"), Verdict.UNDETERMINED),
    ],
)
def test_used_goods_are_refused_where_they_would_carry_gas(
    position: Position, application: Application, verdict: Verdict
) -> None:
    """Rule 7."""
    used = replace(GOOD, condition=PartCondition.USED)
    assert ask(book(WETTED), used, position, application=application).verdict is verdict


def test_used_goods_are_refused_on_gas_even_where_the_maker_specifies_their_number() -> None:
    """Rules 3 and 7."""
    used = replace(GOOD, condition=PartCondition.USED)
    assert ask(book(WETTED), used, ON_GAS, says(used), application=ON_LPG).verdict is Verdict.REJECTED


def test_a_rebuilt_part_is_judged_by_its_own_number_and_nothing_said_of_the_new_one() -> None:
    """Rule 7."""
    rebuilt = part("1-R", for_class("LPG-VI"), condition=PartCondition.REBUILT)
    decision = ask(book(WETTED), rebuilt, ON_GAS, says(GOOD), application=ON_LPG)
    assert decision.verdict is Verdict.UNDETERMINED
    complete = rebuilt.with_offers(part("", {"bore": codes("8")}).offers)
    assert ask(book(WETTED), complete, ON_GAS, says(GOOD), application=ON_LPG).verdict is Verdict.ACCEPTED


def test_goods_known_only_by_a_description_are_never_better_than_conditional() -> None:
    """Rule 7: the goods in hand have to be measured."""
    described = replace(GOOD, described=True)
    for statements in ((), (says(described),), (says(described, StatementKind.LISTED),)):
        decision = ask(book(WETTED), described, ON_GAS, *statements, application=ON_LPG)
        assert decision.verdict is Verdict.CONDITIONAL
        assert "goods in hand are measured" in decision.conditions[0]


def test_what_makers_say_of_a_number_settles_nothing_for_goods_that_only_bear_its_description() -> None:
    """Rules 3 and 7."""
    unmeasured = part("1", for_class("LPG-VI"))
    recorded, described = (
        ask(book(WETTED), one, ON_GAS, says(unmeasured), application=ON_LPG).verdict
        for one in (unmeasured, replace(unmeasured, described=True))
    )
    assert (recorded, described) == (Verdict.ACCEPTED, Verdict.UNDETERMINED)


OTHER = category(BORE, code="other")
PLAIN = category(BORE)
STRANGER = part("1", {"bore": codes("8")}, "other")


def test_a_part_of_another_category_is_refused() -> None:
    """Rule 0."""
    decision = ask(book(PLAIN, OTHER), STRANGER, PLACE)
    assert (decision.verdict, decision.headline) == (Verdict.REJECTED, "Other offered where a thing belongs.")


@pytest.mark.parametrize(
    ("condition", "verdict"), [("", Verdict.ACCEPTED), ("the bracket is changed", Verdict.CONDITIONAL)]
)
def test_a_category_that_may_serve_does_so_with_its_condition_if_it_has_one(condition: str, verdict: Verdict) -> None:
    """Rule 0, `may_serve`."""
    rules = book(PLAIN, OTHER, may_serve=(MayServe("other", "thing", condition, COMMON_PRACTICE),))
    decision = ask(rules, STRANGER, PLACE)
    assert decision.verdict is verdict
    assert decision.conditions == ((condition,) if condition else ())


@pytest.mark.parametrize(
    ("dusty", "verdict"), [(False, Verdict.ACCEPTED), (True, Verdict.REJECTED), (None, Verdict.UNDETERMINED)]
)
def test_a_category_may_serve_only_when_its_row_says_so(dusty: bool | None, verdict: Verdict) -> None:
    """Rule 0, `may_serve`."""
    when = (When(WhenFact.DUSTY, ("no",)),)
    rules = book(PLAIN, OTHER, may_serve=(MayServe("other", "thing", "", COMMON_PRACTICE, when),))
    decision = ask(rules, STRANGER, PLACE, application=replace(ON_GASOLINE, dusty=dusty))
    assert decision.verdict is verdict
    assert ("dusty place" in asked(decision)) is (dusty is None)


def test_a_category_that_may_serve_one_way_does_not_serve_the_other() -> None:
    """Rule 0: the table is directed."""
    rules = book(PLAIN, OTHER, may_serve=(MayServe("thing", "other", "", COMMON_PRACTICE),))
    assert ask(rules, STRANGER, PLACE).verdict is Verdict.REJECTED


MARK = rule("mark", K.EQUALS, when_not_met=Effect.CONDITION, when_unknown=Effect.CONDITION, condition="it is looked at")
MARKED = PLACE.with_demands(place({"mark": codes("m")}).demands)


def marked(role: FuelRole) -> Category:
    return category(BORE, MARK, role=role, ports=("inlet",) if role is FuelRole.WETTED else ())


@pytest.mark.parametrize(
    ("role", "service", "application", "approver"),
    [
        (FuelRole.WETTED, "LPG-VI", ON_LPG, Approver.GAS_TECHNICIAN),
        (FuelRole.WETTED, "GAS-PI", ON_GASOLINE, Approver.SERVICE_MANAGER),
        (FuelRole.NONE, "LPG-VI", ON_LPG, Approver.SERVICE_MANAGER),
    ],
)
def test_a_condition_on_what_carries_gas_is_for_a_gas_technician_to_approve(
    role: FuelRole, service: str, application: Application, approver: Approver
) -> None:
    """Rule 6, and who may approve."""
    place_asked = at_inlet(MARKED, service) if role is FuelRole.WETTED else MARKED
    decision = ask(book(marked(role)), GOOD, place_asked, application=application)
    assert (decision.verdict, decision.approvable_by) == (Verdict.CONDITIONAL, approver)


def test_a_condition_that_nobody_may_approve_leaves_the_answer_without_an_approver() -> None:
    """Rule 6."""
    nobody = replace(MARK, approvable_by=None)
    decision = ask(book(category(BORE, nobody)), GOOD, MARKED)
    assert (decision.verdict, decision.approvable_by) == (Verdict.CONDITIONAL, None)


def test_nobody_is_asked_to_approve_what_is_accepted_open_or_refused() -> None:
    """Rule 6."""
    for value in ("8", "9", None):
        offered = part("1", {"bore": codes(value)} if value else {})
        assert ask(book(PLAIN), offered, PLACE).approvable_by is None


EVERYWHERE = Caution("ev", "Wear gloves.", COMMON_PRACTICE)
ON_LP = Caution("lp", "Heavier than air.", COMMON_PRACTICE, families=("LP-gas",))
INDOORS = Caution("in", "Ventilate.", COMMON_PRACTICE, places=("indoors",))
CAUTIONED = book(
    category(BORE, cautions=("ev", "lp", "in")), cautions={one.code: one for one in (EVERYWHERE, ON_LP, INDOORS)}
)


@pytest.mark.parametrize(
    ("application", "said"),
    [
        (replace(ON_LPG, place_of_use="outdoors"), (EVERYWHERE, ON_LP)),
        (replace(ON_GASOLINE, place_of_use="indoors"), (EVERYWHERE, INDOORS)),
        (replace(ON_GASOLINE, place_of_use="outdoors"), (EVERYWHERE,)),
        (Application(specification="E"), (EVERYWHERE, ON_LP, INDOORS)),
    ],
)
@pytest.mark.parametrize("bore", ["8", "9"])
def test_hazards_are_said_by_fuel_and_place_whatever_the_verdict(
    application: Application, said: tuple[Caution, ...], bore: str
) -> None:
    """Cautions: where the fuel or the place is not known, what may hold is said."""
    decision = ask(CAUTIONED, part("1", {"bore": codes(bore)}), PLACE, application=application)
    assert decision.cautions == said
