"""A measure that nothing has is refused where it is stated: it would pass as the finest, the thinnest, the least.

Exports write 0 for what nobody knows, and missing is never zero. (common practice, no source)
"""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.api.world import Desk

pytestmark = pytest.mark.db
SOURCE = {"kind": "maker", "citation": "data sheet 2025, invented"}
FILTER = {"maker": "OLM", "number": "1211-Z", "category": "fuel_filter"}
PUMP_3 = {
    "spec": {"model": "OLM-K55", "spec": "D-30A"}, "serial": "204871", "plate_fuels": ["diesel"],
    "fuel_records": [{"fuels": ["diesel"], "mode": "only_fuel", "found_on": "2026-01-12", "conversion_paper": None}],
    "place_of_use": "outdoor",
}  # fmt: skip
BAD = [
    ({"value": "0", "unit": "um"}, "zero_length"), ({"value": "-5", "unit": "um"}, "below_zero"),
    ({"min": "-1", "max": "5", "unit": "um"}, "below_zero"), ({"min": None, "max": "0", "unit": "um"}, "zero_length"),
]  # fmt: skip


def stated(attribute: str, value: Any) -> dict[str, Any]:
    return {"attribute": attribute, "value": value, "source": SOURCE}


@pytest.mark.parametrize(("fineness", "code"), BAD, ids=json.dumps)
def test_a_filter_of_no_fineness_is_not_kept_as_the_finest(desk: Desk, fineness: dict[str, Any], code: str) -> None:
    refused = desk.post("/parts/", {**FILTER, "attributes": [stated("fineness", fineness)]})
    assert refused.status_code == 400
    (problem,) = refused.json()["errors"]
    assert (problem["pointer"], problem["code"]) == ("#/attributes/0/value", code)


@pytest.mark.parametrize(("fineness", "code"), BAD, ids=json.dumps)
def test_nor_is_it_heard_of_a_part_at_the_counter(desk: Desk, fineness: dict[str, Any], code: str) -> None:
    fact = {"about": "candidate", "attribute": "fineness", "value": fineness, "how": "label"}
    question = {"candidate": {"maker": "OLM", "number": "1211-X"}, "position": "fuel_filter", "application": PUMP_3}
    refused = desk.check({**question, "facts": [fact]})
    assert refused.status_code == 400
    assert [(row["pointer"], row["code"]) for row in refused.json()["errors"]] == [("#/facts/0/value", code)]


@pytest.mark.parametrize(
    ("category", "attribute", "value"),
    [
        ("spark_plug", "tip_projection", {"value": "-0.5", "unit": "mm"}),
        ("fuel_pump", "suction_lift", {"value": "0", "unit": "mm"}),
        ("exhaust", "sensor_bosses", {"value": "0", "unit": "each"}),
        ("regulator", "outlet_pressure", {"value": "-0.12", "unit": "kPa", "reference": "gauge"}),
        ("fuel_filter", "fineness", {"min": "0", "max": "5", "unit": "um"}),
    ],
)
def test_what_is_counted_from_somewhere_may_be_nothing_or_less(
    desk: Desk, category: str, attribute: str, value: dict[str, Any]
) -> None:
    named = {"maker": "VRD", "number": "T-9", "category": category}
    kept = desk.made("/parts/", {**named, "attributes": [stated(attribute, value)]})
    assert [row["attribute"] for row in kept["attributes"]] == [attribute]
