"""The hours of a meter that was taken off count on: Resurfacer 1 comes to 8,000 lifetime hours, and is due."""

import pytest

from tests.acceptance.service_desk import due_on, machine_named, new_machine, task
from tests.api.world import Desk
from tests.desks import Clock

pytestmark = pytest.mark.db

OLD = {"code": "old", "unit": "hours", "counts": "engine", "start": "0"}
NEW = {
    "code": "new", "unit": "hours", "counts": "engine", "fitted_on": "2026-02-03", "start": "3",
    "replaces": {"meter": "old", "removed_on": "2026-02-03", "removed_at": "7842", "removed_by": "J. Haverill"},
}  # fmt: skip


def test_scenario_28_the_demo_machine_is_due_now(desk: Desk, clock: Clock) -> None:
    clock.at("2026-03-17T10:00:00+01:00")
    machine = machine_named(desk, "Resurfacer 1")
    desk.made(f"/machines/{machine}/readings/", {"meter": "new", "value": "161", "on": "2026-03-17"})
    due = due_on(desk, machine, "2026-03-17")
    assert (due["lifetime"]["hours"], due["held"]) == ("8000", [])
    plugs = task(due, "spark_plugs")
    assert (plugs["due_at_hours"], plugs["state"]) == ("8000", "due")
    assert due["levels"] == ["500"]


def test_scenario_28_the_meters_and_the_service_are_put_on_file_by_hand(desk: Desk, clock: Clock) -> None:
    clock.at("2026-03-17T10:00:00+01:00")
    machine = new_machine(desk, "Resurfacer 9")
    desk.made(f"/machines/{machine}/meters/", OLD)
    desk.made(f"/machines/{machine}/meters/", NEW)
    old = desk.get(f"/machines/{machine}/meters/old/").json()
    assert (old["removed_on"], old["removed_at"], old["removed_by"]) == ("2026-02-03", "7842", "J. Haverill")
    served = {"on": "2025-11-03", "hours": "7500", "levels": ["500"]}
    desk.made(f"/machines/{machine}/services-done/", served)
    desk.made(f"/machines/{machine}/readings/", {"value": "161", "on": "2026-03-17"})
    due = due_on(desk, machine, "2026-03-17")
    assert due["lifetime"] == {"on": "2026-03-17", "hours": "8000", "age_days": 0}
    assert task(due, "spark_plugs")["state"] == "due"
