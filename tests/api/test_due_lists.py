"""Due lists over HTTP: what they rest on, what they leave out, and how many statements they cost."""

from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.loading import forget
from catalog.models import EngineSpecification, Machine
from catalog.models.machine_facts import machine_text
from kits.models import MachineMeter, MeterReading, ServiceFile, ServiceRecord, UseProfile
from service.operations.models import Dealer
from tests.acceptance.service_desk import due_on, machine_named, task
from tests.api.world import NOW, Desk

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]


def test_a_due_list_shows_what_it_rests_on(desk: Desk) -> None:
    due = due_on(desk, machine_named(desk, "Truck 7"), "2026-03-09")
    assert due["lifetime"] == {"on": "2026-03-09", "hours": "4529", "age_days": 0}
    assert [reading["hours"] for reading in due["series"]["readings"]] == ["4310", "4368", "4422", "4481", "4529"]
    marks = {mark["hours"]: mark for mark in due["series"]["forecast"]}
    assert {name: marks["4560"][name] for name in ("earliest", "latest")} == {
        name: task(due, "engine_oil")["window"][name] for name in ("earliest", "latest")
    }
    assert list(marks) == sorted(marks, key=float)
    assert [caution["code"] for caution in due["cautions"]] == ["no_use_profile"]
    assert (task(due, "spark_plugs")["due_at_hours"], due["levels"]) == ("4560", [])
    later = due_on(desk, machine_named(desk, "Truck 13"), "2026-03-09")
    assert (task(later, "spark_plugs")["state"], later["levels"]) == ("overdue", ["500"])


def test_the_horizon_leaves_out_what_cannot_fall_due_within_it(desk: Desk) -> None:
    truck = machine_named(desk, "Truck 7")
    codes = {days: {entry["task"]["code"] for entry in due_on(desk, truck, "2026-03-09", horizon_days=days)["tasks"]}
             for days in (0, 6, 30, 900)}  # fmt: skip
    assert "engine_oil" not in codes[0]
    assert "engine_oil" in codes[30]
    assert "gas_hose" not in codes[30]  # of 2028-06-01
    assert "gas_hose" in codes[900]
    assert codes[0] <= codes[6] <= codes[30] <= codes[900]


def test_a_machine_without_a_meter_goes_by_the_calendar_and_asks_for_hours(desk: Desk) -> None:
    due = due_on(desk, machine_named(desk, "Pump 4"), "2026-03-09")
    oil = task(due, "engine_oil")
    assert (due["lifetime"], oil["state"], oil["window"]) == (None, "unknown", None)
    assert "hours at last Engine oil" in [fact["fact"] for fact in oil["missing"]]
    season = task(due, "preseason_fuel_filter")
    assert (season["due_on"], season["decided_by"]) == ("2026-04-20", "season")


def test_a_fuel_nobody_has_looked_for_leaves_the_gas_work_unknown(desk: Desk) -> None:
    due = due_on(desk, machine_named(desk, "Truck 2"), "2026-03-09")
    lock_off = task(due, "lock_off_filter")
    assert (lock_off["state"], "fuel as-found" in [fact["fact"] for fact in lock_off["missing"]]) == ("unknown", True)


def test_the_old_reading_is_warned_of(desk: Desk) -> None:
    due = due_on(desk, machine_named(desk, "Pump 5"), "2026-03-09")
    assert due["lifetime"]["age_days"] == 172
    assert "old_reading" in [caution["code"] for caution in due["cautions"]]


def test_all_machines_are_listed_in_pages_that_skip_and_repeat_none(desk: Desk) -> None:
    page = desk.get("/due/?as_of=2026-03-09&page_size=4").json()
    names = [row["machine"]["name"] for row in page["results"]]
    while page["next"]:
        page = desk.get(page["next"].partition("/api/v1")[2]).json()
        names += [row["machine"]["name"] for row in page["results"]]
    assert names == sorted(Machine.objects.values_list("name", flat=True))
    before = desk.get(page["previous"].partition("/api/v1")[2]).json()
    assert [row["machine"]["name"] for row in before["results"]] == names[8:12]


