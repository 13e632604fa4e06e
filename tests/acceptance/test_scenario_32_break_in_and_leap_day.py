"""After the break-in oil the row's anchor says what comes next; a year after 29 February is the 28th."""

from typing import Any

import pytest

from tests.acceptance.service_desk import due_on, new_machine, task
from tests.api.world import Desk
from tests.desks import Clock

pytestmark = pytest.mark.db


def plan(desk: Desk, code: str, trigger: dict[str, Any]) -> str:
    """A plan of the dealer's own with one row."""
    row = {"code": "oil", "name": "Oil", "kind": "replace", "trigger": trigger}
    made: str = desk.made("/service-plans/", {"code": code, "name": code, "tasks": [row]})["id"]
    return made


def file(desk: Desk, machine: str, **stated: Any) -> None:
    desk.changed(f"/machines/{machine}/service-file/", {"record_complete": True, **stated})


@pytest.mark.parametrize(("anchor", "following"), [("last_done", "225"), ("fixed_multiples", "200")])
def test_scenario_32_first_at_25_h_then_as_the_row_is_anchored(
    desk: Desk, clock: Clock, anchor: str, following: str
) -> None:
    clock.at("2026-03-09T10:15:00+01:00")
    machine = new_machine(desk, "Set 1")
    number = plan(desk, "break-in", {"kind": "every", "hours": "200", "anchor": anchor, "first": {"hours": "25"}})
    file(desk, machine, plan=number, in_service="2026-01-01")
    desk.made(
        f"/machines/{machine}/meters/",
        {"code": "M1", "unit": "hours", "counts": "engine", "start": "0", "fitted_on": "2026-01-01"},
    )
    desk.made(f"/machines/{machine}/readings/", {"value": "25", "on": "2026-03-09"})
    first = task(due_on(desk, machine, "2026-03-09"), "oil")
    assert (first["due_at_hours"], first["state"]) == ("25", "due")
    shown = {"on": "2026-03-09", "reading": {"meter": "M1", "value": "25"}, "tasks": ["oil"]}
    assert desk.made(f"/machines/{machine}/services-done/", shown)["hours"] == "25"
    assert task(due_on(desk, machine, "2026-03-09"), "oil")["due_at_hours"] == following


def test_scenario_32_twelve_months_after_a_leap_day(desk: Desk, clock: Clock) -> None:
    clock.at("2026-03-09T10:15:00+01:00")
    machine = new_machine(desk, "Set 2")
    number = plan(desk, "yearly", {"kind": "every", "span": {"months": 12}})
    file(desk, machine, plan=number, in_service="2020-01-01")
    desk.made(f"/machines/{machine}/services-done/", {"on": "2024-02-29", "tasks": ["oil"]})
    due = task(due_on(desk, machine, "2024-03-09"), "oil")
    assert (due["due_on"], due["state"], due["decided_by"]) == ("2025-02-28", "not_yet", "calendar")
