"""What an old number is today on this engine. Common practice, no source, unless a line says otherwise.

Scenario numbers are those of the acceptance scenarios the shop agreed to.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from catalog.domain.answers import YES
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.serials import SerialRange
from catalog.domain.supersession_chains import Counted, ErrorKind, InCatalogue, Supersession, still_to_load
from catalog.domain.supersessions import SupersessionKind
from tests.domain.chains import (
    DEMO,
    KIT_2200,
    KIT_2300,
    KITS,
    LOOP,
    LOOP_1,
    LOOP_2,
    OIL,
    OIL_440,
    OIL_450,
    OIL_460,
    SEAL,
    ask_one,
    engine,
    facts,
    gone,
    number,
    one,
    says,
    since,
    up_to,
    used,
)

pytestmark = pytest.mark.domain


def test_scenario_6_an_old_number_is_followed_to_the_last_one_and_the_serial_says_why() -> None:
    line = ask_one(OIL, OIL_440, on=engine(131077))
    assert used(line) == {"VRD 0021-460": 1}
    assert "serial 131077 is from 120000 on" in line.use[0].why
    assert [(step.supersession.id, step.truth.holds) for step in line.chain] == [
        (OIL[0].id, True), (OIL[1].id, False), (OIL[2].id, True),
    ]  # fmt: skip
    assert line.chain[1].why == "VRD 0021-450 > VRD 0021-460: not here, serial 131077 is from 120000 on."
    assert line.itself.holds is False
    assert ask_one(OIL, OIL_450, on=engine(131077)).itself.holds is False


def test_a_number_that_may_be_swapped_both_ways_here_is_still_allowed_as_itself() -> None:
    line = ask_one(OIL, OIL_450, on=engine(118402))
    assert used(line) == {"VRD 0021-460": 1}
    assert line.itself == YES
    assert ask_one(OIL, OIL_440, on=engine(118402)).itself.holds is False


@pytest.mark.parametrize(("serial", "both_ways"), [(119999, True), (120000, False)])
def test_the_break_is_tried_on_both_its_sides(serial: int, both_ways: bool) -> None:
    """Trade practice: test N and N+1."""
    assert ask_one(OIL, OIL_450, on=engine(serial)).itself.holds is both_ways


def test_a_blank_serial_asks_nothing_where_every_serial_leads_to_the_same_number() -> None:
    line = ask_one(OIL, OIL_440, on=engine())
    assert used(line) == {"VRD 0021-460": 1}
    assert facts(line) == []
    assert line.use[0].why == "VRD 0021-460 replaces VRD 0021-440, one for one: whatever the serial is."
    assert [fact.name for fact in ask_one(OIL, OIL_450, on=engine()).itself.missing] == ["serial (change at 120000)"]


def test_a_blank_serial_is_asked_for_where_a_block_may_exist_that_no_statement_names() -> None:
    assert facts(ask_one(OIL, OIL_440, on=engine(), blocks=None)) == ["serial"]
    assert facts(ask_one(OIL, OIL_440, on=engine(), blocks=("", "K"))) == ["serial"]


def test_a_serial_in_another_block_than_those_stated_keeps_its_number() -> None:
    line = ask_one(OIL, OIL_450, on=engine(118402, prefix="K"))
    assert used(line) == {"VRD 0021-450": 1}
    assert "serial K118402 is in another block" in line.use[0].why


@pytest.mark.parametrize(("serial", "number_to_use"), [(61499, "TSK R-2200K"), (61500, "TSK R-2300K")])
def test_a_number_replaced_from_a_serial_only_is_kept_below_it(serial: int, number_to_use: str) -> None:
    line = ask_one(KITS, KIT_2200, on=engine(serial))
    assert used(line) == {number_to_use: 1}
    assert f"serial {serial} is {'below 61500' if serial < 61500 else 'from 61500 on'}" in line.use[0].why
    assert line.itself.holds is (serial < 61500)


def test_a_blank_serial_before_a_break_that_matters_cannot_be_told_and_the_question_names_the_change() -> None:
    line = ask_one(KITS, KIT_2200, on=engine())
    assert line.use == ()
    assert facts(line) == ["serial (change at 61500)"]
    assert line.itself.holds is None
    assert line.chain[0].truth.holds is None
    assert "serial (change at 61500)" in line.chain[0].why


def test_only_the_breaks_that_matter_are_asked_about() -> None:
    later = number("TSK R-2400K")
    statements = (
        one(KIT_2200, KIT_2300, serials=up_to(999)), one(KIT_2200, KIT_2300, serials=since(1000)),
        one(KIT_2300, later, serials=since(5000)),
    )  # fmt: skip
    assert facts(ask_one(statements, KIT_2200, on=engine())) == ["serial (change at 5000)"]


def test_the_current_number_resolves_to_itself() -> None:
    line = ask_one(DEMO, Counted(KIT_2300, 3), on=engine(1))
    assert used(line) == {"TSK R-2300K": 3}
    assert (line.itself, line.chain, line.superseded) == (YES, (), False)


def test_what_is_discontinued_is_said_and_is_no_error_in_the_data() -> None:
    line = ask_one((one(OIL_440, OIL_450), gone(OIL_450)), OIL_440)
    assert (line.use, line.catalogue_errors, line.discontinued) == ((), (), (OIL_450,))
    assert line.itself.holds is False
    assert "discontinued, no replacement" in line.chain[1].why


def test_what_is_left_of_a_discontinued_number_may_be_judged_as_itself() -> None:
    line = ask_one((gone(OIL_450),), OIL_450)
    assert (line.use, line.itself) == ((), YES)


def test_scenario_14_numbers_that_replace_each_other_are_walked_once_and_are_one_ticket() -> None:
    first, second = ask_one(LOOP, LOOP_1), ask_one(LOOP, LOOP_2)
    assert (first.use, len(first.chain)) == ((), 2)
    (error,) = first.catalogue_errors
    assert error.text == "Catalogue error: numbers replace each other (VRD 3300-1, VRD 3300-2)."
    assert error.identity == second.catalogue_errors[0].identity == f"loop:{LOOP_1.id},{LOOP_2.id}"
    assert first.itself.holds is None
    assert facts(first) == ["number supplied today for VRD 3300-1"]


def test_a_number_that_leads_into_a_loop_is_in_error_too() -> None:
    before = number("VRD 3300-0")
    line = ask_one((*LOOP, one(before, LOOP_1)), before)
    assert line.use == ()
    assert [error.kind for error in line.catalogue_errors] == [ErrorKind.LOOP]


def test_numbers_that_replace_each_other_in_different_serial_blocks_are_no_loop() -> None:
    statements = (one(LOOP_1, LOOP_2, serials=since(100)), one(LOOP_2, LOOP_1, serials=up_to(99)))
    assert used(ask_one(statements, LOOP_1, on=engine(5))) == {"VRD 3300-1": 1}
    assert used(ask_one(statements, LOOP_1, on=engine(100))) == {"VRD 3300-2": 1}
    blank = ask_one(statements, LOOP_1, on=engine())
    assert (blank.use, blank.catalogue_errors, facts(blank)) == ((), (), ["serial (change at 100)"])


def test_two_live_ends_here_are_an_error_and_neither_is_picked() -> None:
    line = ask_one((one(OIL_440, OIL_450), one(OIL_440, OIL_460)), OIL_440)
    assert line.use == ()
    assert line.catalogue_errors[0].identity == f"two_ends:{OIL_440.id},{OIL_450.id},{OIL_460.id}"


def test_no_fact_is_asked_for_that_would_not_mend_the_data() -> None:
    """In error on either side of the break, in different numbers: both are told, and no serial would help."""
    third = number("VRD 0021-480")
    statements = (one(OIL_440, OIL_450), one(OIL_440, OIL_460), one(OIL_440, third, serials=since(100)))
    line = ask_one(statements, OIL_440, on=engine())
    assert facts(line) == ["number supplied today for VRD 0021-440"]
    assert [error.kind for error in line.catalogue_errors] == [ErrorKind.TWO_ENDS, ErrorKind.TWO_ENDS]


def test_two_ways_to_one_end_are_no_error() -> None:
    statements = (one(OIL_440, OIL_450), one(OIL_440, OIL_460), one(OIL_450, OIL_460))
    assert used(ask_one(statements, OIL_440)) == {"VRD 0021-460": 1}


def test_replaced_and_discontinued_at_once_is_an_error() -> None:
    line = ask_one((one(OIL_440, OIL_450), gone(OIL_440)), OIL_440)
    assert [error.kind for error in line.catalogue_errors] == [ErrorKind.TWO_ENDS]


def test_different_ends_in_different_serial_blocks_are_no_error() -> None:
    statements = (one(OIL_440, OIL_450, serials=up_to(99)), one(OIL_440, OIL_460, serials=since(100)))
    assert used(ask_one(statements, OIL_440, on=engine(99))) == {"VRD 0021-450": 1}
    assert used(ask_one(statements, OIL_440, on=engine(100))) == {"VRD 0021-460": 1}
    assert facts(ask_one(statements, OIL_440, on=engine())) == ["serial (change at 100)"]


def test_one_that_holds_beside_one_that_may_hold_asks_for_the_fact_unless_both_lead_to_the_same_number() -> None:
    outdoors = {"places": ("outdoor",)}
    other = ask_one((one(OIL_440, OIL_450), one(OIL_440, OIL_460, **outdoors)), OIL_440)
    assert (other.use, other.catalogue_errors, facts(other)) == ((), (), ["place of use"])
    same = ask_one((one(OIL_440, OIL_450), one(OIL_440, OIL_450, **outdoors)), OIL_440)
    assert (used(same), facts(same)) == ({"VRD 0021-450": 1}, [])


def test_a_step_for_a_fuel_asks_for_the_fuel_found_until_it_is_known() -> None:
    statements = (one(OIL_440, OIL_450, any_fuel=(Fuel("lpg_liquid"),)),)
    assert facts(ask_one(statements, OIL_440)) == ["fuel as-found"]
    for fuel, to_use in (("lpg_liquid", "VRD 0021-450"), ("diesel", "VRD 0021-440")):
        found = FuelRecord((Fuel(fuel),), RecordMode.ONLY_FUEL, date(2026, 1, 12))
        assert used(ask_one(statements, OIL_440, on=engine(1, fuel_records=(found,)))) == {to_use: 1}


def test_a_step_for_another_specification_leaves_the_number_as_it_is() -> None:
    line = ask_one((one(OIL_440, OIL_450, specification="F"),), OIL_440)
    assert used(line) == {"VRD 0021-440": 1}
    assert "it is another engine specification" in line.use[0].why


@pytest.mark.parametrize("standing", [InCatalogue.WITHDRAWN, InCatalogue.ABSENT])
def test_a_chain_that_ends_at_a_number_nobody_can_supply_is_an_error(standing: InCatalogue) -> None:
    end = number("VRD 0021-470", standing)
    line = ask_one((one(OIL_440, end),), OIL_440)
    assert line.use == ()
    assert line.catalogue_errors[0].identity == f"dead_end:{end.id}"


def test_a_withdrawn_number_is_passed_through() -> None:
    between = number("VRD 0021-445", InCatalogue.WITHDRAWN)
    line = ask_one((one(OIL_440, between), one(between, OIL_450)), OIL_440)
    assert used(line) == {"VRD 0021-450": 1}


def test_a_chain_that_crosses_makers_is_an_error_where_it_holds() -> None:
    statements = (one(OIL_440, SEAL, serials=since(100)),)
    assert ask_one(statements, OIL_440, on=engine(100)).catalogue_errors[0].kind is ErrorKind.CROSSES_MAKERS
    assert ask_one(statements, OIL_440, on=engine(99)).catalogue_errors == ()


def test_one_for_one_in_different_quantities_is_an_error() -> None:
    odd = says(SupersessionKind.ONE_FOR_ONE, (OIL_440,), (Counted(OIL_450, 2),))
    assert [error.kind for error in ask_one((odd,), OIL_440).catalogue_errors] == [ErrorKind.WRONG_SIDES]


def test_a_notice_for_some_engines_says_more_of_them_than_the_one_for_all() -> None:
    general, below = one(OIL_450, OIL_460), one(OIL_450, OIL_460, both_ways=True, serials=up_to(119999))
    assert ask_one((general, below), OIL_450, on=engine(118402)).itself == YES
    assert ask_one((general, below), OIL_450, on=engine(131077)).itself.holds is False
    open_, above = replace(general, both_ways=True), one(OIL_450, OIL_460, serials=since(120000))
    assert ask_one((open_, above), OIL_450, on=engine(118402)).itself == YES
    assert ask_one((open_, above), OIL_450, on=engine(131077)).itself.holds is False


def test_two_notices_for_the_same_engines_that_disagree_on_both_ways_are_asked_about() -> None:
    line = ask_one((one(OIL_450, OIL_460), one(OIL_450, OIL_460, both_ways=True)), OIL_450)
    assert used(line) == {"VRD 0021-460": 1}
    assert [fact.name for fact in line.itself.missing] == ["supersession VRD 0021-450 > VRD 0021-460"]


def test_the_loader_is_told_generation_by_generation_what_is_still_wanted() -> None:
    """As a loader would: one look at the rows per generation, until nothing is wanted."""
    done: set[int] = set()
    loaded: dict[int, Supersession] = {}
    generations = 0
    while wanted := still_to_load([OIL_460.id], loaded.values(), done):
        done |= wanted
        generations += 1
        for step in DEMO:
            old, new = ({member.part.id for member in side} & wanted for side in (step.old, step.new))
            if old or (new and step.both_ways and step.one_for_one):
                loaded[step.id] = step
    assert set(loaded) == {OIL[1].id, OIL[2].id}
    assert generations == 2


def test_a_range_of_every_serial_is_no_question() -> None:
    line = ask_one((one(OIL_440, OIL_450, serials=(SerialRange(),)),), OIL_440, on=engine())
    assert (used(line), facts(line)) == ({"VRD 0021-450": 1}, [])
