"""What the numbers of several lines are today: sets, pairs, whole quantities. Common practice, no source.

Scenario numbers are those of the acceptance scenarios the shop agreed to.
"""

from __future__ import annotations

import pytest

from catalog.domain.supersession_chains import Counted, ErrorKind
from service.errors import Invalid
from tests.domain.chains import (
    CASE,
    COVER,
    DEMO,
    GASKET,
    GASKETS,
    HOUSING,
    HOUSINGS,
    KIT_2200,
    KIT_2300,
    LOOP_1,
    OIL_450,
    RING,
    SEAL_1,
    SEAL_2,
    SEALS,
    WASHER,
    a_set,
    ask,
    ask_one,
    engine,
    facts,
    gone,
    number,
    one,
    since,
    together,
    used,
)

pytestmark = pytest.mark.domain


def test_a_set_is_all_or_nothing_with_its_quantities() -> None:
    line = ask_one(GASKETS, Counted(GASKET, 3))
    assert used(line) == {"OLM 7702": 6, "OLM 7703": 12}
    assert line.use[0].why == "OLM 7701 is now a set, all of it or nothing: 2 of OLM 7702 + 4 of OLM 7703."


def test_nothing_of_a_set_is_used_where_one_member_cannot_be_told() -> None:
    newer = number("OLM 7704")
    line = ask_one((*GASKETS, one(WASHER, newer, serials=since(10))), GASKET, on=engine())
    assert line.use == ()
    assert facts(line) == ["serial (change at 10)"]


def test_nothing_of_a_set_is_used_where_one_member_is_discontinued() -> None:
    line = ask_one((*GASKETS, gone(WASHER)), GASKET)
    assert line.use == ()
    assert line.discontinued == (WASHER,)
    assert line.catalogue_errors == ()


def test_no_fact_is_asked_for_that_would_not_bring_back_what_is_discontinued() -> None:
    """Whatever the serial, the washers of the set are gone."""
    newer = number("OLM 7709")
    line = ask_one((*GASKETS, gone(WASHER), one(RING, newer, serials=since(10))), GASKET, on=engine())
    assert (line.use, line.discontinued, facts(line)) == ((), (WASHER,), [])


def test_two_sets_of_one_number_that_differ_in_quantity_only_are_two_ends() -> None:
    statements = (*GASKETS, a_set(GASKET, Counted(RING, 2), Counted(WASHER, 5)))
    assert [error.kind for error in ask_one(statements, GASKET).catalogue_errors] == [ErrorKind.TWO_ENDS]


def test_scenario_11_two_old_numbers_each_one_for_one_are_two_new_ones_in_all() -> None:
    lines = ask(SEALS, SEAL_1, SEAL_2)
    assert [used(line) for line in lines] == [{"OLM 8815": 1}, {"OLM 8815": 1}]
    assert [line.use[0].why for line in lines] == [
        "OLM 8815 replaces OLM 8812-1, one for one.", "OLM 8815 replaces OLM 8812-2, one for one.",
    ]  # fmt: skip


def test_a_pair_that_is_now_one_piece_is_counted_once_and_each_line_says_its_part() -> None:
    first, second = ask(HOUSINGS, Counted(CASE, 2), Counted(COVER, 2))
    assert (used(first), used(second)) == ({"TSK 51": 2}, {"TSK 51": 0})
    assert first.use[0].why == "TSK 50-1 and TSK 50-2 together are now TSK 51."
    assert "counted in line 1" in second.use[0].why
    assert (first.lines, second.lines) == ((1,), (0,))


def test_half_a_pair_is_never_silently_half() -> None:
    line = ask_one(HOUSINGS, CASE)
    assert line.use == ()
    assert facts(line) == ["replaced with it: TSK 50-2"]
    assert line.missing[0].question == (
        "TSK 50-1 and TSK 50-2 together are now TSK 51, and what is asked for is TSK 50-1. "
        "Replaced at the same time: TSK 50-2?"
    )
    assert line.itself.holds is False


def test_a_pair_in_uneven_numbers_asks_for_what_is_lacking_on_every_line_of_it() -> None:
    lines = ask(HOUSINGS, Counted(CASE, 3), COVER)
    assert [line.use for line in lines] == [(), ()]
    assert {tuple(facts(line)) for line in lines} == {("replaced with it: 2 of TSK 50-2",)}


def test_the_pair_may_come_from_several_lines_and_from_numbers_before_it() -> None:
    older = number("TSK 49")
    lines = ask((*HOUSINGS, one(older, CASE)), COVER, OIL_450, older, CASE, COVER)
    assert [used(line) for line in lines] == [
        {"TSK 51": 2}, {"VRD 0021-450": 1}, {"TSK 51": 0}, {"TSK 51": 0}, {"TSK 51": 0},
    ]  # fmt: skip


def test_lines_that_share_a_part_share_its_fate() -> None:
    """A set that holds half of a pair: what keeps the rest of the set back keeps the pair back."""
    boxed, bolt, newer = number("TSK 48"), number("TSK 47"), number("TSK 46")
    statements = (*HOUSINGS, a_set(boxed, CASE, bolt), one(bolt, newer, serials=since(10)))
    blank = ask(statements, boxed, COVER, on=engine())
    assert [line.use for line in blank] == [(), ()]
    assert [facts(line) for line in blank] == [["serial (change at 10)"]] * 2
    known = ask(statements, boxed, COVER, on=engine(10))
    assert [used(line) for line in known] == [{"TSK 51": 1, "TSK 46": 1}, {"TSK 51": 0}]


def test_what_cannot_be_divided_into_whole_sets_is_asked_about() -> None:
    pairs = (a_set(Counted(GASKET, 2), RING),)
    assert used(ask_one(pairs, Counted(GASKET, 4))) == {"OLM 7702": 2}
    odd = ask_one(pairs, Counted(GASKET, 3))
    assert (odd.use, facts(odd)) == ((), ["quantity of OLM 7701"])


def test_a_line_in_error_does_not_touch_the_others() -> None:
    bad, good = ask(DEMO, LOOP_1, KIT_2200, on=engine(61500))
    assert (bad.use, used(good)) == ((), {"TSK R-2300K": 1})
    assert (good.catalogue_errors, good.missing) == ((), ())


def test_a_quantity_below_one_is_refused_with_its_line() -> None:
    with pytest.raises(Invalid) as refused:
        ask(DEMO, KIT_2200, Counted(KIT_2300, 0))
    assert refused.value.pointer == "/lines/1/quantity"


def test_a_pair_replaced_by_a_set_brings_all_of_it() -> None:
    seat = number("TSK 52")
    (first, second) = ask((together((CASE, COVER), HOUSING, Counted(seat, 2)),), CASE, COVER)
    assert used(first) == {"TSK 51": 1, "TSK 52": 2}
    assert used(second) == {"TSK 51": 0, "TSK 52": 0}
