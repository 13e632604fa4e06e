"""What an answer says first, which facts it asks for, and what it never asks. Parts and figures are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from catalog.domain.answers import Aspect, Effect, TakenOver, Verdict
from catalog.domain.applicability import Application
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.parts import Part, Statement, StatementKind
from catalog.domain.questions import Decision
from catalog.domain.rules import Approver, FuelRole
from tests.domain.bench_parts import (
    ON_GASOLINE,
    K,
    Values,
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
SHUTS = rule("shuts", K.EQUALS, aspect=Aspect.SHUT_OFF, rank=90)
FIRST, SECOND = rule("first", K.EQUALS, rank=1), rule("second", K.EQUALS, rank=2)
# The rules stand in the reverse of the order that they lead in.
RULES = book(
    category(SECOND, FIRST, SHUTS, role=FuelRole.WETTED, ports=("inlet",)),
    category(code="other"),
)
NEEDS: Values = {"first": codes("a"), "second": codes("a"), "shuts": codes("a")}
POSITION = at_inlet(place(NEEDS), "GAS-PI")


def offered(*, wrong: tuple[str, ...] = (), absent: tuple[str, ...] = (), kind: str = "thing") -> Part:
    values: Values = {name: codes("b" if name in wrong else "a") for name in NEEDS if name not in absent}
    if "gate" not in absent:
        values |= for_class("LPG-VI" if "gate" in wrong else "GAS-PI")
    return part("1", values, kind)


def excluding(one: Part) -> Statement:
    return says(one, StatementKind.EXCLUDED)


ALL = ("gate", "shuts", "first", "second")


@pytest.mark.parametrize(
    ("wrong", "excluded", "kind", "leads"),
    [
        (ALL, True, "other", "GASOLINE"),
        (ALL[1:], True, "other", "Shuts:"),
        (ALL[2:], True, "other", "VRD excludes"),
        (ALL[2:], False, "other", "Other offered"),
        (ALL[2:], False, "thing", "First:"),
        (ALL[3:], False, "thing", "Second:"),
    ],
)
def test_of_all_that_refuses_the_headline_names_what_leads(
    wrong: tuple[str, ...], excluded: bool, kind: str, leads: str
) -> None:
    """Rule 6: gate, shut-off and emission, exclusion, category, then the rule's own rank."""
    candidate = offered(wrong=wrong, kind=kind)
    decision = ask(RULES, candidate, POSITION, *([excluding(candidate)] if excluded else []))
    assert decision.verdict is Verdict.REJECTED
    if leads == "GASOLINE":
        assert decision.findings[0].attribute == "fuel_service"
        assert decision.headline == decision.findings[0].text
    else:
        assert decision.headline.startswith(leads)


def test_what_is_open_never_leads_what_refuses() -> None:
    """Rule 6."""
    decision = ask(RULES, offered(wrong=("second",), absent=("gate", "first")), POSITION)
    assert decision.headline.startswith("Second:")


def test_findings_come_in_the_order_they_decide_in() -> None:
    """Rule 6."""
    decision = ask(RULES, offered(wrong=("second",), absent=("first",)), POSITION)
    assert [found.attribute for found in decision.findings][:2] == ["second", "first"]


def test_an_answer_that_is_already_refused_asks_for_nothing() -> None:
    """Rule 6: only facts that can still change the verdict."""
    assert asked(ask(RULES, offered(wrong=("first",), absent=("gate", "second")), POSITION)) == []


def test_every_fact_that_can_still_change_the_verdict_is_asked_as_a_question() -> None:
    """Rule 6."""
    decision = ask(RULES, offered(absent=("first", "second")), POSITION)
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == ["candidate: first", "candidate: second"]
    assert all("?" in fact.question for fact in decision.missing)


SOFT = rule("soft", K.EQUALS, when_not_met=Effect.CONDITION, when_unknown=Effect.CONDITION)


def test_what_could_at_most_be_a_condition_is_not_asked_beside_a_condition_that_stands() -> None:
    """Rule 6: decisive facts only."""
    standing = replace(SOFT, code="standing", name="standing", attributes=("standing",))
    rules = book(category(FIRST, SOFT, standing))
    position = place({"first": codes("a"), "soft": codes("a"), "standing": codes("a")})
    beside = part("1", {"first": codes("a"), "standing": codes("b")})
    alone = part("1", {"first": codes("a"), "standing": codes("a")})
    verdicts = [(ask(rules, one, position).verdict, asked(ask(rules, one, position))) for one in (beside, alone)]
    assert verdicts == [(Verdict.CONDITIONAL, []), (Verdict.CONDITIONAL, ["candidate: soft"])]


