"""The same week asked as a shop asks it: kits built for the demo's machines, then planned with the demo's stock.

Numbers are those of the trade notes' worked example (section 5); what else the pumps and the genset take is invented.
"""

from typing import Any

import pytest
from django.utils import timezone

from kits.models import ImportTable
from kits.usecases.demo_stock import load_stock
from service.operations.models import Dealer
from tests.acceptance.service_desk import machine_named
from tests.api.world import FIXTURES, Desk
from tests.desks import Clock

pytestmark = pytest.mark.db
JOBS = {
    "J1": {"Pump 3": "preseason", "Pump 4": "preseason", "Pump 5": "preseason"},
    "J2": {"Resurfacer 1": "500", "Resurfacer 2": "500"},
    "J3": {"Standby 1": "12-months"},
    "J4": {"Truck 11": "250", "Truck 12": "250", "Truck 13": "500", "Truck 14": "500"},
}


@pytest.fixture
def plan(desk: Desk, tallis_bridge: Dealer, clock: Clock) -> dict[str, Any]:
    clock.at("2026-03-23T10:00:00+01:00")
    folder = FIXTURES / "demo" / "stock"
    files = {table: (folder / f"{table}.csv").read_bytes() for table in ImportTable.values}
    load_stock(files, tallis_bridge, timezone.now)
    jobs = [
        {"name": job, "kits": [built(desk, machine, level) for machine, level in machines.items()]}
        for job, machines in JOBS.items()
    ]
    kits = [kit for job in jobs for kit in job["kits"]]
    return desk.made("/order-plans/", {"kits": kits, "jobs": jobs, "seconds": 0})


def built(desk: Desk, machine: str, level: str) -> str:
    body = {"machine": machine_named(desk, machine), "level": level, "fitted_on": "2026-04-13"}
    response = desk.post("/kits/", body, Idempotency_Key=f"{machine}-{level}".replace(" ", "-"))
    assert response.status_code == 201, response.content
    kit = response.json()
    assert kit["complete"], kit
    return str(kit["id"])


def test_scenario_33_the_demos_week_orders_what_the_notes_order(plan: dict[str, Any]) -> None:
    bought = {
        one["part"]["number"]: (one["pieces"], one["order_by"] and one["order_by"]["day"])
        for one in plan["purchases"]
        if one["content"] is None
    }
    assert bought == {
        "0021-460": (6, "2026-04-02"),
        "4410-12": (4, "2026-04-02"),
        "6611": (4, "2026-03-30"),
        "1102": (1, "2026-03-25"),
        "3307": (4, None),
    }
    assert {(late["part"]["number"], late["arrives"]) for late in plan["late"]} == {("3307", "2026-04-22")}
    (old,) = plan["old_stock"]
    assert (old["allowed_on"], len(old["not_allowed_on"])) == (["Resurfacer 1", "Resurfacer 2"], 4)


def test_scenario_33_the_demos_oil_is_bought_by_job_or_pooled(plan: dict[str, Any]) -> None:
    oil = next(one for one in plan["fluids"] if one["part"]["number"] == "9105")
    assert (oil["apart"]["amount"], oil["pooled"]["cost"]["amount"]) == ("187.00", "161.40")


def test_scenario_33_the_boxed_kit_is_shown_beside_its_loose_parts(plan: dict[str, Any]) -> None:
    choices = [one for one in plan["kit_or_loose"] if one["boxed"]["number"] == "K-H40-LPL-500"]
    assert choices
    assert {one["machine"] for one in choices} == {"Resurfacer 1", "Resurfacer 2", "Truck 13", "Truck 14"}
    assert {(one["boxed_price"]["amount"], one["loose"]["amount"]) for one in choices} == {("119.00", "132.45")}
    assert not any(one["boxed_whole"] for one in choices), "the valve is late, so none can be shipped complete"
