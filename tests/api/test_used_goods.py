"""Used goods: what carries gas and what seals is never fitted again, and a description does not say that it is new."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.api.world import FIXTURES, Desk

pytestmark = pytest.mark.db
SOURCE = {"kind": "maker", "citation": "data sheet 2025, invented"}
PUMP_3 = {
    "spec": {"model": "OLM-K55", "spec": "D-30A"}, "serial": "204871", "plate_fuels": ["diesel"],
    "fuel_records": [{"fuels": ["diesel:B7"], "mode": "only_fuel", "found_on": "2026-01-12", "conversion_paper": None}],
    "place_of_use": "outdoor", "certified": False,
}  # fmt: skip


def golden(name: str) -> dict[str, Any]:
    question: dict[str, Any] = json.loads((FIXTURES / "cases" / f"{name}.json").read_text(encoding="utf-8"))["question"]
    return question


def ring(desk: Desk, number: str, condition: str) -> dict[str, str]:
    """A lift-pump seal like OLM 8815, in this condition."""
    found = desk.get("/parts/?maker=OLM&number=8815").json()["results"][0]
    record = desk.get(f"/parts/{found['id']}/").json()
    rows = [{name: row[name] for name in ("attribute", "slot", "value", "source")} for row in record["attributes"]]
    named = {"maker": "OLM", "number": number}
    desk.made("/parts/", {**named, "category": "seal", "supplied_as": "piece", "condition": condition,
                          "attributes": rows})  # fmt: skip
    return named


@pytest.mark.parametrize(("condition", "verdict"), [("new", "accepted"), ("used", "rejected")])
def test_a_used_ring_is_not_fitted_again_though_it_carries_no_gas(desk: Desk, condition: str, verdict: str) -> None:
    """O-ring handbook, failure chapter; Oak Ridge soak studies; common practice."""
    question = {"position": "lift_pump_seal_upper", "application": PUMP_3}
    answer = desk.answer({**question, "candidate": ring(desk, f"8815-{condition}", condition)})
    assert answer["verdict"] == verdict
    assert ("used seal is not fitted again" in answer["headline"]) is (condition == "used")


def test_goods_for_gas_known_by_a_description_alone_have_to_be_new(desk: Desk) -> None:
    """Common practice, no source: nobody who describes a lock-off says that it lay in a drawer of old ones."""
    answer = desk.answer(golden("lock-off-through-an-adapter"))
    assert answer["verdict"] == "conditional"
    (said,) = [condition for condition in answer["conditions"] if "description" in condition]
    assert said.endswith("and they are new: a used lock-off is not fitted again here")


def test_a_described_hose_for_diesel_may_be_any(desk: Desk) -> None:
    answer = desk.answer(golden("described-hose-is-never-plainly-right"))
    (said,) = [condition for condition in answer["conditions"] if "description" in condition]
    assert said == "the goods in hand are measured and agree with this description"
