"""Which earlier numbers may be used up here. Common practice, no source; scenario 7 is the shop's own."""

from __future__ import annotations

import pytest

from catalog.domain.applicability import Where
from catalog.domain.supersession_chains import Chains, InCatalogue, Numbered, Supersession
from catalog.domain.swapping import OldStock, old_stock
from tests.domain.chains import (
    LOOP_1,
    LOOP_2,
    OIL,
    OIL_440,
    OIL_450,
    OIL_460,
    PLAIN,
    RING,
    a_set,
    ask_one,
    engine,
    number,
    one,
    since,
    up_to,
    used,
)

pytestmark = pytest.mark.domain
FIRST, SECOND, THIRD, FOURTH = (number(f"OLM 90-{end}") for end in "1234")


def stock(statements: tuple[Supersession, ...], part: Numbered, on: Where | None = None) -> OldStock:
    return old_stock(Chains.of(statements), [part], on or engine(1), blocks=PLAIN)


def allowed(found: OldStock) -> list[str]:
    return [earlier.part.shown for earlier in found.allowed]


def test_scenario_7_the_number_before_is_allowed_below_the_break_and_the_one_before_that_is_not() -> None:
    found = stock(OIL, OIL_460, engine(118402))
    assert allowed(found) == ["VRD 0021-450"]
    assert found.allowed[0].why == "serial 118402 is below 120000, swap allowed both ways"
    assert found.allowed[0].instead_of == OIL_460
    assert found.missing == ()


def test_scenario_6_from_the_break_on_no_earlier_number_is_offered() -> None:
    assert stock(OIL, OIL_460, engine(131077)) == OldStock()


def test_a_blank_serial_offers_nothing_and_asks_for_the_change() -> None:
    found = stock(OIL, OIL_460, engine())
    assert (allowed(found), [fact.name for fact in found.missing]) == ([], ["serial (change at 120000)"])


def test_several_earlier_numbers_come_oldest_first() -> None:
    statements = (one(SECOND, THIRD, both_ways=True), one(FIRST, SECOND, both_ways=True))
    assert allowed(stock(statements, THIRD)) == ["OLM 90-1", "OLM 90-2"]
    shortcut = (*statements, one(FIRST, THIRD, both_ways=True))
    assert allowed(stock(shortcut, THIRD)) == ["OLM 90-1", "OLM 90-2"]


def test_no_one_way_step_is_gone_back_over() -> None:
    statements = (one(FIRST, SECOND, both_ways=True), one(SECOND, THIRD), one(THIRD, FOURTH, both_ways=True))
    assert allowed(stock(statements, FOURTH)) == ["OLM 90-3"]


def test_every_step_between_must_hold_here() -> None:
    statements = (one(FIRST, SECOND, both_ways=True), one(SECOND, THIRD, both_ways=True, serials=up_to(9)))
    assert allowed(stock(statements, THIRD, engine(9))) == ["OLM 90-1", "OLM 90-2"]
    assert allowed(stock(statements, THIRD, engine(10))) == []


def test_a_number_replaced_one_way_by_the_same_one_here_is_not_old_stock() -> None:
    statements = (one(FIRST, SECOND, both_ways=True), one(FIRST, SECOND, serials=since(10)))
    assert allowed(stock(statements, SECOND, engine(9))) == ["OLM 90-1"]
    assert allowed(stock(statements, SECOND, engine(10))) == []


def test_notices_that_disagree_are_asked_about() -> None:
    found = stock((one(FIRST, SECOND, both_ways=True), one(FIRST, SECOND)), SECOND)
    assert (allowed(found), [fact.name for fact in found.missing]) == ([], ["supersession OLM 90-1 > OLM 90-2"])


def test_a_place_not_known_offers_nothing_and_asks_for_it() -> None:
    statements = (one(FIRST, SECOND, both_ways=True, places=("outdoor",)),)
    found = stock(statements, SECOND)
    assert (allowed(found), [fact.name for fact in found.missing]) == ([], ["place of use"])
    assert allowed(stock(statements, SECOND, engine(1, place_of_use="outdoor"))) == ["OLM 90-1"]
    assert stock(statements, SECOND, engine(1, place_of_use="indoor")) == OldStock()


def test_numbers_in_a_loop_or_with_two_ends_are_no_old_stock() -> None:
    loop = (one(LOOP_1, LOOP_2, both_ways=True), one(LOOP_2, LOOP_1, both_ways=True))
    assert stock(loop, LOOP_1) == OldStock()
    two_ends = (one(FIRST, SECOND, both_ways=True), one(FIRST, THIRD, both_ways=True))
    assert stock(two_ends, SECOND) == OldStock()


def test_a_withdrawn_number_is_passed_through_and_not_offered() -> None:
    between = number("OLM 90-15", InCatalogue.WITHDRAWN)
    statements = (one(FIRST, between, both_ways=True), one(between, SECOND, both_ways=True))
    assert allowed(stock(statements, SECOND)) == ["OLM 90-1"]


def test_the_old_number_of_a_whole_set_does_not_stand_for_one_of_its_members() -> None:
    assert stock((a_set(FIRST, SECOND, RING, both_ways=True),), SECOND) == OldStock()


def test_earlier_numbers_across_a_break_that_changes_nothing_are_offered_without_a_serial() -> None:
    halves = (one(OIL_440, OIL_450, both_ways=True, serials=up_to(9)),
              one(OIL_440, OIL_450, both_ways=True, serials=since(10)))  # fmt: skip
    found = stock(halves, OIL_450, engine())
    assert (allowed(found), found.missing) == (["VRD 0021-440"], ())


def test_what_leads_to_a_number_that_is_passed_over_is_passed_over_too() -> None:
    """One way from the second to the third: the first, as good as the second, may not be used up either."""
    statements = (one(FIRST, SECOND, both_ways=True), one(SECOND, THIRD))
    found = ask_one(statements, FIRST)
    assert (used(found), found.itself.holds) == ({"OLM 90-3": 1}, False)
    assert stock(statements, SECOND) == OldStock()
    changed = (statements[0], one(SECOND, THIRD, serials=since(10)))
    assert ask_one(changed, FIRST, on=engine(9)).itself.holds is True
    assert ask_one(changed, FIRST, on=engine(10)).itself.holds is False
    blank = ask_one(changed, FIRST, on=engine()).itself
    assert (blank.holds, [fact.name for fact in blank.missing]) == (None, ["serial (change at 10)"])
    maybe = (one(FIRST, SECOND, both_ways=True, places=("outdoor",)), one(SECOND, THIRD))
    assert ask_one(maybe, FIRST).itself.holds is None
    assert ask_one(maybe, FIRST, on=engine(1, place_of_use="indoor")).itself.holds is True