def test_what_can_refuse_is_asked_before_what_can_only_leave_it_open() -> None:
    """Rule 6: most decisive first, although the open finding leads the answer."""
    opening = rule("opening", K.EQUALS, when_not_met=Effect.NOTE)
    refusing = rule("refusing", K.EQUALS, when_unknown=Effect.CONDITION)
    position = place({"first": codes("a"), "opening": codes("a"), "refusing": codes("a")})
    decision = ask(book(category(FIRST, opening, refusing)), part("1", {"first": codes("a")}), position)
    assert decision.findings[0].attribute == "opening"
    assert asked(decision) == ["candidate: refusing", "candidate: opening"]


def test_conditions_are_said_in_words_and_each_once() -> None:
    """Rule 6."""
    one, other = (
        replace(SOFT, code=code, name=code, attributes=(code,), condition="it is tried") for code in ("s", "t")
    )
    position = place({"first": codes("a"), "s": codes("a"), "t": codes("a")})
    decision = ask(
        book(category(FIRST, one, other)), part("1", {"first": codes("a"), "s": codes("b"), "t": codes("b")}), position
    )
    assert decision.conditions == ("it is tried",)
    assert decision.headline == "Use it only if it is tried."


def test_an_answer_that_refuses_offers_no_conditions() -> None:
    """Rule 6."""
    position = place({"first": codes("a"), "soft": codes("a")})
    decision = ask(book(category(FIRST, SOFT)), part("1", {"first": codes("b"), "soft": codes("b")}), position)
    assert (decision.verdict, decision.conditions) == (Verdict.REJECTED, ())


def test_an_accepted_part_is_named_with_what_it_meets_or_who_specifies_it() -> None:
    """Rule 6."""
    good = offered()
    plain, specified = ask(RULES, good, POSITION), ask(RULES, good, POSITION, says(good))
    assert plain.headline == "VRD 1 meets all that the place asks."
    assert specified.headline == (
        "The engine's maker specifies VRD 1 for this position on an engine that burns gasoline."
    )


def converted(*, paper: bool) -> Application:
    record = FuelRecord((Fuel("lpg_vapour"),), RecordMode.ONLY_FUEL, date(2026, 3, 2), paper)
    return Application(specification="E", plate_fuels=(Fuel("gasoline"),), fuel_records=(record,))


def on_a_conversion(*, paper: bool, first: str = "a") -> Decision:
    values: Values = {"first": codes(first), **for_class("LPG-VI")}
    softened = replace(FIRST, when_not_met=Effect.CONDITION, condition="it is tried")
    rules = book(category(rule("sure", K.EQUALS), softened, role=FuelRole.WETTED, ports=("inlet",)))
    position = at_inlet(place({"first": codes("a"), "sure": codes("a")}), "LPG-VI")
    candidate = part("1", {**values, "sure": codes("a")})
    return ask(rules, candidate, position, application=converted(paper=paper))


def test_a_conversion_without_paper_is_recorded_by_the_service_manager() -> None:
    """Rules 1 and 6: the condition on the conversion stays the manager's although the part carries gas."""
    decision = on_a_conversion(paper=False)
    assert (decision.verdict, decision.approvable_by) == (Verdict.CONDITIONAL, Approver.SERVICE_MANAGER)
    assert "does not approve the conversion" in decision.headline


def test_another_condition_beside_the_conversion_asks_for_the_gas_technician() -> None:
    """Rules 1 and 6: every condition has to be approvable by the one asked."""
    decision = on_a_conversion(paper=False, first="b")
    assert (len(decision.conditions), decision.approvable_by) == (2, Approver.GAS_TECHNICIAN)


@pytest.mark.parametrize("paper", [True, False])
def test_a_record_that_differs_from_the_plate_is_a_conflict_on_every_answer(paper: bool) -> None:
    """Rule 1."""
    decision = on_a_conversion(paper=paper)
    assert decision.verdict is (Verdict.ACCEPTED if paper else Verdict.CONDITIONAL)
    assert decision.conflicts == (
        "Plate says gasoline, found on LP-gas vapour 2026-03-02, the only fuel it can burn now.",
    )


def test_a_lent_demand_is_named_as_what_the_specified_part_has() -> None:
    """Rules 4 and 6: a sentence says where its demand comes from."""
    lending = book(category(replace(FIRST, taken_over=TakenOver.SAME)))
    specified = says(part("9", {"first": codes("a")}))
    decision = ask(lending, part("1", {"first": codes("b")}), place(), specified, application=ON_GASOLINE)
    assert decision.headline == "First: b where a is asked, as the part specified here has."
