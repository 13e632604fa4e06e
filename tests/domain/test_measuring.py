"""What a calliper is allowed, and what it cannot tell apart.

Class B tolerances are those of ISO 3601-1:2012: equation A.1, 0.009 d^0.95 + 0.11 mm, and its steps of the
cross-section. That a calliper is good for 0.02 mm is common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.measuring import Allowed, allowed, difference_words, not_told_apart, off_by
from catalog.domain.quantities import Dimension, Interval, Quantity, quantity
from catalog.domain.ring_readings import CROSS_SECTION, INNER_DIAMETER
from service.errors import Invalid
from tests.demo_world import rulebook

pytestmark = pytest.mark.domain
LENGTHS = st.integers(1, 10_000_000)


def mm(text: str) -> Quantity:
    return quantity(text, "mm")


def held(low: str, high: str | None = None) -> Interval:
    return Interval(mm(low), mm(high or low))


def asked(attribute: str, measured: str, wider: str | None = None) -> Allowed:
    return allowed(attribute, mm(measured), rulebook().tables.reference, None if wider is None else mm(wider))


@pytest.mark.parametrize(
    ("attribute", "measured", "limits", "nominal"),
    [
        ("reach", "19", "0.02", "0.02"),
        # 0.009 x 18.6^0.95 + 0.11 = 0.009 x 16.0708 + 0.11 = 0.2546, and 0.02 of the calliper
        (INNER_DIAMETER, "18.6", "0.02", "0.2746"),
        (CROSS_SECTION, "1.78", "0.02", "0.10"),  # class B to 2.25 mm: 0.08
        (CROSS_SECTION, "2.62", "0.02", "0.11"),  # to 3.15 mm: 0.09
        (CROSS_SECTION, "8.40", "0.02", "0.17"),  # to 8.40 mm, included: 0.15
        (CROSS_SECTION, "9", "0.02", "0.02"),  # the table ends there and nothing is made up
    ],
)
def test_what_is_allowed_of_a_measure(attribute: str, measured: str, limits: str, nominal: str) -> None:
    found = asked(attribute, measured)
    assert (found.limits, found.nominal) == (mm(limits).amount, mm(nominal).amount)


def test_a_tolerance_asked_for_widens_and_never_narrows() -> None:
    assert asked("reach", "19", "0.5").nominal == mm("0.5").amount
    assert asked("reach", "19", "0.001") == asked("reach", "19")
    ring = asked(CROSS_SECTION, "1.78", "0.05")
    assert (ring.limits, ring.nominal) == (mm("0.05").amount, mm("0.10").amount)


def test_what_a_calliper_does_not_measure_has_to_be_equal() -> None:
    found = allowed("gap", quantity("12", "V"), rulebook().tables.reference, mm("5"))
    assert (found.limits, found.nominal) == (0, 0)


def test_no_size_is_refused() -> None:
    with pytest.raises(Invalid):
        asked("reach", "0")


@given(LENGTHS, LENGTHS, LENGTHS)
def test_nothing_is_off_inside_and_the_nearest_end_counts_outside(one: int, other: int, measured: int) -> None:
    low, high = sorted((one, other))
    steps = [Quantity(amount, Dimension.LENGTH, "mm") for amount in (low, high, measured)]
    off = off_by(steps[2], Interval(steps[0], steps[1]))
    assert (off == 0) == (low <= measured <= high)
    assert low <= measured + off <= high
    assert abs(off) in {0, abs(low - measured), abs(high - measured)}


@given(LENGTHS, LENGTHS)
def test_a_wider_tolerance_never_allows_less(measured: int, wider: int) -> None:
    tables = rulebook().tables.reference
    for attribute in ("reach", CROSS_SECTION, INNER_DIAMETER):
        at = Quantity(measured, Dimension.LENGTH, "mm")
        plain = allowed(attribute, at, tables, None)
        more = allowed(attribute, at, tables, Quantity(wider, Dimension.LENGTH, "mm"))
        assert more.limits >= plain.limits
        assert more.nominal >= plain.nominal >= plain.limits


def test_differences_are_said_from_the_record() -> None:
    assert difference_words(mm("19.01"), held("19")) == "19 mm recorded, 0.01 mm less than measured"
    assert difference_words(mm("18.5"), held("18.59", "18.95")) == (
        "18.59 mm to 18.95 mm recorded, 0.09 mm more than measured"
    )
    assert difference_words(mm("18.6"), held("18.59", "18.95")) == (
        "18.59 mm to 18.95 mm recorded, which holds the measure"
    )
    assert difference_words(mm("19"), held("19")) == "19 mm recorded, the same"


def test_an_inch_size_and_a_metric_one_that_fit_alike_are_both_named() -> None:
    """5/16 in is 7.9375 mm (exact: 25.4 mm to the inch)."""
    inch = quantity("0.3125", "in")
    warning = not_told_apart("bore", "end_a", mm("7.95"), [(Interval(inch, inch), "VRD 1"), (held("7.96"), "OLM 2")])
    assert warning == (
        "Several sizes answer to 7.95 mm of bore (end a), and look alike: 0.3125 in (an inch size): VRD 1; "
        "7.96 mm (a metric size): OLM 2. Read the number too."
    )


def test_one_size_of_many_parts_is_no_look_alike() -> None:
    inch = quantity("1", "in")
    assert not_told_apart("bore", None, mm("25.4"), [(Interval(inch, inch), "VRD 1"), (held("25.4"), "OLM 2")]) is None


def test_what_a_joint_is_taken_for_is_read_from_the_published_table() -> None:
    """M20x1.5 and 3/4-16, common practice, no source."""
    (joints,) = [table.joints for table in rulebook().tables.mates.values() if table.joints is not None]
    (other,) = joints.taken_for("unified_thread", "3/4-16")
    assert "m20 x 1.5" in other.casefold()
    assert joints.taken_for("unified_thread", "9/16-18") == ()
