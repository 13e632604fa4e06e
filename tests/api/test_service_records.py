"""Services done, use profiles, observations and the service file over HTTP."""

from typing import Any
from uuid import uuid4

import pytest

from tests.acceptance.service_desk import due_on, machine_named, new_machine, task
from tests.api.approving import refused
from tests.api.world import Desk
from tests.desks import Clock

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]


def errors(response: Any) -> set[tuple[str, str]]:
    return {(error["pointer"], error["code"]) for error in response.json()["errors"]}


@pytest.fixture
def truck(desk: Desk) -> str:
    machine: str = machine_named(desk, "Truck 7")
    return machine


def test_work_is_put_on_file_with_its_order_and_parts_and_restarts_what_it_did(desk: Desk, truck: str) -> None:
    order = desk.made("/work-orders/", {"number": "J9", "machine": truck})
    body = {
        "on": "2026-03-09", "reading": {"meter": "M1", "value": "4529"}, "levels": ["250"], "work_order": "J9",
        "by": "J. Haverill", "parts": [{"part": "0021-460", "quantity": 1, "position": "oil_filter"}],
    }  # fmt: skip
    kept = desk.made(f"/machines/{truck}/services-done/", body)
    assert (kept["hours"], kept["work_order"]["id"], kept["plan"]["code"]) == ("4529", order["id"], "VRD-H40")
    assert kept["parts"][0]["part"] == {"maker": "VRD", "number": "0021-460"}
    assert desk.get(f"/machines/{truck}/services-done/{kept['id']}/").json() == kept
    due = due_on(desk, truck, "2026-03-09")
    assert task(due, "engine_oil")["due_at_hours"] == "4779"
    assert task(due, "spark_plugs")["due_at_hours"] == "4560"  # a small service leaves the large ones alone


def test_what_was_read_with_the_work_is_a_reading_of_the_machine_once(desk: Desk, truck: str) -> None:
    """Whoever closes the job has read the meter, and nobody reads it again (common practice, no source)."""
    body = {"on": "2026-03-09", "reading": {"meter": "M1", "value": "4529"}, "levels": ["250"]}
    desk.made(f"/machines/{truck}/services-done/", body)
    address = f"/machines/{truck}/readings/"
    assert [one["value"] for one in desk.get(address).json()["results"] if one["on"] == "2026-03-09"] == ["4529"]


def test_the_forecast_goes_on_from_what_was_read_with_the_work(desk: Desk, truck: str, clock: Clock) -> None:
    clock.at("2026-03-20T10:15:00+01:00")
    body = {"on": "2026-03-20", "reading": {"meter": "M1", "value": "4562.5"}, "levels": ["250"]}
    address = f"/machines/{truck}/services-done/"
    kept = desk.made(address, body)
    plugs = task(due_on(desk, truck, "2026-03-20"), "spark_plugs")
    assert (plugs["due_at_hours"], plugs["state"]) == ("4560", "overdue")  # it was read: the plugs were left out
    read = [one for one in desk.get(f"/machines/{truck}/readings/").json()["results"] if one["on"] == "2026-03-20"]
    assert [(one["value"], one["note"], one["held"]) for one in read] == [("4562.5", "Read when work was done.", None)]
    desk.post(f"{address}{kept['id']}/withdraw/", {"reason": "it was truck 8"})
    assert task(due_on(desk, truck, "2026-03-20"), "spark_plugs")["state"] != "overdue"


def test_a_reading_of_the_work_that_cannot_be_is_held_and_the_service_stands(desk: Desk, truck: str) -> None:
    body = {"on": "2026-03-09", "reading": {"meter": "M1", "value": "45290"}, "levels": ["250"]}
    desk.made(f"/machines/{truck}/services-done/", body)
    read = desk.get(f"/machines/{truck}/readings/").json()["results"]
    assert [one["held"]["reason"] for one in read if one["value"] == "45290"] == ["jump"]
    oil = task(due_on(desk, truck, "2026-03-09"), "engine_oil")
    assert (oil["state"], oil["open"]) == ("unknown", ["hours"])


def test_every_problem_of_a_service_is_told_at_once(desk: Desk, truck: str) -> None:
    desk.made("/work-orders/", {"number": "J8", "machine": machine_named(desk, "Pump 3")})
    body = {
        "on": "2026-03-10", "reading": {"meter": "M2", "value": "1"}, "levels": ["300"], "tasks": ["engine_oil", "x"],
        "work_order": "J8", "parts": [{"part": "no such part", "quantity": 1}],
    }  # fmt: skip
    assert errors(desk.post(f"/machines/{truck}/services-done/", body)) == {
        ("#/on", "in_the_future"), ("#/levels/0", "no_such_level"), ("#/tasks/1", "no_such_task"),
        ("#/reading/meter", "unknown_meter"), ("#/work_order", "work_order_elsewhere"),
        ("#/parts/0/part", "unknown_part"),
    }  # fmt: skip
    nothing = desk.post(f"/machines/{truck}/services-done/", {"on": "2026-03-09"})
    assert errors(nothing) == {("#/tasks", "required")}
    twice = {"on": "2026-03-09", "levels": ["250"], "hours": "1", "reading": {"meter": "M1", "value": "1"}}
    assert errors(desk.post(f"/machines/{truck}/services-done/", twice)) == {("#/reading", "hours_twice")}


