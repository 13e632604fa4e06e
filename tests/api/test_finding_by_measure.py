"""Parts found by what a calliper says of the piece in hand; that it is good for 0.02 mm is common practice."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.api.world import Desk

pytestmark = pytest.mark.db

SHEET = {"kind": "maker", "citation": "data sheet 2026, invented"}


def size(attribute: str, value: str, unit: str = "mm", **source: str) -> dict[str, Any]:
    return {"attribute": attribute, "value": {"value": value, "unit": unit}, "source": {**SHEET, **source}}


def hose(desk: Desk, number: str, *attributes: dict[str, Any]) -> None:
    body = {"maker": "TSK", "number": number, "category": "fuel_hose", "attributes": list(attributes)}
    desk.made("/parts/", body)


def find(desk: Desk, query: str) -> dict[str, Any]:
    response = desk.get(f"/parts/find/?{query}")
    assert response.status_code == 200, response.content
    told: dict[str, Any] = response.json()
    return told


def numbers(told: dict[str, Any]) -> list[str]:
    return [row["part"]["number"] for row in told["results"]]


BORE = "category=fuel_hose&attr__hose_bore=6.25 mm"


@pytest.fixture
def hoses(desk: Desk) -> None:
    hose(desk, "6.27", size("hose_bore", "6.27"))
    hose(desk, "6.28", size("hose_bore", "6.28"))
    hose(desk, "6.24", size("hose_bore", "6.24"))
    hose(desk, "bare")


@pytest.mark.usefixtures("hoses")
def test_what_lies_within_the_calliper_is_found_nearest_first(desk: Desk) -> None:
    told = find(desk, BORE)
    assert numbers(told) == ["6.24", "6.27"]
    assert [row["largest_difference_percent"] for row in told["results"]] == ["0.160", "0.320"]
    (difference,) = told["results"][0]["differences"]
    assert difference["difference"] == {"value": "-0.01", "unit": "mm"}
    assert difference["text"].endswith("6.24 mm recorded, 0.01 mm less than measured")
    assert difference["source"] == SHEET
    (measure,) = told["measured"]
    assert (measure["tolerance"], measure["because"]) == ("0.02 mm", "0.02 mm of the calliper")
    assert told["catalogue_version"]


@pytest.mark.usefixtures("hoses")
def test_the_tolerance_can_be_widened_and_is_said(desk: Desk) -> None:
    told = find(desk, f"{BORE}&tolerance=0.03 mm")
    assert numbers(told) == ["6.24", "6.27", "6.28"]
    assert told["measured"][0]["because"] == "0.03 mm as asked for"


@pytest.mark.usefixtures("hoses")
def test_what_is_not_recorded_comes_last_and_only_when_asked_for(desk: Desk) -> None:
    told = find(desk, f"{BORE}&include=unknown")
    assert numbers(told)[:2] == ["6.24", "6.27"]
    bare = next(row for row in told["results"] if row["part"]["number"] == "bare")
    assert (bare["matches"], bare["not_recorded"], bare["differences"]) == (False, ["hose_bore"], [])
    assert bare["largest_difference_percent"] is None
    assert "6.28" not in numbers(told)


def test_of_several_measures_the_largest_difference_decides(desk: Desk) -> None:
    hose(desk, "even", size("hose_bore", "6.26"), size("hose_outer_diameter", "13.11"))  # 0.160 % and 0.076 %
    hose(desk, "lopsided", size("hose_bore", "6.25"), size("hose_outer_diameter", "13.12"))  # 0 and 0.153 %
    hose(desk, "half", size("hose_bore", "6.25"))
    query = f"{BORE}&attr__hose_outer_diameter=13.1 mm"
    assert numbers(find(desk, query)) == ["lopsided", "even"]
    half = find(desk, f"{query}&include=unknown")["results"][-1]
    assert (half["part"]["number"], half["not_recorded"]) == ("half", ["hose_outer_diameter"])
    assert [row["attribute"] for row in half["differences"]] == ["hose_bore"]


def test_a_range_that_is_open_is_not_recorded_where_it_does_not_speak_against_the_measure(desk: Desk) -> None:
    for number, ends in (("from 6", {"min": "6"}), ("from 7", {"min": "7"}), ("to 7", {"max": "7"})):
        hose(desk, number, {"attribute": "hose_bore", "value": {**ends, "unit": "mm"}, "source": SHEET})
    assert numbers(find(desk, BORE)) == []
    assert {"from 6", "to 7"} == set(numbers(find(desk, f"{BORE}&include=unknown"))) & {"from 6", "from 7", "to 7"}


def test_what_is_known_to_have_none_is_no_match_and_not_unknown(desk: Desk) -> None:
    none = {"attribute": "hose_bore", "value": {"state": "not_applicable"}, "source": SHEET}
    hose(desk, "solid", none)
    assert "solid" not in numbers(find(desk, f"{BORE}&include=unknown"))


def test_sources_that_disagree_are_both_told(desk: Desk) -> None:
    hose(desk, "two", size("hose_bore", "6.25"), size("hose_bore", "7", citation="another sheet, invented"))
    (row,) = find(desk, BORE)["results"]
    (other,) = row["differences"][0]["others"]
    assert (other["recorded"]["value"], other["source"]["citation"]) == ("7", "another sheet, invented")


def test_an_inch_size_and_a_metric_one_that_fit_alike_are_named(desk: Desk) -> None:
    """5/16 in is 7.9375 mm."""
    hose(desk, "metric", size("hose_bore", "7.95"))
    hose(desk, "inch", size("hose_bore", "0.3125", "in"))
    (warning,) = find(desk, "category=fuel_hose&attr__hose_bore=7.945 mm")["look_alikes"]
    assert "0.3125 in (an inch size): TSK inch" in warning
    assert "7.95 mm (a metric size): TSK metric" in warning
    assert find(desk, BORE)["look_alikes"] == []


def test_a_ring_is_found_by_its_recorded_limits_and_a_bare_size_by_the_published_tolerance(desk: Desk) -> None:
    """ISO 3601-1 class B gives a ring of 18.77 mm 0.26 mm; VRD 6612 is recorded from 18.59 to 18.95 mm."""
    bare = {"maker": "TSK", "number": "8899", "category": "seal",
            "attributes": [size("ring_inner_diameter", "18.77"), size("ring_cross_section", "1.78")]}  # fmt: skip
    desk.made("/parts/", bare)
    found = numbers(find(desk, "category=seal&attr__ring_inner_diameter=18.55 mm&attr__ring_cross_section=1.72 mm"))
    assert "8899" in found
    assert "6612" not in found  # 0.04 mm below its own lower limit
    found = numbers(find(desk, "category=seal&attr__ring_inner_diameter=18.58 mm&attr__ring_cross_section=1.72 mm"))
    assert {"8899", "6612"} <= set(found)


def test_rings_of_1_78_and_1_80_mm_look_alike(desk: Desk) -> None:
    """AS568 series 0 against the metric 1.80 mm series."""
    warning = " ".join(find(desk, "category=seal&attr__ring_cross_section=1.79 mm")["look_alikes"])
    assert "1.7 mm to 1.86 mm" in warning
    assert "1.72 mm to 1.88 mm (a metric size): VRD 6621" in warning


def test_a_joint_that_is_taken_for_another_says_so(desk: Desk) -> None:
    """M20x1.5 and 3/4-16, common practice, no source."""
    told = find(desk, "category=oil_filter&attr__filter_gasket_outer=63 mm")
    row = next(row for row in told["results"] if row["part"]["number"] == "0022-100")
    assert any("M20x1.5" in words and "3/4 x" in words for words in row["look_alikes"]), row["look_alikes"]


def test_codes_beside_a_measure_have_to_hold(desk: Desk) -> None:
    both = find(desk, "category=seal&attr__ring_cross_section=1.78 mm&attr__seal_material=EPDM")
    assert numbers(both) == ["8816"]


def test_what_a_calliper_does_not_measure_has_to_be_equal(desk: Desk) -> None:
    told = find(desk, "category=oil_filter&attr__burst_pressure=1500 kPa gauge&tolerance=5 mm")
    assert numbers(told) == ["0021-440"]
    assert told["measured"][0]["tolerance"] == "none"


def test_a_measure_of_one_end_is_looked_for_at_that_end(desk: Desk) -> None:
    bores = [{**size("coolant_hose_bore", text), "slot": end} for end, text in (("end_a", "33.3"), ("end_b", "41.7"))]
    desk.made("/parts/", {"maker": "TSK", "number": "reducer", "category": "coolant_hose", "attributes": bores})
    query = "category=coolant_hose&attr__coolant_hose_bore"
    assert numbers(find(desk, f"{query}@end_a=33.3 mm")) == ["reducer"]
    assert numbers(find(desk, f"{query}@end_b=33.3 mm")) == []
    (row,) = find(desk, f"{query}=41.7 mm")["results"]
    assert row["differences"][0]["slot"] == "end_b"
    assert row["differences"][0]["others"] == []


def test_a_withdrawn_part_is_not_found(desk: Desk) -> None:
    hose(desk, "old", size("hose_bore", "6.25"))
    part = find(desk, BORE)["results"][0]["part"]
    desk.changed(f"/parts/{part['id']}/", {"status": "withdrawn"})
    assert find(desk, BORE)["results"] == []


@pytest.mark.usefixtures("hoses")
def test_the_nearest_are_shown_and_that_there_are_more_is_said(desk: Desk) -> None:
    told = find(desk, f"{BORE}&page_size=1")
    assert (numbers(told), told["more"]) == (["6.24"], True)
    assert find(desk, BORE)["more"] is False


@pytest.mark.usefixtures("hoses")
def test_the_number_of_queries_does_not_grow_with_what_is_found(desk: Desk) -> None:
    def queries(query: str) -> int:
        with CaptureQueriesContext(connection) as made:
            find(desk, query)
        return len(made)

    find(desk, BORE)
    assert queries(f"{BORE}&page_size=1") == queries(f"{BORE}&tolerance=90 mm")


BAD = {
    "no category": ("attr__hose_bore=6 mm", "category"),
    "an unknown category": ("category=nonsense&attr__hose_bore=6 mm", "category"),
    "no measure": ("category=fuel_hose", "attr__"),
    "an unknown attribute": ("category=fuel_hose&attr__charm=6 mm", "attr__charm"),
    "a unit of another dimension": ("category=fuel_hose&attr__hose_bore=6 kg", "attr__hose_bore"),
    "no unit": ("category=fuel_hose&attr__hose_bore=6", "attr__hose_bore"),
    "no size": ("category=fuel_hose&attr__hose_bore=0 mm", "attr__hose_bore"),
    "a tolerance that is none": (f"{BORE}&tolerance=wide", "tolerance"),
    "a tolerance of pressure": (f"{BORE}&tolerance=5 psi gauge", "tolerance"),
    "a tolerance below nothing": (f"{BORE}&tolerance=-1 mm", "tolerance"),
    "a page in the middle": (f"{BORE}&cursor=x", "cursor"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_question_names_its_parameter(desk: Desk, name: str) -> None:
    query, parameter = BAD[name]
    response = desk.get(f"/parts/find/?{query}")
    assert response.status_code == 400, response.content
    assert parameter in {entry["parameter"] for entry in response.json()["errors"]}
