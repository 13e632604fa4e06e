"""Published check values for seals, oils, belts and oil filters, over the shipped rulebook.

Ratings: open data set "Chemical resistance ratings for common elastomers" (Zenodo 22115966) and the soak tests named
beside each row; temperature windows: three public seal tables; oil categories: public category tables and licensing
news; wet clutch: JASO T 903:2016 and :2023; belts: public belt manuals. What no source decides is marked.
"""

from __future__ import annotations

import pytest

from catalog.domain.answers import Answer
from catalog.domain.comparing_codes import Wetting
from catalog.domain.quantities import Interval, quantity
from catalog.domain.values import KNOWN_NONE, Value
from tests.demo_world import rulebook
from tests.reference.weighed_by_rule import codes, degrees, grade, kpa, rated, weighed

pytestmark = pytest.mark.domain
MET, MET_IF, NOT_MET, UNKNOWN = Answer.MET, Answer.MET_IF, Answer.NOT_MET, Answer.UNKNOWN
FLUORO = "FKM"


@pytest.mark.parametrize("medium", ["gasoline", "lpg_vapour", "lpg_liquid", "natural_gas", "diesel"])
def test_ethylene_propylene_is_unsatisfactory_in_every_hydrocarbon_fuel(medium: str) -> None:
    """The data set's rows gasoline, propane, LPG, methane, diesel oil: 4."""
    assert grade("EPDM", medium) == "4"


@pytest.mark.parametrize(
    ("material", "expected"),
    [("NBR", "1"), ("CR", "2"), ("VMQ", "4"), ("AU", "3"), ("FVMQ", "3"), ("FKM", "1"), ("FFKM", "1")],
)
def test_lp_gas_takes_the_worse_of_the_rows_propane_and_lpg(material: str, expected: str) -> None:
    """The data set's two rows differ for AU (3, 1), VMQ (4, 3) and FVMQ (2, 3)."""
    assert grade(material, "lpg_vapour") == expected


def test_gasoline_with_ethanol_has_its_own_row() -> None:
    """OSTI 1616838: fluorocarbon swells least in E10, although neat ethanol rates it 3."""
    assert (grade(FLUORO, "gasoline_E10"), grade("NBR", "gasoline_E10")) == ("1", "2")


def test_biodiesel_attacks_nitrile_and_spares_fluorocarbon() -> None:
    """BAM studies of FAME: nitrile not resistant, fluorocarbon best."""
    assert (grade("NBR", "diesel_B100"), grade(FLUORO, "diesel_B100")) == ("3", "1")


def test_styrene_butadiene_is_not_taken_for_nitrile() -> None:
    """Common practice, no source: the two codes are mixed up at counters."""
    assert grade("SBR", "diesel") == "4"


@pytest.mark.parametrize(
    ("floor", "expected"), [("-40", NOT_MET), ("-30", UNKNOWN), ("0", MET)], ids=["flash path", "outdoors", "indoors"]
)
def test_standard_fluorocarbon_ends_at_minus_fifteen(floor: str, expected: Answer) -> None:
    """Window -15 to 200 degC, special grades to -35: refused at -40, cannot tell at -30, met at 0."""
    assert rated(FLUORO, Wetting("lpg_liquid", degrees(floor, "60"), dynamic=False)) is expected


@pytest.mark.parametrize(
    ("asked", "stated", "expected"),
    [
        (("-30", "60"), ("-35", "200"), MET),  # what a special grade reaches, and the maker states it
        (("-30", "60"), ("-20", "200"), NOT_MET),  # the maker states that this one does not reach it
        (("-40", "60"), ("-45", "200"), NOT_MET),  # no fluorocarbon grade reaches it, whatever is stated
        (("0", "60"), ("10", "60"), UNKNOWN),  # narrower than the material's window: the two are at odds
        (("0", "60"), ("-20", "200"), MET),
    ],
)
def test_a_stated_range_opens_what_special_grades_reach_and_no_more(
    asked: tuple[str, str], stated: tuple[str, str], expected: Answer
) -> None:
    """Rule: a stated compound range stands beside the material's window and never lifts a refusal."""
    wetting = Wetting("lpg_liquid", degrees(*asked), dynamic=False)
    assert rated(FLUORO, wetting, degrees(*stated)) is expected


