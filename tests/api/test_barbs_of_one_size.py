"""A push-on joint is of one size where one hose serves both halves. (common practice, no source; check value 79)"""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.world import Desk

pytestmark = pytest.mark.db
PUMP_3: dict[str, Any] = {
    "spec": {"model": "OLM-K55", "spec": "D-30A"}, "serial": "204871", "plate_fuels": ["diesel"],
    "fuel_records": [{"fuels": ["diesel:B7"], "mode": "only_fuel", "found_on": "2026-01-12", "conversion_paper": None}],
    "place_of_use": "outdoor", "certified": False,
}  # fmt: skip


@pytest.mark.parametrize(
    ("size", "outcome"),
    [("8 mm", "met"), ("5/16", "met"), ("5/16 in", "met"), ("7.94 mm", "met"), ("3/8", "not_met"), ("10 mm", "not_met"),
     ("1/4", "not_met"), ("6 mm", "not_met")],
)  # fmt: skip
def test_a_tee_for_an_inch_hose_stands_where_the_hose_is_of_8_mm(desk: Desk, size: str, outcome: str) -> None:
    """5/16 inch is 7.94 mm; 1/4 inch, 6.35 mm, is no 6 mm."""
    found = desk.get("/parts/?maker=TSK&number=J-30").json()["results"][0]
    record = desk.get(f"/parts/{found['id']}/").json()
    rows = [
        {"attribute": row["attribute"], "slot": row["slot"], "source": row["source"],
         "value": size if row["attribute"] == "joint_size" else row["value"]}
        for row in record["attributes"]
    ]  # fmt: skip
    named = {"maker": "TSK", "number": "J-30-T"}
    desk.made("/parts/", {**named, "category": "fitting", "supplied_as": "piece", "attributes": rows})
    answer = desk.answer({"candidate": named, "position": "return_tee", "application": PUMP_3})
    ends = {row["outcome"] for row in answer["findings"] if row["attribute"] in ("ends", "third_end")}
    assert ends == {outcome}
    assert (answer["verdict"] == "rejected") is (outcome == "not_met")
