"""Hazardous goods apart, safety sheets, and what no kit holds by default.

UN numbers as in 49 CFR 172.101 [from memory]; sheets as in OSHA letters on 29 CFR 1910.1200(g); the rest common
practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.packing import (
    Goods,
    Nature,
    Package,
    Packed,
    SheetSent,
    TransportClass,
    keeps_out,
    pack,
    sheet_due,
)
from service.errors import Invalid

pytestmark = pytest.mark.domain

CLEANER = Goods(("VRD", "9001"), TransportClass.DANGEROUS, "UN1950", "2")
ADHESIVE = Goods(("VRD", "9002"), TransportClass.DANGEROUS, "UN1133", "1")
FILTER, PLUGS = Packed(Goods(("VRD", "0021-460")), 1), Packed(Goods(("VRD", "4410-12")), 4)


def test_an_aerosol_is_a_package_and_a_line_of_its_own_with_its_un_number() -> None:
    """Scenario 25."""
    packing = pack((FILTER, Packed(CLEANER, 1), PLUGS), "rink")
    assert packing.packages == (Package((FILTER, PLUGS)), Package((Packed(CLEANER, 1),), "UN1950"))
    assert (packing.questions, packing.held_back) == ((), ())


def test_two_kinds_of_hazardous_goods_share_no_package_and_one_kind_is_one_line() -> None:
    packing = pack((Packed(CLEANER, 1), Packed(ADHESIVE, 2), Packed(CLEANER, 3)), "rink")
    assert packing.packages == (
        Package((Packed(CLEANER, 4),), "UN1950"),
        Package((Packed(ADHESIVE, 2),), "UN1133"),
    )


def test_the_sheet_goes_with_the_first_shipment_and_with_the_first_after_each_revision() -> None:
    """Scenario 25: per customer, part and revision."""
    first = pack((Packed(CLEANER, 1),), "rink")
    assert first.sheets == (SheetSent("rink", ("VRD", "9001"), "2"),)
    assert pack((Packed(CLEANER, 1),), "rink", first.sheets).sheets == ()
    assert pack((Packed(CLEANER, 1),), "farm", first.sheets).sheets == (SheetSent("farm", ("VRD", "9001"), "2"),)
    revised = Goods(CLEANER.part, CLEANER.transport, CLEANER.un_number, "3")
    again = pack((Packed(revised, 1),), "rink", first.sheets)
    assert again.sheets == (SheetSent("rink", ("VRD", "9001"), "3"),)
    assert pack((Packed(revised, 1),), "rink", (*first.sheets, *again.sheets)).sheets == ()


@pytest.mark.parametrize(
    ("goods", "asked"),
    [
        (Goods(("X", "1"), TransportClass.UNKNOWN), "Is X 1 dangerous to ship"),
        (Goods(("X", "1"), TransportClass.DANGEROUS, None, "1"), "Which UN number does X 1"),
        (Goods(("X", "1"), TransportClass.DANGEROUS, "UN1950"), "Which revision of the safety sheet of X 1"),
    ],
)
def test_goods_of_which_something_is_not_known_go_into_no_box_and_say_what(goods: Goods, asked: str) -> None:
    packing = pack((FILTER, Packed(goods, 1)), "rink")
    assert packing.packages == (Package((FILTER,)),)
    assert packing.held_back == (Packed(goods, 1),)
    assert [question.startswith(asked) for question in packing.questions] == [True]


@pytest.mark.parametrize("number", ["1950", "UN195", "un1950", "UN 1950", ""])
def test_what_is_no_un_number_is_refused(number: str) -> None:
    with pytest.raises(Invalid):
        Goods(("X", "1"), TransportClass.DANGEROUS, number)


@pytest.mark.parametrize(
    ("nature", "asked_for", "measured", "held"),
    [
        (Nature.PLAIN, False, False, True),
        (Nature.ANTI_SEIZE, False, False, False),
        (Nature.ANTI_SEIZE, True, False, True),
        (Nature.STARTING_SPRAY, True, True, False),
        (Nature.MEASURED_FIRST, True, False, False),
        (Nature.MEASURED_FIRST, False, True, True),
    ],
)
def test_what_a_kit_may_hold(nature: Nature, asked_for: bool, measured: bool, held: bool) -> None:
    """Never anti-seize by default (a gas-engine maker's plug note), starting spray, or what is measured first."""
    assert (keeps_out(nature, asked_for=asked_for, measured=measured) is None) == held


GOODS = st.builds(
    Goods,
    st.tuples(st.just("X"), st.sampled_from("123")),
    st.sampled_from(TransportClass),
    st.sampled_from([None, "UN1950", "UN1133"]),
    st.sampled_from([None, "1", "2"]),
)


@given(st.lists(st.builds(Packed, GOODS, st.integers(1, 3)), max_size=6).map(tuple), st.booleans())
def test_every_piece_is_in_one_box_or_held_back_and_nothing_dangerous_is_among_others(
    lines: tuple[Packed, ...], again: bool
) -> None:
    first = pack(lines, "rink")
    packing = pack(lines, "rink", first.sheets) if again else first
    boxed = [line for box in packing.packages for line in box.lines]
    assert sum(line.quantity for line in (*boxed, *packing.held_back)) == sum(line.quantity for line in lines)
    for box in packing.packages:
        dangerous = [line for line in box.lines if line.goods.transport is TransportClass.DANGEROUS]
        assert not dangerous or (len(box.lines) == 1 and box.un_number == box.lines[0].goods.un_number is not None)
    assert bool(packing.held_back) == bool(packing.questions)
    assert not again or not packing.sheets
    assert again or all(sheet_due(line.goods, "rink", ()) == (line.goods.sheet_revision is not None) for line in boxed)
