"""Adapters, goods by length, tested assemblies, used goods and described ones. Parts and figures are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Aspect, Effect, Verdict
from catalog.domain.applicability import Application
from catalog.domain.fuels import Fuel, FuelDefinition
from catalog.domain.parts import Part, PartCondition, Position, SuppliedAs
from catalog.domain.questions import Decision, Item
from catalog.domain.rules import FuelRole, MateTable, Tables
from tests.domain.bench_parts import (
    FUELS,
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
)

pytestmark = pytest.mark.domain
ENDS = Tables(mates={"ends": MateTable("ends", ("end",))})
JOINT = rule("joint", K.MATES_WITH, ("end",), compare={"table": "ends"}, slots=("inlet",))
STRENGTH = rule("strength", K.AT_LEAST, aspect=Aspect.PRESSURE)
VALVE = category(JOINT, STRENGTH, code="valve", role=FuelRole.METERING, ports=("inlet",))
ENDS_OF_FITTING = rule("ends", K.MATES_WITH, ("end",), compare={"table": "ends"}, slots=("end_a", "end_b"))
FITTING = category(ENDS_OF_FITTING, code="fitting", role=FuelRole.WETTED, ports=("inlet",))
RULES = book(VALVE, FITTING, tables=ENDS)
POSITION = place({("end", "inlet"): codes("flare"), "strength": kpa("300")}, kind="valve")
LPG_POSITION, GASOLINE_POSITION = at_inlet(POSITION, "LPG-VI"), at_inlet(POSITION, "GAS-PI")
ON_CNG = Application(specification="E", plate_fuels=(Fuel("cng"),), told_as_plate=True)


def valve(end: str, service: str = "LPG-VI") -> Part:
    values: Values = {("end", "inlet"): codes(end), "strength": kpa("300"), **for_class(service)}
    return part("1", values, "valve")


def adapter(one_end: str, other_end: str, *, service: str = "LPG-VI", strength: str = "300", number: str = "A") -> Part:
    values: Values = {
        ("end", "end_a"): codes(one_end), ("end", "end_b"): codes(other_end),
        "strength": kpa(strength), **for_class(service),
    }  # fmt: skip
    return part(number, values, "fitting")


def joined(
    candidate: Part, *adapters: Part, position: Position = LPG_POSITION, application: Application = ON_LPG
) -> Decision:
    return ask(RULES, (Item(candidate, adapters=adapters),), position, application=application)


def test_a_part_that_does_not_mate_is_refused_without_an_adapter() -> None:
    """Rule 5, mates with."""
    assert joined(valve("flare")).verdict is Verdict.ACCEPTED
    assert joined(valve("cone")).verdict is Verdict.REJECTED


@pytest.mark.parametrize("ends", [("flare", "cone"), ("cone", "flare")])
def test_an_adapter_that_mates_both_ends_whichever_way_it_is_turned_is_a_condition_with_a_leak_test(
    ends: tuple[str, str],
) -> None:
    """Rule 7."""
    decision = joined(valve("cone"), adapter(*ends))
    assert decision.verdict is Verdict.CONDITIONAL
    assert decision.conditions == ("the joint is made with VRD A and leak-tested",)


@pytest.mark.parametrize("ends", [("cone", "cone"), ("flare", "flare"), ("flare", "thread"), ("thread", "cone")])
def test_an_adapter_that_leaves_either_end_unmated_joins_nothing(ends: tuple[str, str]) -> None:
    """Rule 7."""
    decision = joined(valve("cone"), adapter(*ends))
    assert decision.verdict is Verdict.REJECTED
    assert "does not join" in finding(decision, "joint").text


@pytest.mark.parametrize("ends", [("cone", "cone"), ("flare", "flare")])
def test_an_adapter_named_where_the_part_mates_by_itself_is_left_out_on_condition(ends: tuple[str, str]) -> None:
    """It is meant to be fitted, and nobody has weighed it there; common practice, no source."""
    decision = joined(valve("flare"), adapter(*ends))
    assert decision.verdict is Verdict.CONDITIONAL
    assert decision.conditions == ("VRD A is left out: the part mates here without it",)


def test_an_adapter_is_not_left_out_where_nobody_knows_whether_the_part_mates() -> None:
    """Missing is unknown: it may be what is needed."""
    unread = part("1", {"strength": kpa("300"), **for_class("LPG-VI")}, "valve")
    decision = joined(unread, adapter("flare", "cone"))
    assert (decision.verdict, decision.conditions) == (Verdict.UNDETERMINED, ())
    assert [f.attribute for f in decision.findings if f.attribute == "adapter"] == []


def test_an_adapter_named_for_a_part_that_nothing_joins_is_left_out_on_condition() -> None:
    plain = replace(VALVE, rules=tuple(rule for rule in VALVE.rules if rule.code != "joint"))
    item = Item(valve("flare"), adapters=(adapter("flare", "cone"),))
    decision = ask(book(plain, FITTING, tables=ENDS), (item,), LPG_POSITION, application=ON_LPG)
    assert decision.verdict is Verdict.CONDITIONAL
    assert decision.conditions == ("VRD A is left out: nothing is known here that an adapter would join",)


@pytest.mark.parametrize(
    ("bad", "about"),
    [
        (adapter("flare", "cone", service="GAS-PI"), "fuel_service"),
        (adapter("flare", "cone", strength="200"), "strength"),
        (replace(adapter("flare", "cone"), condition=PartCondition.USED), "condition"),
    ],
)
def test_an_adapter_has_to_pass_gate_and_pressure_itself_and_be_no_used_goods(bad: Part, about: str) -> None:
    """Rule 7."""
    decision = joined(valve("cone"), bad)
    assert decision.verdict is Verdict.REJECTED
    refusals = [found for found in decision.findings if found.effect is Effect.REJECT]
    assert [found.attribute for found in refusals] == [about]
    assert refusals[0].text.startswith("Adapter VRD A: ")


def test_an_adapter_whose_seal_does_not_stand_the_medium_is_refused() -> None:
    """Rule 7."""
    seal = rule("seal", K.ONE_OF, aspect=Aspect.MATERIAL)
    rules = book(replace(VALVE, rules=(*VALVE.rules, seal)), FITTING, tables=ENDS)
    position = LPG_POSITION.with_demands(place({"seal": codes("s1")}).demands)
    good = valve("cone").with_offers(part("", {"seal": codes("s1")}).offers)
    verdicts = [
        ask(rules, (Item(good, adapters=(sealed,)),), position, application=ON_LPG).verdict
        for material in ("s1", "s2")
        for sealed in [adapter("flare", "cone").with_offers(part("", {"seal": codes(material)}).offers)]
    ]
    assert verdicts == [Verdict.CONDITIONAL, Verdict.REJECTED]


def test_an_adapter_with_nothing_recorded_of_it_leaves_the_joint_open() -> None:
    """Rule 7: missing is unknown."""
    decision = joined(valve("cone"), part("A", kind="fitting"))
    assert decision.verdict is Verdict.UNDETERMINED
    assert "adapter VRD A: joint at each end" in [fact.name for fact in decision.missing]


def test_something_of_a_kind_without_such_a_joint_is_no_adapter() -> None:
    """Rule 7."""
    rules = book(VALVE, FITTING, category(code="cap"), tables=ENDS)
    item = Item(valve("cone"), adapters=(part("A", kind="cap"),))
    assert ask(rules, (item,), LPG_POSITION, application=ON_LPG).verdict is Verdict.REJECTED


def test_an_adapter_with_three_ends_would_leave_one_open() -> None:
    """Rule 7."""
    tee = adapter("flare", "cone").with_offers(part("", {("end", "end_c"): codes("cone")}).offers)
    assert "3 ends" in finding(joined(valve("cone"), tee), "joint").text
    assert joined(valve("cone"), tee).verdict is Verdict.REJECTED


def test_what_is_missing_of_an_adapter_is_asked_under_its_name() -> None:
    """Missing is unknown, and nothing about an adapter is taken for a fact about the part."""
    decision = joined(valve("cone"), replace(adapter("flare", "cone"), offers=part("", {
        ("end", "end_a"): codes("flare"), ("end", "end_b"): codes("cone")}).offers))  # fmt: skip
    assert decision.verdict is Verdict.UNDETERMINED
    assert {fact.name.partition(":")[0] for fact in decision.missing} == {"adapter VRD A"}


def test_two_adapters_are_one_joint_too_many_on_gas_and_a_condition_on_a_liquid() -> None:
    """Rule 7."""
    two = [adapter("flare", "thread", number="A"), adapter("thread", "cone", number="B")]
    assert joined(valve("cone"), *two).verdict is Verdict.REJECTED
    liquid = [adapter("flare", "thread", number="A", service="GAS-PI"),
              adapter("thread", "cone", number="B", service="GAS-PI")]  # fmt: skip
    made = joined(valve("cone", "GAS-PI"), *liquid, position=GASOLINE_POSITION, application=ON_GASOLINE)
    assert made.verdict is Verdict.CONDITIONAL
    swapped = joined(valve("cone", "GAS-PI"), *reversed(liquid), position=GASOLINE_POSITION, application=ON_GASOLINE)
    assert swapped.verdict is Verdict.CONDITIONAL
    apart = [liquid[0], adapter("flare", "cone", number="B", service="GAS-PI")]
    alone = joined(valve("cone", "GAS-PI"), *apart, position=GASOLINE_POSITION, application=ON_GASOLINE)
    assert alone.verdict is Verdict.REJECTED


@pytest.mark.parametrize("why", ["a phase-keyed coupling", "a fill coupling", "a relief outlet"])
def test_no_adapter_stands_where_the_position_forbids_one_and_the_reason_is_said(why: str) -> None:
    """Rule 7."""
    decision = joined(valve("cone"), adapter("flare", "cone"), position=replace(LPG_POSITION, adapter_forbidden=why))
    assert decision.verdict is Verdict.REJECTED
    assert why in finding(decision, "adapter").text


def test_no_adapter_stands_on_a_cng_coupling() -> None:
    """Rule 7."""
    cng = FuelDefinition("cng", "compressed natural gas", "CNG", (), "", (), COMMON_PRACTICE)
    rules = replace(RULES, fuels={**FUELS, "cng": cng})
    item = Item(valve("cone", "CNG-H"), adapters=(adapter("flare", "cone", service="CNG-H"),))
    decision = ask(rules, (item,), at_inlet(POSITION, "CNG-H"), application=ON_CNG)
    assert decision.verdict is Verdict.REJECTED
    assert "CNG" in finding(decision, "adapter").text


BORE, LENGTH = rule("bore", K.EQUALS), rule("length", K.EQUALS)
HOSE = category(BORE, LENGTH, code="hose", role=FuelRole.WETTED, ports=("inlet",), assembly_only_classes=("LPG-CV",))
HOSES = book(HOSE, attributes={"length": {"of_piece": True}})
HOSE_PLACE = place({"bore": codes("8"), "length": codes("600")}, kind="hose")


def hose(supplied: SuppliedAs | None, *, length: str | None = None, service: str = "GAS-PI") -> Part:
    values: Values = {"bore": codes("8"), **for_class(service), **({"length": codes(length)} if length else {})}
    return part("H", values, "hose", supplied_as=supplied)


@pytest.mark.parametrize(
    ("supplied", "verdict"),
    [
        (SuppliedAs.CUT_LENGTH, Verdict.ACCEPTED),
        (SuppliedAs.VOLUME, Verdict.ACCEPTED),
        (SuppliedAs.PIECE, Verdict.UNDETERMINED),
        (None, Verdict.UNDETERMINED),
    ],
)
def test_goods_by_length_or_volume_are_not_asked_for_ends_or_length(
    supplied: SuppliedAs | None, verdict: Verdict
) -> None:
    """Rule 7."""
    decision = ask(HOSES, hose(supplied), at_inlet(HOSE_PLACE, "GAS-PI"))
    assert decision.verdict is verdict
    assert (finding(decision, "length").effect is Effect.NOT_ASKED) is (verdict is Verdict.ACCEPTED)


@pytest.mark.parametrize(
    ("supplied", "verdict"),
    [
        (SuppliedAs.TESTED_ASSEMBLY, Verdict.ACCEPTED),
        (SuppliedAs.CUT_LENGTH, Verdict.REJECTED),
        (SuppliedAs.PIECE, Verdict.REJECTED),
        (None, Verdict.UNDETERMINED),
    ],
)
def test_at_container_pressure_only_a_tested_assembly_serves(supplied: SuppliedAs | None, verdict: Verdict) -> None:
    """Rule 7."""
    position = at_inlet(HOSE_PLACE, "LPG-CV")
    decision = ask(HOSES, hose(supplied, length="600", service="LPG-CV"), position, application=ON_LPG)
    assert decision.verdict is verdict
    if supplied is None:
        assert asked(decision) == ["candidate: supplied as"]


def test_below_container_pressure_a_cut_length_serves() -> None:
    """Rule 7."""
    decision = ask(
        HOSES, hose(SuppliedAs.CUT_LENGTH, service="LPG-VI"), at_inlet(HOSE_PLACE, "LPG-VI"), application=ON_LPG
    )
    assert decision.verdict is Verdict.ACCEPTED
