"""Rings stated by their size code, and judged in the gland that is published for the ring a position is made for.

Sizes and glands are read from the reference; every expected share is computed here from the published sizes: ring -012
9.25 x 1.78 +- 0.08, -110 9.19 x 2.62 +- 0.08 (AS568), glands for 1.78 mm (seal design guide): radial 1.27 to 1.40,
face 1.24 to 1.37, moving 1.40 to 1.45 mm deep, 2.41 mm wide.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import Verdict
from catalog.domain.parts import Medium
from catalog.domain.questions import Decision
from catalog.domain.seal_size import (
    CROSS_SECTION,
    FORGIVING,
    GLAND_DEPTH,
    GLAND_USE,
    GROOVE_DIAMETER,
    GROOVE_WIDTH,
    INNER_DIAMETER,
    RING_SIZE,
    SQUEEZE_BAND,
)
from catalog.domain.values import KNOWN_NONE, Value
from tests.demo_world import rulebook
from tests.domain.bench_parts import K, Values, ask, asked, between, book, category, codes, mm, part, place, rule, says

pytestmark = pytest.mark.domain
RING = (CROSS_SECTION, INNER_DIAMETER, RING_SIZE, GLAND_USE, GLAND_DEPTH, GROOVE_DIAMETER, GROOVE_WIDTH, SQUEEZE_BAND,
        FORGIVING)  # fmt: skip
BENCH = book(category(rule("ring", K.SIZE_SEALS, RING), rule("hardness", K.EQUALS, only_where_stated=True)))
HARD: Values = {"hardness": codes("70")}  # beside the ring, so that something met stands beside a condition
RADIAL: Values = {GLAND_USE: codes("static_radial")}
FACE: Values = {GLAND_USE: codes("static_face")}
MOVING: Values = {GLAND_USE: codes("dynamic")}


def coded(*written: str) -> Values:
    return {RING_SIZE: codes(*written)}


MADE_FOR_012 = coded("2-012")
ACCEPTED, CONDITIONAL, REJECTED, UNDETERMINED = (
    Verdict.ACCEPTED, Verdict.CONDITIONAL, Verdict.REJECTED, Verdict.UNDETERMINED,
)  # fmt: skip


def judged(offered: Values, demanded: Values, *media: Medium) -> Decision:
    rings = replace(BENCH, tables=rulebook().tables)
    return ask(rings, part("1", offered | HARD), place(demanded | HARD, media=media))


def still(*names: str) -> tuple[Medium, ...]:
    return tuple(Medium(name, dynamic=False) for name in names)


def measured(inner: str, section: str, tolerance: str = "0.08") -> Values:
    middle, off = round(float(section) * 1000), round(float(tolerance) * 1000)
    low, high = (mm(f"{(middle + sign * off) / 1000:.3f}") for sign in (-1, 1))
    return {INNER_DIAMETER: mm(inner), CROSS_SECTION: between(low, high)}


@pytest.mark.parametrize("written", ["2-012", "-012", "012", "AS568-012", "AS568A-012", "as 568-012", "568-012",
                                     "ISO 3601-1-012", "ISO 3601-012A", " 2-012 "])  # fmt: skip
def test_one_ring_is_one_ring_however_its_code_is_written(written: str) -> None:
    assert judged(coded(written), MADE_FOR_012).verdict is ACCEPTED
    assert judged(coded(written), MADE_FOR_012 | RADIAL).verdict is ACCEPTED


@pytest.mark.parametrize("offered", [coded("-012"), measured("9.25", "1.78")])
@pytest.mark.parametrize("demanded", [MADE_FOR_012, measured("9.25", "1.78")])
def test_a_code_and_its_measures_are_one_size(offered: Values, demanded: Values) -> None:
    assert judged(offered, demanded).verdict is ACCEPTED


def test_a_size_whose_measures_are_not_held_is_still_itself_and_no_other() -> None:
    """-325 is a size of AS568 whose row the reference does not hold."""
    same, other = (judged(coded("-325"), coded(code)) for code in ("2-325", "2-012"))
    assert same.verdict is ACCEPTED
    assert other.verdict is UNDETERMINED
    assert f"candidate: {CROSS_SECTION.replace('_', ' ')}" in asked(other)


def test_designations_of_another_kind_are_compared_as_they_are_written() -> None:
    """JIS B 2401: P10 and P10A are two rings."""
    metric: Values = coded("P10A")
    assert judged(coded("p 10a"), metric).verdict is ACCEPTED
    assert judged(coded("P10"), metric).verdict is UNDETERMINED


def test_a_number_that_no_ring_has_is_told_and_not_judged() -> None:
    decision = judged(coded("2-051"), MADE_FOR_012 | RADIAL)
    assert decision.verdict is UNDETERMINED
    assert "no ring size 051" in decision.headline
    assert "001 to 050" in decision.headline
    there = judged(coded("-012"), coded("2-051") | RADIAL)
    assert there.verdict is UNDETERMINED
    assert "position: ring" in asked(there)


def test_a_code_and_measures_that_contradict_each_other_are_told_and_not_judged() -> None:
    decision = judged(coded("-012") | measured("9.25", "2.62"), MADE_FOR_012 | RADIAL)
    assert decision.verdict is UNDETERMINED
    assert "size 012 has 1.7 mm to 1.86 mm of cross-section, and 2.54 mm to 2.7 mm is stated" in decision.headline


def test_two_codes_of_one_part_must_be_one_ring() -> None:
    assert judged(coded("-012", "AS568-012"), MADE_FOR_012).verdict is ACCEPTED
    two = judged(coded("-012", "-110"), MADE_FOR_012 | RADIAL)
    assert two.verdict is UNDETERMINED
    assert "not one ring size" in two.headline


def test_a_part_known_to_have_no_ring_does_not_seal_here() -> None:
    assert judged({RING_SIZE: KNOWN_NONE}, MADE_FOR_012).verdict is REJECTED


@pytest.mark.parametrize(("use", "words"), [
    (RADIAL, "squeeze 17.6 % to 31.7 %"),
    (FACE, "squeeze 19.4 % to 33.3 %"),
    (MOVING, "squeeze 14.7 % to 24.7 %"),
])  # fmt: skip
def test_each_use_has_its_own_published_gland(use: Values, words: str) -> None:
    """(1.70 - 1.40) / 1.70 to (1.86 - 1.27) / 1.86 in the radial gland, and so on."""
    decision = judged(measured("9.25", "1.70"), MADE_FOR_012 | use)
    assert decision.verdict is REJECTED
    assert f"of {words.removeprefix('squeeze ')} for this gland" in decision.headline
    assert judged(measured("9.25", "1.78"), MADE_FOR_012 | use).verdict is ACCEPTED


def test_a_moving_medium_asks_for_the_moving_gland() -> None:
    decision = judged(measured("9.25", "1.70"), MADE_FOR_012, Medium("motor_oil", dynamic=True))
    assert "of 14.7 % to 24.7 % for this gland" in decision.headline


def test_without_a_use_and_a_depth_another_size_asks_for_the_gland() -> None:
    assert judged(measured("9.25", "1.70"), MADE_FOR_012).verdict is ACCEPTED  # its middle is -012's least
    other = judged(measured("9.25", "1.60"), MADE_FOR_012)
    assert other.verdict is UNDETERMINED


def test_a_ring_between_the_published_cross_sections_has_no_published_gland() -> None:
    other = judged(measured("9.25", "1.78"), measured("9.25", "2.00") | RADIAL)
    assert other.verdict is UNDETERMINED


def test_a_stated_depth_is_judged_by_the_ring_it_was_made_for() -> None:
    stated: Values = {**MADE_FOR_012, GLAND_DEPTH: between(mm("1.27"), mm("1.40"))}
    assert judged(measured("9.25", "1.78"), stated).verdict is ACCEPTED
    assert judged(measured("9.25", "1.70"), stated).verdict is REJECTED


SLIGHTLY_THICK = measured("9.3", "1.80")  # at most 32.4 % of squeeze and 90.7 % of fill in the radial gland


@pytest.mark.parametrize(("media", "verdict"), [
    ((), REJECTED),
    (still("motor_oil"), CONDITIONAL),
    (still("coolant", "air"), CONDITIONAL),
    ((Medium("motor_oil"),), CONDITIONAL),
    ((Medium("motor_oil", dynamic=True),), REJECTED),
    (still("gasoline"), REJECTED),
    (still("motor_oil", "diesel"), REJECTED),
    (still("lpg_vapour"), REJECTED),
])  # fmt: skip
def test_only_oil_air_and_coolant_forgive_a_static_seal_two_points(media: tuple[Medium, ...], verdict: Verdict) -> None:
    decision = judged(SLIGHTLY_THICK, MADE_FOR_012 | RADIAL, *media)
    assert decision.verdict is verdict
    if verdict is CONDITIONAL:
        assert "static seal in oil, air or coolant only" in decision.conditions[0]


def test_a_flag_that_forgives_does_not_outweigh_a_fuel_that_wets() -> None:
    flagged: Values = {**MADE_FOR_012, **RADIAL, FORGIVING: Value(True)}
    assert judged(SLIGHTLY_THICK, flagged, *still("gasoline")).verdict is REJECTED
    assert judged(SLIGHTLY_THICK, flagged).verdict is CONDITIONAL


CLOSELY_HELD_THIN = measured("9.25", "1.73", "0.02")  # 19.9 to 29.1 % in the face gland, 24.6 % in the middle


@pytest.mark.parametrize("medium", ["lpg_vapour", "natural_gas", "lpg_liquid"])
def test_a_face_seal_on_gas_needs_the_upper_half_of_the_squeeze(medium: str) -> None:
    """The band is 19.4 to 33.3 %; its upper half begins at 26.4 %, and the standard ring has 26.7 % in the middle."""
    assert judged(CLOSELY_HELD_THIN, MADE_FOR_012 | FACE, *still("motor_oil")).verdict is ACCEPTED
    gas = judged(CLOSELY_HELD_THIN, MADE_FOR_012 | FACE, *still(medium))
    assert gas.verdict is REJECTED
    assert "needs 26.4 % or more" in gas.headline
    assert judged(measured("9.25", "1.78"), MADE_FOR_012 | FACE, *still(medium)).verdict is ACCEPTED


@pytest.mark.parametrize("section", ["1.78", "2.62", "3.53"])
def test_every_standard_ring_passes_its_own_face_gland_on_gas(section: str) -> None:
    tolerance = "0.10" if section == "3.53" else "0.08"
    ring = measured("25", section, tolerance)
    assert judged(ring, ring | FACE, *still("natural_gas")).verdict is ACCEPTED


def test_on_gas_it_may_matter_whether_the_seal_is_a_face_seal() -> None:
    """Stated depth and band, and nobody says which use: what passes both ways passes, the rest asks."""
    stated: Values = {**MADE_FOR_012, GLAND_DEPTH: between(mm("1.24"), mm("1.37"))}
    assert judged(measured("9.25", "1.78"), stated, *still("lpg_vapour")).verdict is ACCEPTED
    thin = judged(CLOSELY_HELD_THIN, stated, *still("lpg_vapour"))
    assert thin.verdict is UNDETERMINED
    assert judged(CLOSELY_HELD_THIN, stated | RADIAL, *still("lpg_vapour")).verdict is ACCEPTED


def test_the_ring_a_gland_is_made_for_is_not_refused_for_the_stretch_it_is_made_with() -> None:
    """-012 on 9.60 mm is stretched by 3.8 %: the gland's band is that of -012 so stretched."""
    on_groove: Values = {**MADE_FOR_012, **RADIAL, GROOVE_DIAMETER: mm("9.60")}
    assert judged(coded("-012"), on_groove).verdict is ACCEPTED