def test_chloroprene_in_lp_gas_is_never_plainly_right() -> None:
    """Rating 2: a condition, static or moving (public guide to the 1 to 4 ratings)."""
    assert {rated("CR", Wetting("lpg_vapour", None, moves)) for moves in (True, False)} == {MET_IF}


def test_copper_stands_diesel_and_not_biodiesel() -> None:
    """US biodiesel materials hand-out: biodiesel attacks copper; steel and aluminium stand it."""
    assert (grade("copper", "diesel"), grade("copper", "diesel_B100")) == ("1", "4")
    assert (grade("steel", "diesel_B100"), grade("aluminium", "diesel_B100")) == ("1", "1")


@pytest.mark.parametrize(
    ("offered", "asked", "expected"),
    [
        ("API_SP", "API_SJ", MET),
        ("API_SJ", "API_SP", NOT_MET),
        ("API_CK-4", "API_CH-4", MET),
        ("API_CK-4", "API_SN", UNKNOWN),  # two lines, not compared
        ("API_FA-4", "API_CJ-4", NOT_MET),  # thinner at high shear
        ("API_CK-4", "API_FA-4", NOT_MET),
        ("ILSAC_GF-6B", "ILSAC_GF-5", NOT_MET),  # 0W-16 alone, stands apart
        ("ILSAC_GF-6A", "ILSAC_GF-4", MET),
    ],
)
def test_a_newer_oil_category_of_one_line_serves_an_older_one(offered: str, asked: str, expected: Answer) -> None:
    found = weighed("engine_oil", "oil_service", {"oil_service": codes(asked)}, {"oil_service": codes(offered)})
    assert found.answer is expected


def test_an_oil_that_carries_both_lines_serves_both() -> None:
    """An oil may carry both lines; each category asked is tried by itself."""
    offer = {"oil_service": codes("API_CK-4", "API_SN")}
    assert weighed("engine_oil", "oil_service", {"oil_service": codes("API_CH-4", "API_SL")}, offer).answer is MET


@pytest.mark.parametrize(
    ("offered", "asked", "expected"),
    [("JASO_MA2", "JASO_MA", MET), ("JASO_MA", "JASO_MA2", UNKNOWN), ("JASO_MB", "JASO_MA", NOT_MET)],
)
def test_wet_clutch_classes(offered: str, asked: str, expected: Answer) -> None:
    """JASO T 903: MA holds MA1 and MA2, so MA alone may be either; MB is apart."""
    found = weighed("engine_oil", "wet_clutch", {"wet_clutch": codes(asked)}, {"wet_clutch": codes(offered)})
    assert found.answer is expected


@pytest.mark.parametrize(("ash", "expected"), [("0.05", NOT_MET), ("0.5", MET), ("0.9", NOT_MET)])
def test_ash_is_a_window_and_not_a_maximum(ash: str, expected: Answer) -> None:
    """Machinery-lubrication articles: too little ash lets valve seats recede, too much leaves deposits."""
    window = Value(Interval(quantity("0.4", "%"), quantity("0.6", "%")))
    offer = {"sulfated_ash": Value(quantity(ash, "%"))}
    assert weighed("engine_oil", "sulfated_ash", {"sulfated_ash": window}, offer).answer is expected


@pytest.mark.parametrize(
    ("offered", "expected"), [("10W-40", MET), ("5W-40", MET_IF), ("15W-40", NOT_MET), ("10W-30", NOT_MET)]
)
def test_a_lower_w_number_serves_on_a_condition_and_the_hot_number_never_changes(
    offered: str, expected: Answer
) -> None:
    """SAE J300: the two numbers are two axes. That a lower W number is allowed is common practice, no source."""
    found = weighed(
        "engine_oil", "viscosity_grade", {"viscosity_grade": codes("10W-40")}, {"viscosity_grade": codes(offered)}
    )
    assert found.answer is expected


