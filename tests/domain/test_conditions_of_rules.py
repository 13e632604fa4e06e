"""When a rule is asked at all, and what is read together by one comparison. Parts and figures are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import Answer, Effect, TakenOver, Verdict
from catalog.domain.applicability import Application
from catalog.domain.quantities import quantity
from catalog.domain.rules import FuelRole, MateTable, Rulebook, Tables, Tolerance, When, WhenFact
from catalog.domain.values import Value
from tests.domain.bench_parts import (
    ON_GASOLINE,
    ON_LPG,
    K,
    Values,
    ask,
    asked,
    at_inlet,
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
INDOORS = (When(WhenFact.PLACE_OF_USE, ("indoors",)),)
STRENGTH = rule("strength", K.AT_LEAST)
SEAL = rule("seal", K.EQUALS, when=INDOORS)
BOTH = book(category(STRENGTH, SEAL))
POSITION = place({"strength": kpa("300"), "seal": codes("double")})
SINGLE = part("1", {"strength": kpa("300"), "seal": codes("single")})
DOUBLE = part("2", {"strength": kpa("300"), "seal": codes("double")})


def running(where: str | None) -> Application:
    return replace(ON_GASOLINE, place_of_use=where)


@pytest.mark.parametrize(
    ("where", "verdict"),
    [("indoors", Verdict.REJECTED), ("outdoors", Verdict.ACCEPTED), (None, Verdict.UNDETERMINED)],
)
def test_a_rule_refuses_only_where_its_condition_holds(where: str | None, verdict: Verdict) -> None:
    """Rule 5, `when`."""
    assert ask(BOTH, SINGLE, POSITION, application=running(where)).verdict is verdict


def test_a_rule_whose_condition_does_not_hold_is_not_asked_and_says_so() -> None:
    """Rule 5, `when`."""
    found = finding(ask(BOTH, SINGLE, POSITION, application=running("outdoors")), "seal")
    assert found.effect is Effect.NOT_ASKED
    assert "not asked" in found.text


def test_where_the_condition_is_not_known_what_is_not_met_asks_for_the_fact() -> None:
    """Rule 5, `when`."""
    decision = ask(BOTH, SINGLE, POSITION, application=running(None))
    assert finding(decision, "seal").outcome is Answer.UNKNOWN
    assert asked(decision) == ["place of use"]


def test_where_the_condition_is_not_known_what_is_met_stays_met_and_asks_nothing() -> None:
    """Rule 5, `when`."""
    decision = ask(BOTH, DOUBLE, POSITION, application=running(None))
    assert (decision.verdict, asked(decision)) == (Verdict.ACCEPTED, [])
    assert finding(decision, "seal").outcome is Answer.MET


@pytest.mark.parametrize(("where", "verdict"), [("indoors", Verdict.ACCEPTED), (None, Verdict.UNDETERMINED)])
def test_what_is_met_under_a_condition_not_known_does_not_count_as_something_compared(
    where: str | None, verdict: Verdict
) -> None:
    """Rules 0 and 5: the only rule is one that may not be asked."""
    decision = ask(book(category(SEAL)), DOUBLE, POSITION, application=running(where))
    assert decision.verdict is verdict
    if where is None:
        assert decision.headline.startswith("Nothing to compare")


@pytest.mark.parametrize(
    ("fact", "wanted", "application"),
    [
        (WhenFact.DUSTY, "yes", replace(ON_GASOLINE, dusty=True)),
        (WhenFact.CERTIFIED, "no", replace(ON_GASOLINE, certified=False)),
        (WhenFact.ECU, "yes", replace(ON_GASOLINE, ecu=True)),
        (WhenFact.FUEL_BURNED, "gasoline", ON_GASOLINE),
    ],
)
def test_each_fact_a_rule_may_hang_on_is_heard_and_asked_for(
    fact: WhenFact, wanted: str, application: Application
) -> None:
    """Rule 5, `when`."""
    rules = book(category(STRENGTH, rule("seal", K.EQUALS, when=(When(fact, (wanted,)),))))
    assert ask(rules, SINGLE, POSITION, application=application).verdict is Verdict.REJECTED
    ignorant = ask(rules, SINGLE, POSITION, application=Application(specification="E"))
    assert ignorant.verdict is Verdict.UNDETERMINED
    assert len(ignorant.missing) == 1


@pytest.mark.parametrize(
    ("reaching", "verdict"),
    [(("LPG-CV",), Verdict.REJECTED), (("LPG-VI",), Verdict.ACCEPTED)],
)
def test_a_rule_may_hang_on_the_fuel_service_that_reaches_the_position(
    reaching: tuple[str, ...], verdict: Verdict
) -> None:
    """Rule 5, `when`."""
    seal = rule("seal", K.EQUALS, when=(When(WhenFact.SERVICE_CLASS, ("LPG-CV",)),))
    rules = book(category(STRENGTH, seal, role=FuelRole.WETTED, ports=("inlet",)))
    candidate = part("1", {"strength": kpa("300"), "seal": codes("single"), **for_class("LPG-CV", "LPG-VI")})
    decision = ask(rules, candidate, at_inlet(POSITION, *reaching), application=ON_LPG)
    assert decision.verdict is verdict


def test_conditions_of_a_rule_hold_together_or_not_at_all() -> None:
    """Rule 5: `when` is a conjunction, so one no settles it whatever is unknown."""
    seal = rule("seal", K.EQUALS, when=(*INDOORS, When(WhenFact.DUSTY, ("yes",))))
    rules = book(category(STRENGTH, seal))
    clean = replace(ON_GASOLINE, dusty=False)
    assert ask(rules, SINGLE, POSITION, application=clean).verdict is Verdict.ACCEPTED
    assert ask(rules, SINGLE, POSITION, application=running("indoors")).verdict is Verdict.UNDETERMINED


def test_an_empty_rulebook_and_a_category_without_rules_accept_nothing() -> None:
    """Rule 0."""
    assert ask(Rulebook(), SINGLE, POSITION).verdict is Verdict.UNDETERMINED
    assert ask(book(category()), SINGLE, POSITION).verdict is Verdict.UNDETERMINED


def test_a_rule_that_only_notes_is_no_ground_to_accept_on() -> None:
    """Rule 0: something that could have refused must have been met."""
    colour = rule("colour", K.EQUALS, when_not_met=Effect.NOTE, when_unknown=Effect.NOTE)
    painted = part("1", {"colour": codes("grey")})
    decision = ask(book(category(colour)), painted, place({"colour": codes("grey")}))
    assert decision.verdict is Verdict.UNDETERMINED


CONNECTOR = ("family", "ways", "keying")
PLUGS = Tables(mates={"plugs": MateTable("plugs", CONNECTOR)})
PLUG = book(category(rule("connector", K.MATES_WITH, CONNECTOR, compare={"table": "plugs"})), tables=PLUGS)
HALF: Values = {"family": codes("f2"), "ways": codes("4"), "keying": codes("a")}


@pytest.mark.parametrize(("keying", "verdict"), [("a", Verdict.ACCEPTED), ("b", Verdict.REJECTED)])
def test_a_connector_mates_where_every_member_of_it_is_the_same(keying: str, verdict: Verdict) -> None:
    """Rule 5, composites."""
    decision = ask(PLUG, part("1", {**HALF, "keying": codes(keying)}), place(HALF))
    assert decision.verdict is verdict


@pytest.mark.parametrize("member", CONNECTOR)
def test_a_member_missing_from_the_part_is_named(member: str) -> None:
    """Rule 5, composites."""
    known: Values = {name: value for name, value in HALF.items() if name != member}
    decision = ask(PLUG, part("1", known), place(HALF))
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == [f"candidate: {member}"]


def test_equal_ways_prove_nothing_where_the_family_is_not_stated() -> None:
    """Rule 5, composites."""
    decision = ask(PLUG, part("1", {"ways": codes("4")}), place({"ways": codes("4")}))
    assert decision.verdict is Verdict.UNDETERMINED


FLOW = ("flow", "at_pressure", "fluid")
INJECTOR = book(
    category(
        rule("flow", K.WITHIN, FLOW, taken_over=TakenOver.SAME,
             compare={"liquids": ("heptane",), "inner": (Tolerance(minus_ppm=1000, plus_ppm=1000),)})
    )
)  # fmt: skip


def flowing(rate: str, at: str, fluid: str = "heptane") -> Values:
    return {"flow": Value(quantity(rate, "mL/min")), "at_pressure": kpa(at, "difference"), "fluid": codes(fluid)}


@pytest.mark.parametrize(
    ("asked_at", "asked_flow", "verdict"),
    [
        ("250", "182.6", Verdict.ACCEPTED),
        ("400", "231", Verdict.ACCEPTED),
        ("300", "200", Verdict.ACCEPTED),
        ("250", "200", Verdict.REJECTED),
        ("400", "200", Verdict.REJECTED),
        ("400", "266.7", Verdict.REJECTED),
    ],
)
def test_a_liquid_flow_is_read_at_the_pressure_asked_for_by_the_square_root(
    asked_at: str, asked_flow: str, verdict: Verdict
) -> None:
    """Rule 5, composites. Orifice flow of a liquid: 300 to 250 kPa is x 0.913, 300 to 400 kPa is x 1.155."""
    position = place(flowing(asked_flow, asked_at))
    assert ask(INJECTOR, part("1", flowing("200", "300")), position).verdict is verdict


def test_a_gas_flow_is_never_scaled_to_another_pressure() -> None:
    """Rule 5, composites."""
    candidate = part("1", flowing("200", "300", "nitrogen"))
    same, other = (ask(INJECTOR, candidate, place(flowing("200", at, "nitrogen"))) for at in ("300", "250"))
    assert (same.verdict, other.verdict) == (Verdict.ACCEPTED, Verdict.UNDETERMINED)


def test_flows_in_two_fluids_are_not_compared() -> None:
    """Rule 5, composites."""
    decision = ask(INJECTOR, part("1", flowing("200", "300")), place(flowing("200", "300", "gasoline")))
    assert decision.verdict is Verdict.UNDETERMINED


@pytest.mark.parametrize("member", ["at_pressure", "fluid"])
def test_a_flow_without_its_pressure_or_its_fluid_is_no_flow(member: str) -> None:
    """Rule 5, composites."""
    known: Values = {name: value for name, value in flowing("200", "300").items() if name != member}
    decision = ask(INJECTOR, part("1", known), place(flowing("200", "300")))
    assert decision.verdict is Verdict.UNDETERMINED
    assert any(member.replace("_", " ") in name for name in asked(decision))


def test_a_part_specified_here_lends_its_flow_with_the_pressure_it_is_stated_at() -> None:
    """Rules 4 and 5."""
    specified = says(part("9", flowing("200", "300")))
    same, more = (
        ask(INJECTOR, part("1", flowing(rate, "400")), place(), specified).verdict for rate in ("231", "266.7")
    )
    assert (same, more) == (Verdict.ACCEPTED, Verdict.REJECTED)
