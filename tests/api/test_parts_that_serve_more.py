"""A part that serves all that is asked and more is not refused for the rest. (common practice, no source)"""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.world import Desk

pytestmark = pytest.mark.db


def engine(model: str, spec: str, serial: str, fuel: str) -> dict[str, Any]:
    record = {"fuels": [fuel], "mode": "only_fuel", "found_on": "2026-01-12", "conversion_paper": None}
    return {"spec": {"model": model, "spec": spec}, "serial": serial, "plate_fuels": [fuel], "fuel_records": [record],
            "place_of_use": "outdoor", "certified": False}  # fmt: skip


RESURFACER_1 = engine("VRD-H40", "S-118", "118402", "lpg_liquid")
PUMP_3 = engine("OLM-K55", "D-30A", "204871", "diesel")


def alike(desk: Desk, maker: str, number: str, attribute: str, value: list[str]) -> dict[str, str]:
    """A part like one of the demo's but for one attribute."""
    found = desk.get(f"/parts/?maker={maker}&number={number}").json()["results"][0]
    record = desk.get(f"/parts/{found['id']}/").json()
    rows = [
        {"attribute": row["attribute"], "slot": row["slot"], "source": row["source"],
         "value": value if row["attribute"] == attribute else row["value"]}
        for row in record["attributes"]
    ]  # fmt: skip
    named = {"maker": maker, "number": f"{number}-T"}
    body = {name: record[name] for name in ("category", "supplied_as", "condition")}
    desk.made("/parts/", {**named, **body, "attributes": rows})
    return named


@pytest.mark.parametrize(
    ("draws", "outcome"), [(["liquid"], "met"), (["liquid", "vapour"], "met"), (["vapour"], "not_met")]
)
def test_a_cylinder_that_gives_liquid_and_vapour_serves_where_liquid_is_drawn(
    desk: Desk, draws: list[str], outcome: str
) -> None:
    """A dual-service container serves either; one for vapour never serves for liquid."""
    cylinder = alike(desk, "VRD", "9033", "withdrawal", draws)
    answer = desk.answer({"candidate": cylinder, "position": "container", "application": RESURFACER_1})
    (found,) = [row["outcome"] for row in answer["findings"] if row["attribute"] == "withdrawal"]
    assert (found, answer["verdict"]) == (outcome, "conditional" if outcome == "met" else "rejected")


@pytest.mark.parametrize(
    ("media", "outcome"),
    [(["hydraulic_oil"], "met"), (["hydraulic_oil", "water_glycol"], "met"), (["compressed_air"], "not_met")],
)
def test_a_hydraulic_hose_for_another_fluid_as_well_serves_its_own(desk: Desk, media: list[str], outcome: str) -> None:
    hose = alike(desk, "TSK", "HX-410", "media", media)
    answer = desk.answer({"candidate": hose, "position": "hydraulic_hose", "application": PUMP_3})
    assert [row["outcome"] for row in answer["findings"] if row["attribute"] == "media"] == [outcome]