@pytest.mark.parametrize(
    ("offered", "asked", "expected"),
    [("A", "4L", MET_IF), ("4L", "A", NOT_MET), ("B", "5L", MET_IF), ("5L", "B", NOT_MET), ("SPA", "A", NOT_MET)],
)
def test_light_and_industrial_belts_go_one_way_only(offered: str, asked: str, expected: Answer) -> None:
    """Belt interchange article: the light belt in the same groove carries a third of the power."""
    found = weighed("belt", "belt_profile", {"belt_profile": codes(asked)}, {"belt_profile": codes(offered)})
    assert found.answer is expected


def test_a_class_that_serves_on_a_condition_says_the_condition() -> None:
    found = weighed("belt", "belt_profile", {"belt_profile": codes("4L")}, {"belt_profile": codes("A")})
    assert found.condition == "the pulley grooves have room for the A belt"


@pytest.mark.parametrize(
    ("filter_setting", "block", "expected"),
    [
        (kpa("100"), KNOWN_NONE, MET),
        (kpa("126"), KNOWN_NONE, NOT_MET),
        (KNOWN_NONE, KNOWN_NONE, NOT_MET),  # none in either
        (KNOWN_NONE, kpa("120"), MET),  # the engine has its own
        (kpa("120"), kpa("120"), MET),
        (kpa("119"), kpa("120"), NOT_MET),  # bypasses before the engine's own
        (None, kpa("120"), UNKNOWN),
    ],
)
def test_a_filters_bypass_beside_the_engines_own(filter_setting: Value | None, block: Value, expected: Answer) -> None:
    """Common practice, no source: within a quarter of the setting asked, and not below the engine's own."""
    demand = {"block_bypass_setting": block} | ({"bypass_setting": kpa("100")} if block is KNOWN_NONE else {})
    offer = {} if filter_setting is None else {"bypass_setting": filter_setting}
    assert weighed("oil_filter", "bypass_setting", demand, offer).answer is expected


def test_where_nobody_says_whether_the_engine_has_a_bypass_a_filter_with_one_is_not_judged() -> None:
    """Common practice, no source: the filter that stood here had none, so the engine may have one of any setting."""
    found = weighed("oil_filter", "bypass_setting", {"bypass_setting": KNOWN_NONE}, {"bypass_setting": kpa("100")})
    assert (found.answer, found.asks) == (UNKNOWN, ("block_bypass_setting",))


def test_belt_lengths_of_two_systems_are_not_compared() -> None:
    """Public belt manuals: inside and datum lengths of one belt differ by a few per cent."""
    length = Value(quantity("1000", "mm"))
    demand = {"belt_length": length, "belt_length_system": codes("inside_Li")}
    offer = {"belt_length": length, "belt_length_system": codes("datum_Ld_or_Lp")}
    assert weighed("belt", "belt_length", demand, offer).answer is UNKNOWN


def test_a_muffler_never_serves_for_a_catalyst() -> None:
    """40 CFR 1068.101(b), from memory: a control is neither removed nor disabled."""
    controls = rulebook().tables.orders["emission_controls"]
    assert ("none", "three_way") not in controls.pairs
    asked = {"emission_control": codes("oxidation")}
    assert weighed("exhaust", "emission_control", asked, {"emission_control": codes("none")}).answer is NOT_MET
    assert weighed("exhaust", "emission_control", asked, {"emission_control": codes("three_way")}).answer is MET


def test_every_window_lies_inside_what_a_special_grade_reaches() -> None:
    """Otherwise a stated range could make things worse; from the tables' own logic, no source."""
    table = rulebook().tables.ratings["seal_material"]
    for material, special in table.special.items():
        window = table.windows[material]
        assert special.low
        assert special.high
        assert window.low
        assert window.high
        assert special.low.amount <= window.low.amount, material
        assert special.high.amount >= window.high.amount, material
    assert table.windows.keys() >= table.special.keys()
