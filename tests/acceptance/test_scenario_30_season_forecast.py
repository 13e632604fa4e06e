"""Pump 3 is forecast from its season alone; severe duty halves its interval."""

import pytest

from tests.acceptance.service_desk import due_on, machine_named, task
from tests.api.world import Desk
from tests.desks import Clock

pytestmark = pytest.mark.db


@pytest.fixture
def pump_3(desk: Desk, clock: Clock) -> str:
    """Read again before the season: it has not run since its last service."""
    clock.at("2026-04-10T10:00:00+02:00")
    machine: str = machine_named(desk, "Pump 3")
    desk.made(f"/machines/{machine}/readings/", {"value": "3120", "on": "2026-04-10"})
    return machine


def said(desk: Desk, machine: str, *, severe: bool) -> None:
    season = {"opens": {"month": 4, "day": 20}, "closes": {"month": 9, "day": 20}}
    period = {"least": "14", "most": "20", "season": season}
    desk.made(f"/machines/{machine}/use-profiles/", {"severe": severe, "periods": [period]})


def test_scenario_30_with_severe_duty_off_the_hours_alone_decide(desk: Desk, pump_3: str) -> None:
    said(desk, pump_3, severe=False)
    oil = task(due_on(desk, pump_3, "2026-04-10"), "engine_oil")
    assert (oil["window"]["earliest"], oil["window"]["latest"]) == ("2026-05-02", "2026-05-07")
    assert (oil["decided_by"], oil["due_at_hours"], oil["due_on"]) == ("hours", "3370", None)


def test_scenario_30_with_severe_duty_on_it_is_due_at_half_the_interval(desk: Desk, pump_3: str) -> None:
    said(desk, pump_3, severe=True)
    assert task(due_on(desk, pump_3, "2026-04-10"), "engine_oil")["due_at_hours"] == "3245"


def test_scenario_30_what_was_said_later_counts_from_that_day(desk: Desk, pump_3: str) -> None:
    said(desk, pump_3, severe=True)
    assert task(due_on(desk, pump_3, "2026-04-09"), "engine_oil")["due_at_hours"] == "3370"