def test_the_list_is_narrowed_by_state_customer_and_days(desk: Desk) -> None:
    overdue = desk.get("/due/?as_of=2026-03-09&state=overdue").json()["results"]
    assert {"Truck 13", "Truck 14"} <= {row["machine"]["name"] for row in overdue}
    assert {entry["state"] for row in overdue for entry in row["tasks"]} == {"overdue"}
    customer = desk.get("/customers/").json()["results"][0]
    of_one = desk.get(f"/due/?customer={customer['id']}").json()["results"]
    assert {row["customer"]["name"] for row in of_one} == {customer["name"]}
    near = desk.get("/due/?as_of=2026-03-09&within=10&state=not_yet").json()["results"]
    of_truck = next(row["tasks"] for row in near if row["machine"]["name"] == "Truck 7")
    assert {entry["task"]["code"] for entry in of_truck} >= {"engine_oil", "oil_filter"}
    assert "gas_hose" not in {entry["task"]["code"] for entry in of_truck}
    assert desk.get("/due/?state=late").status_code == 400
    assert desk.get(f"/due/?customer={uuid4()}").json()["results"] == []


def test_a_machine_without_a_plan_is_unknown_and_never_left_out_in_silence(desk: Desk) -> None:
    desk.made("/machines/", {"name": "Found in a shed"})
    unknown = desk.get("/due/?state=unknown").json()["results"]
    shed = next(row for row in unknown if row["machine"]["name"] == "Found in a shed")
    assert (shed["tasks"], [fact["fact"] for fact in shed["missing"]]) == ([], ["engine specification"])
    assert "Found in a shed" not in [
        row["machine"]["name"] for row in desk.get("/due/?state=overdue").json()["results"]
    ]


@pytest.mark.parametrize("as_of", ["0001-01-01", "1999-12-31", "2026-04-20", "9999-12-31"])
def test_any_day_of_the_calendar_can_be_asked_about(desk: Desk, as_of: str) -> None:
    listed = desk.get(f"/due/?as_of={as_of}&within=3660&page_size=200")
    assert listed.status_code == 200
    for row in listed.json()["results"]:
        due = due_on(desk, row["machine"]["id"], as_of, horizon_days=3660)
        assert [entry["task"] for entry in due["tasks"]] == [entry["task"] for entry in row["tasks"]]


def test_another_dealers_machines_are_not_in_the_list(other_desk: Desk) -> None:
    assert other_desk.get("/due/").json()["results"] == []


def fleet(dealer: Dealer, count: int) -> None:
    """So many machines, each with a meter, readings, a profile and a service."""
    spec = EngineSpecification.objects.get(model="VRD-H40", spec="S-131")
    for n in range(count):
        machine = Machine(dealer=dealer, name=f"Hired {n}", specification=spec, serial=str(132000 + n))
        machine.facts = machine_text(machine, (), ())
        machine.save()
        ServiceFile.objects.create(machine=machine)
        meter = MachineMeter.objects.create(machine=machine, code="M1", unit="hours", counts="engine", start=0)
        MeterReading.objects.bulk_create(
            MeterReading(meter=meter, on=f"2026-0{month}-01", shows=1000 * month, entered_by="x", entered_at=NOW)
            for month in (1, 2, 3)
        )
        UseProfile(machine=machine, said_on="2026-01-01", said_by="x", severe=False).save()
        ServiceRecord(machine=machine, on="2026-01-01", hours=1000, levels=["250"], by="x", entered_at=NOW).save()


def statements(desk: Desk) -> int:
    forget()
    with CaptureQueriesContext(connection) as captured:
        answer: Any = desk.get("/due/?as_of=2026-03-09&page_size=200")
    assert answer.status_code == 200
    return len(captured)


def test_a_page_costs_the_same_number_of_statements_for_3_and_for_30_machines(
    other_desk: Desk, weir_lane: Dealer
) -> None:
    fleet(weir_lane, 3)
    statements(other_desk)  # the first of a process loads the rulebook
    few = statements(other_desk)
    for machine in Machine.objects.filter(dealer=weir_lane):
        machine.name = f"Old {machine.name}"
        machine.save()
    fleet(weir_lane, 27)
    assert statements(other_desk) == few
    assert few <= 18  # the key and its scopes, the catalogue, the plans, and six of records
