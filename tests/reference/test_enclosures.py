"""Enclosure, area and truck ratings: which marking serves where another is asked.

Enclosures: articles on reading IEC 60529 and ISO 20653 markings. Areas: IEC 60079-0 and -20-1, from memory. Truck
types: 29 CFR 1910.178(b).
"""

from __future__ import annotations

import pytest

from catalog.domain.answers import Answer
from catalog.domain.comparing import compare_one
from catalog.domain.rules import Comparison, ComparisonKind
from catalog.domain.values import KNOWN_NONE, Value
from tests.demo_world import rulebook

pytestmark = pytest.mark.domain
MET, NOT_MET, UNKNOWN = Answer.MET, Answer.NOT_MET, Answer.UNKNOWN


def answer(table: str, offered: str, asked: str) -> Answer:
    comparison = Comparison(ComparisonKind.CLASS_AT_LEAST, table=table)
    demand, offer = Value(tuple(asked.split())), Value(tuple(offered.split()))
    return compare_one(comparison, "rating", demand, offer, rulebook().tables).answer


@pytest.mark.parametrize(
    "rows",
    [
        # Jets at close range are no immersion; a double marking answers for both.
        pytest.param((("IP6K9K", "IP67", NOT_MET), ("IP6K9K IP67", "IP67", MET)), id="CV41"),
        # Solids are not stated.
        pytest.param((("IPX7", "IP67", UNKNOWN),), id="CV42"),
    ],
)
def test_a_marking_is_read_as_the_articles_read_it(rows: tuple[tuple[str, str, Answer], ...]) -> None:
    for offered, asked, expected in rows:
        assert answer("ip_ratings", offered, asked) is expected, offered


@pytest.mark.parametrize(
    ("offered", "asked", "expected"),
    [
        ("IPX7", "IPX6", NOT_MET),
        ("IP67", "IP66", NOT_MET),
        ("IP68", "IP65", NOT_MET),
        ("IP66 IP68", "IP66", MET),
        ("IP66 IP68", "IP67", MET),
        ("IP68", "IP67", MET),
        ("IP67", "IP68", NOT_MET),
        ("IP66", "IP65", MET),
        ("IP65", "IP66", NOT_MET),
        ("IP69", "IP68", NOT_MET),
        ("IP69", "IP66", NOT_MET),
        ("IP6K9K", "IP6K6K", NOT_MET),
        ("IP6K6K", "IP6K6", MET),
        ("IP54", "IPX4", MET),
        ("IPX4", "IP54", UNKNOWN),
        ("IPX4", "IP55", NOT_MET),  # what is stated is too little already
        ("IP5K4", "IP54", UNKNOWN),  # the two dust tests differ
        ("IP5K4", "IP6K4K", NOT_MET),
        ("IP6K4K", "IP5K4K", MET),
        ("IP67", "IP54", MET),
    ],
)
def test_an_enclosure_serves_as_far_as_both_digits_reach(offered: str, asked: str, expected: Answer) -> None:
    assert answer("ip_ratings", offered, asked) is expected


@pytest.mark.parametrize(
    ("offered", "asked", "expected"),
    [
        ("Gb IIC T4", "Gb IIA T3", MET),
        ("Gc IIA T3", "Gb IIA T3", NOT_MET),
        ("Gb IIA T2", "Gb IIA T3", NOT_MET),
        ("Gb IIA", "Gb IIA T3", UNKNOWN),  # no temperature class on the plate
        ("class_I_division_1 group_D T3", "Gb IIA T3", UNKNOWN),  # the two systems do not convert
        ("class_I_division_1 group_D", "class_I_division_2 group_D", MET),
        ("class_I_division_2 group_D", "class_I_division_1 group_D", NOT_MET),
    ],
)
def test_each_letter_of_a_marking_answers_for_itself(offered: str, asked: str, expected: Answer) -> None:
    assert answer("area_ratings", offered, asked) is expected


@pytest.mark.parametrize(
    ("offered", "asked", "expected"),
    [
        ("LPS", "LP", MET),
        ("LP", "LPS", NOT_MET),
        ("GS", "LPS", UNKNOWN),
        ("GS LPS", "LPS", MET),
        ("DY", "DS", MET),
        ("EX", "ES", UNKNOWN),
    ],
)
def test_a_safeguarded_listing_serves_the_plain_truck_and_no_other_fuel(
    offered: str, asked: str, expected: Answer
) -> None:
    assert answer("truck_types", offered, asked) is expected


@pytest.mark.parametrize("table", ["ip_ratings", "area_ratings", "truck_types"])
def test_a_part_known_to_carry_no_rating_does_not_serve(table: str) -> None:
    comparison = Comparison(ComparisonKind.CLASS_AT_LEAST, table=table)
    asked = Value(next(iter(rulebook().tables.orders[table].pairs))[1:])
    assert compare_one(comparison, "rating", asked, KNOWN_NONE, rulebook().tables).answer is NOT_MET