def test_hours_that_no_meter_can_tell_are_asked_for_and_never_guessed(desk: Desk) -> None:
    south = machine_named(desk, "Genset South")  # nobody wrote down what its meter began at
    shown = {"on": "2026-02-02", "reading": {"meter": "M1", "value": "1405"}, "levels": ["12-months"]}
    response = desk.post(f"/machines/{south}/services-done/", shown)
    assert errors(response) == {("#/reading", "lifetime_unknown")}
    assert "What did meter M1 show when it was fitted?" in response.json()["detail"]


def test_a_machine_without_a_plan_names_the_plan_whose_work_was_done(desk: Desk) -> None:
    machine = new_machine(desk, "Small set", spec=("VRD-G8", "G-14"))
    body = {"on": "2026-03-09", "levels": ["250"]}
    assert errors(desk.post(f"/machines/{machine}/services-done/", body)) == {("#/plan", "plan_unknown")}
    plan = desk.get("/service-plans/?code=VRD-H40").json()["results"][0]["id"]
    assert desk.made(f"/machines/{machine}/services-done/", {**body, "plan": plan})["hours"] is None
    unknown = desk.post(f"/machines/{machine}/services-done/", {**body, "plan": str(uuid4())})
    assert refused(unknown) == (404, "unknown_plan")


def test_a_mistaken_service_is_withdrawn_once_and_counts_for_nothing(desk: Desk, truck: str) -> None:
    address = f"/machines/{truck}/services-done/"
    kept = desk.made(address, {"on": "2026-03-02", "hours": "4500", "levels": ["250"]})
    assert task(due_on(desk, truck, "2026-03-09"), "engine_oil")["due_at_hours"] == "4750"
    assert desk.post(f"{address}{kept['id']}/withdraw/", {}).status_code == 400
    gone = desk.post(f"{address}{kept['id']}/withdraw/", {"reason": "another truck"})
    assert (gone.status_code, gone.json()["withdrawn"]["reason"]) == (200, "another truck")
    assert refused(desk.post(f"{address}{kept['id']}/withdraw/", {"reason": "again"})) == (409, "already_withdrawn")
    assert task(due_on(desk, truck, "2026-03-09"), "engine_oil")["due_at_hours"] == "4560"
    assert kept["id"] in {row["id"] for row in desk.get(address).json()["results"]}


def test_a_service_written_down_with_a_digit_too_many_does_not_put_the_next_one_off(desk: Desk, truck: str) -> None:
    """Truck 7's meter showed 4,529 h on 9 March; 45,290 h on the 2nd would have it serviced years from now."""
    address = f"/machines/{truck}/services-done/"
    kept = desk.made(address, {"on": "2026-03-02", "hours": "45290", "levels": ["250"]})
    oil = task(due_on(desk, truck, "2026-03-09"), "engine_oil")
    assert (oil["state"], oil["open"], oil["due_on"]) == ("unknown", ["hours"], "2026-09-02")
    assert oil["missing"][0]["question"] == (
        "At how many hours was this done on 2026-03-02: Engine oil? 45290 h is on record, more than the 4529 h that "
        "were read on 2026-03-09."
    )
    desk.post(f"{address}{kept['id']}/withdraw/", {"reason": "a digit too many"})
    desk.made(address, {"on": "2026-03-02", "hours": "4500", "levels": ["250"]})
    assert task(due_on(desk, truck, "2026-03-09"), "engine_oil")["due_at_hours"] == "4750"


def test_severe_duty_that_nobody_has_told_of_is_reckoned_both_ways(desk: Desk) -> None:
    pump = machine_named(desk, "Pump 3")
    desk.made(f"/machines/{pump}/use-profiles/", {"periods": []})
    oil = task(due_on(desk, pump, "2026-03-09"), "engine_oil")
    assert (oil["due_at_hours"], oil["if_severe"]["due_at_hours"]) == ("3370", "3245")
    assert "severe duty" in [fact["fact"] for fact in oil["missing"]]


