"""Truck 7 comes due by hours within three days of March; nobody is given one single date."""

from datetime import date, timedelta

import pytest

from tests.acceptance.service_desk import due_on, machine_named, task
from tests.api.world import Desk

pytestmark = pytest.mark.db


def test_scenario_26_the_250_h_service_falls_between_16_and_18_march(desk: Desk) -> None:
    due = due_on(desk, machine_named(desk, "Truck 7"), "2026-03-09")
    oil = task(due, "engine_oil")
    assert (oil["due_at_hours"], oil["due_on"], oil["decided_by"]) == ("4560", "2026-07-12", "hours")
    earliest, latest = (date.fromisoformat(oil["window"][name]) for name in ("earliest", "latest"))
    assert abs(earliest - date(2026, 3, 16)) <= timedelta(days=1)
    assert abs(latest - date(2026, 3, 18)) <= timedelta(days=1)
    assert earliest < latest
    assert oil["state"] == "not_yet"
    assert ([entry["hours"] for entry in oil["readings_used"]], oil["last_reading_age_days"]) == (
        ["4310", "4368", "4422", "4481", "4529"], 0,
    )  # fmt: skip
    assert oil["words"].endswith("from 5 readings, last one 0 days old; hours decide")