def test_a_ring_that_is_stretched_more_than_the_standard_one_loses_section_and_squeeze() -> None:
    """9.17 on 9.60 mm is 4.7 %, within the limit; yet its section is thinner than that of -012 there."""
    on_groove: Values = {**MADE_FOR_012, **RADIAL, GROOVE_DIAMETER: mm("9.60")}
    inner = between(mm("9.04"), mm("9.30"))
    decision = judged({**measured("9.17", "1.78"), INNER_DIAMETER: inner}, on_groove)
    assert decision.verdict is REJECTED
    assert "stretch 4.7 %" in decision.headline


def test_a_section_stated_without_tolerance_is_judged_with_the_general_one_and_says_so() -> None:
    """ISO 3601-1 class B: +- 0.08 up to 2.25 mm, +- 0.09 up to 3.15 mm."""
    bare: Values = {INNER_DIAMETER: mm("9.25"), CROSS_SECTION: mm("1.78")}
    assert judged(bare, MADE_FOR_012 | RADIAL).verdict is ACCEPTED
    thin = judged({INNER_DIAMETER: mm("9.25"), CROSS_SECTION: mm("1.70")}, MADE_FOR_012 | RADIAL)
    assert thin.verdict is REJECTED
    assert "squeeze 13.6 % to 28.7 %" in thin.headline  # 1.62 in 1.40 and 1.78 in 1.27 mm
    assert "assumed, ISO 3601-1 class B" in thin.headline


def test_a_specified_part_that_states_only_its_code_lends_it() -> None:
    rings = replace(BENCH, categories={"thing": category(rule("ring", K.SIZE_SEALS, RING, taken_over="same"))})
    rings = replace(rings, tables=rulebook().tables)
    specified = part("SPECIFIED", MADE_FOR_012)
    same = ask(rings, part("1", coded("AS568-012")), place(), says(specified))
    assert same.verdict is ACCEPTED
    other = ask(rings, part("1", coded("AS568-110")), place(), says(specified))
    assert other.verdict is UNDETERMINED
