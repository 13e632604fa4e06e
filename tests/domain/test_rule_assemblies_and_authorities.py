"""What a maker names whole, what only an authority may refuse, what one piece alone can show, and what may be set.

Parts and figures are invented; the sections of the design are named as rules.
"""

from __future__ import annotations

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Effect, Fact, Verdict
from catalog.domain.parts import StatementKind
from catalog.domain.rules import CodeFloor, FuelRole
from catalog.domain.values import Demand, Value
from tests.domain.bench_parts import (
    ON_GASOLINE,
    ON_LPG,
    K,
    Values,
    ask,
    asked,
    at_inlet,
    between,
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
STRENGTH = rule("strength", K.AT_LEAST)
RUBBER = rule("rubber", K.EQUALS, inside_assembly=True)
WHOLE = book(category(STRENGTH, RUBBER))
POSITION = place({"strength": kpa("300"), "rubber": codes("nitrile")})
OTHER_RUBBER = part("1", {"strength": kpa("300"), "rubber": codes("silicone")})


def test_a_seal_inside_a_part_that_nobody_names_for_the_engine_is_judged_by_its_material() -> None:
    """Seal materials of assemblies: common practice, no source."""
    assert ask(WHOLE, OTHER_RUBBER, POSITION, application=ON_GASOLINE).verdict is Verdict.REJECTED


@pytest.mark.parametrize("kind", [StatementKind.SPECIFIED, StatementKind.LISTED])
def test_a_seal_inside_an_assembly_named_for_the_engine_is_not_judged_again(kind: StatementKind) -> None:
    """Seal materials of assemblies: common practice, no source."""
    named = says(OTHER_RUBBER, kind, any_fuel=ON_GASOLINE.plate_fuels)
    decision = ask(WHOLE, OTHER_RUBBER, POSITION, named, application=ON_GASOLINE)
    assert decision.verdict is Verdict.ACCEPTED
    assert "marked" in finding(decision, "rubber").text


def test_an_assembly_that_may_be_named_for_the_engine_cannot_be_told_by_the_seal_inside() -> None:
    """Filling in one unknown never leaves rejected: the serial may yet make it the specified part."""
    from_100 = says(OTHER_RUBBER, any_fuel=ON_GASOLINE.plate_fuels, places=("outdoor",))
    decision = ask(WHOLE, OTHER_RUBBER, POSITION, from_100, application=ON_GASOLINE)
    assert finding(decision, "rubber").outcome is Answer.UNKNOWN
    assert "place of use" in asked(decision)


AUTHORITY = Fact("authority in charge", "Does the authority in charge accept it?")


def test_what_only_an_authority_may_refuse_cannot_be_told_and_asks_the_authority() -> None:
    """A zero governor alone in a building for engines only: common practice, no source."""
    rules = book(category(STRENGTH, rule("lock", K.EQUALS, asks=AUTHORITY)))
    position = place({"strength": kpa("300"), "lock": codes("electric")})
    decision = ask(rules, part("1", {"strength": kpa("300"), "lock": codes("none")}), position, application=ON_GASOLINE)
    assert (decision.verdict, decision.missing) == (Verdict.UNDETERMINED, (AUTHORITY,))
    assert finding(decision, "lock").text == "Lock: cannot tell; none where electric is asked."


def test_what_each_piece_has_to_show_is_a_condition_whatever_the_maker_says() -> None:
    """The date on a cylinder is the single cylinder's: common practice, no source."""
    rules = book(category(STRENGTH, each_piece="the date on it is in force"))
    strong, position = part("1", {"strength": kpa("300")}), place({"strength": kpa("300")})
    decision = ask(rules, strong, position, says(strong), application=ON_GASOLINE)
    assert decision.verdict is Verdict.CONDITIONAL
    assert decision.conditions == ("the date on it is in force",)


SETTING = rule(
    "outlet", K.WITHIN, ("outlet", "adjustment"), compare={"condition": "it is set with a manometer"}
)  # fmt: skip
RANGE = between(kpa("100"), kpa("200"))


@pytest.mark.parametrize(
    ("asked_for", "adjustment", "outcome"),
    [
        ("150", RANGE, Answer.MET),
        ("180", RANGE, Answer.MET_IF),
        ("200", RANGE, Answer.MET_IF),
        ("201", RANGE, Answer.NOT_MET),
        ("180", None, Answer.UNKNOWN),
        ("180", Value(False), Answer.NOT_MET),
    ],
)
def test_a_set_point_may_be_set_within_its_adjustment_and_never_beyond(
    asked_for: str, adjustment: Value | None, outcome: Answer
) -> None:
    """A regulator is set with a manometer within its adjustment: common practice, no source."""
    values: Values = {"outlet": kpa("150")}
    if adjustment is not None:
        values["adjustment"] = adjustment
    rules, position = book(category(SETTING)), place({"outlet": kpa(asked_for)})
    found = finding(ask(rules, part("1", values), position, application=ON_GASOLINE), "outlet")
    assert found.outcome is outcome
    assert ("never reaches" in found.text) == (asked_for == "201")
    assert (found.effect is Effect.CONDITION) == (outcome is Answer.MET_IF)


@pytest.mark.parametrize(("stated", "verdict"), [(None, Verdict.REJECTED), ("55", Verdict.ACCEPTED)])
def test_a_ceiling_for_what_nobody_stated_gives_way_to_a_stated_one(stated: str | None, verdict: Verdict) -> None:
    """A pump with no stated limit ahead of it: at most 20 kPa (common practice, no source)."""
    limit = Value(between(kpa("0"), kpa("20")).payload)
    floor = CodeFloor(("LPG-VI",), "thing", "push", Demand(limit, Basis.CODE_FLOOR, COMMON_PRACTICE), True)
    push = rule("push", K.INSIDE)
    rules = book(category(push, role=FuelRole.WETTED, ports=("inlet",)), code_floors=(floor,))
    position = at_inlet(place({} if stated is None else {"push": between(kpa("0"), kpa(stated))}), "LPG-VI")
    candidate = part("1", {"push": kpa("50"), **for_class("LPG-VI")})
    assert ask(rules, candidate, position, application=ON_LPG).verdict is verdict


def test_a_listing_by_the_parts_own_maker_lifts_no_condition() -> None:
    """Rule 3(c): a listing settles what is not known; a filter that is known to be missing is put in beside it."""
    strainer = rule("strainer", K.AT_LEAST, when_not_met=Effect.CONDITION, when_unknown=Effect.NOTE,
                    condition="an inline filter goes in")  # fmt: skip
    rules = book(category(STRENGTH, strainer))
    bare = part("1", {"strength": kpa("300"), "strainer": Value(False)})
    position = place({"strength": kpa("300"), "strainer": Value(True)})
    listed = says(bare, StatementKind.LISTED, any_fuel=ON_GASOLINE.plate_fuels)
    for statements in ((), (listed,)):
        decision = ask(rules, bare, position, *statements, application=ON_GASOLINE)
        assert (decision.verdict, decision.conditions) == (Verdict.CONDITIONAL, ("an inline filter goes in",))


def test_what_is_asked_by_common_practice_alone_is_not_called_a_published_code() -> None:
    """A pump with no stated limit ahead of it: at most 20 kPa (common practice, no source)."""
    limit = Demand(kpa("20"), Basis.CODE_FLOOR, COMMON_PRACTICE)
    floor = CodeFloor(("LPG-VI",), "thing", "push", limit, unless_stated=True)
    rules = book(category(rule("push", K.AT_MOST), role=FuelRole.WETTED, ports=("inlet",)), code_floors=(floor,))
    candidate = part("1", {"push": kpa("50"), **for_class("LPG-VI")})
    decision = ask(rules, candidate, at_inlet(place(), "LPG-VI"), application=ON_LPG)
    assert "common practice where nothing is stated" in decision.headline