@pytest.mark.parametrize(
    ("period", "pointer"),
    [
        ({"least": "20", "most": "14"}, "#/periods/0"),
        ({"least": "1", "most": "25"}, "#/periods/0/most"),
        ({"least": "1", "most": "2", "first": "2026-05-01", "last": "2026-04-01"}, "#/periods/0"),
        (
            {"least": "1", "most": "2", "season": {"opens": {"month": 2, "day": 30}, "closes": {"month": 5, "day": 1}}},
            "#/periods/0/season/opens/day",
        ),
    ],
)
def test_a_use_that_no_day_has_is_refused(desk: Desk, truck: str, period: dict[str, Any], pointer: str) -> None:
    response = desk.post(f"/machines/{truck}/use-profiles/", {"periods": [period]})
    assert (response.status_code, [error["pointer"] for error in response.json()["errors"]]) == (400, [pointer])


def test_a_date_code_moves_the_age_limit(desk: Desk, truck: str) -> None:
    """From its date code, not from its fitting: the row says which (a lift-truck maker's fuel hoses)."""
    assert task(due_on(desk, truck, "2026-03-09"), "gas_hose")["due_on"] == "2028-06-01"
    seen = {"kind": "part_fitted", "subject": "gas_hose", "manufactured": "2021-03-01", "fitted": "2021-05-01"}
    kept = desk.made(f"/machines/{truck}/observations/", seen)
    hose = task(due_on(desk, truck, "2026-03-09"), "gas_hose")
    assert (hose["due_on"], hose["state"], hose["decided_by"]) == ("2026-03-01", "overdue", "age")
    address = f"/machines/{truck}/observations/{kept['id']}/"
    assert desk.get(address).json() == kept
    assert desk.post(f"{address}withdraw/", {"reason": "another truck"}).status_code == 200
    assert task(due_on(desk, truck, "2026-03-09"), "gas_hose")["due_on"] == "2028-06-01"


def test_a_condition_and_an_event_bring_their_work_due(desk: Desk) -> None:
    pump = machine_named(desk, "Pump 3")
    air = task(due_on(desk, pump, "2026-03-09"), "air_indicator")
    assert (air["state"], air["missing"][0]["question"]) == (
        "unknown", "Does the restriction indicator of the air cleaner show red?",
    )  # fmt: skip
    address = f"/machines/{pump}/observations/"
    desk.made(address, {"kind": "condition", "task": "air_indicator", "met": True})
    desk.made(address, {"kind": "event", "event": "flood", "on": "2026-03-01"})
    due = due_on(desk, pump, "2026-03-09")
    assert [task(due, code)["state"] for code in ("air_indicator", "after_flood")] == ["due", "overdue"]
    assert task(due_on(desk, pump, "2026-02-28"), "after_flood")["settled"]  # it had not happened yet


@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        ({"kind": "event", "event": "earthquake"}, "#/event", "no_such_event"),
        ({"kind": "condition", "task": "engine_oil", "met": True}, "#/task", "no_such_task"),
        ({"kind": "part_fitted", "subject": "horn", "fitted": "2026-01-01"}, "#/subject", "no_such_subject"),
        ({"kind": "part_fitted", "subject": "engine_oil"}, "#/manufactured", "required"),
        ({"kind": "condition", "task": "air_indicator"}, "#/met", "required"),
        ({"kind": "event", "event": "flood", "met": True}, "#/met", "not_of_kind"),
        ({"kind": "event", "event": "flood", "on": "2026-03-10"}, "#/on", "in_the_future"),
    ],
)
def test_what_changes_nothing_or_was_not_seen_is_refused(
    desk: Desk, body: dict[str, Any], pointer: str, code: str
) -> None:
    response = desk.post(f"/machines/{machine_named(desk, 'Pump 3')}/observations/", body)
    assert (response.status_code, errors(response)) == (400, {(pointer, code)})


def test_the_service_file_is_changed_by_who_has_read_it(desk: Desk, other_desk: Desk) -> None:
    machine = new_machine(desk, "Set 1", spec=("TSK-R60", "N-43"))
    address = f"/machines/{machine}/service-file/"
    untouched = desk.get(address).json()
    assert (untouched["plan"], untouched["in_service"], untouched["record_complete"]) == (None, None, False)
    assert desk.patch(address, {"record_complete": True}).status_code == 428
    changed = desk.changed(address, {"in_service": "2025-04-14", "record_complete": True})
    assert (changed["in_service"], changed["record_complete"]) == ("2025-04-14", True)
    tag = desk.get(address).headers["ETag"]
    desk.made(f"/machines/{machine}/use-profiles/", {"severe": True})
    assert desk.patch(address, {"in_service": None}, If_Match=tag).status_code == 412
    theirs = other_desk.made("/service-plans/", {
        "code": "theirs", "name": "Theirs",
        "tasks": [{"code": "a", "name": "A", "kind": "test", "trigger": {"kind": "before_season"}}],
    })  # fmt: skip
    refusal = desk.patch(address, {"plan": theirs["id"], "in_service": "2026-03-10"}, If_Match="*")
    assert errors(refusal) == {("#/plan", "unknown_plan"), ("#/in_service", "in_the_future")}
