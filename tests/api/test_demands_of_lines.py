"""The job that works out what supply lines ask of their positions, and the part checks that hear it."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils import timezone

from catalog.models import CatalogueState, EngineSpecification, PositionDemand
from catalog.usecases import line_planning
from service.operations import jobs
from tests.api.test_supply_checks import LP_GAS, TRUCK
from tests.api.test_supply_checks import asked as supply_answer
from tests.api.world import Desk, read

pytestmark = pytest.mark.db
LOW = {"maker": "TSK", "number": "7008"}


@pytest.fixture
def worked_out(desk: Desk) -> Desk:
    work_out()
    return desk


def work_out() -> None:
    line_planning.plan_catalogue(timezone.now())
    jobs.run_due(timezone.now)


def asked_of_the_vaporiser(desk: Desk) -> list[dict[str, Any]]:
    number = desk.get("/engine-specs/?model=VRD-H40&spec=S-131").json()["results"][0]["id"]
    positions = desk.get(f"/engine-specs/{number}/").json()["positions"]
    (vaporiser,) = (position for position in positions if position["code"] == "vaporiser")
    return [demand for demand in vaporiser["demands"] if demand["basis"] == "computed"]


def test_an_outlet_of_9_to_12_psi_is_refused_as_computed_for_the_line(worked_out: Desk) -> None:
    """Where the rail needs about 26 psi: common practice, no source."""
    question = {"candidate": LOW, "position": "vaporiser", "application": TRUCK["application"]}
    answer = worked_out.answer(question)
    assert answer["verdict"] == "rejected"
    (found,) = (entry for entry in answer["findings"] if entry["attribute"] == "outlet_pressure")
    assert found["outcome"] == "not_met"
    assert any(demand["attribute"] == "outlet_pressure" for demand in asked_of_the_vaporiser(worked_out))


def test_done_again_it_changes_nothing(worked_out: Desk) -> None:
    before = CatalogueState.objects.get().version
    demands = PositionDemand.objects.filter(basis="computed").count()
    assert demands > 0
    work_out()
    assert CatalogueState.objects.get().version == before
    assert PositionDemand.objects.filter(basis="computed").count() == demands


def test_a_changed_rail_is_asked_for_anew(worked_out: Desk) -> None:
    number = worked_out.get("/engine-specs/?model=VRD-H40&spec=S-131").json()["results"][0]["id"]
    stages = worked_out.get(f"/engine-specs/{number}/").json()["supply_stages"]
    for stage in stages:
        for value in stage["values"]:
            if value["attribute"] == "rail_pressure" and stage["fuel"] == "lpg_liquid":
                value["value"] = {"min": "9", "max": "12", "unit": "psi", "reference": "gauge"}
    worked_out.changed(f"/engine-specs/{number}/", {"supply_stages": stages})
    work_out()
    (window,) = (d["value"] for d in asked_of_the_vaporiser(worked_out) if d["attribute"] == "outlet_pressure")
    assert (window["min"], window["max"]) == ("9", "12")


def test_the_demo_answers_as_before(worked_out: Desk) -> None:
    for entry in read("demo", "checks.json"):
        assert worked_out.answer(entry["body"])["verdict"] == entry["verdict"]


def as_sent(position: dict[str, Any]) -> dict[str, Any]:
    stated = [demand for demand in position["demands"] if demand["basis"] != "computed"]
    inside = [{name: inner[name] for name in inner if name not in ("inside", "parts")} for inner in position["inside"]]
    kept = {name: value for name, value in position.items() if name != "parts"}
    return {**kept, "demands": stated, "inside": inside}


def of_truck(desk: Desk) -> str:
    """A truck burning LP-gas, as a machine; its address."""
    machine = desk.made(
        "/machines/",
        {"name": "Truck 71", "spec": TRUCK["application"]["spec"], "plate_fuels": ["lpg_liquid:HD-5"],
         "certified": False},
    )  # fmt: skip
    desk.made(f"/machines/{machine['id']}/fuel-records/", LP_GAS)
    return f"/machines/{machine['id']}/"


def rebuilt(desk: Desk, address: str, **changed: Any) -> None:
    desk.made(
        f"{address}as-built/",
        {"position": "vaporiser", "category": "regulator", "branch": "lpg_liquid",
         "ports": [{"port": "inlet", "fuel": "lpg_liquid", "classes": ["LPG-CL"]},
                   {"port": "outlet", "fuel": "lpg_liquid", "classes": ["LPG-VI"]}],
         "source": {"kind": "record", "citation": "looked at on 2026-01-12"}, **changed},
    )  # fmt: skip


def of_machine(address: str) -> dict[str, Any]:
    question = {name: value for name, value in TRUCK.items() if name != "application"}
    return {**question, "machine": address.split("/")[2]}


def test_a_line_is_judged_by_the_part_found_on_the_machine(desk: Desk) -> None:
    address = of_truck(desk)
    rebuilt(desk, address, part=LOW)
    answer = supply_answer(desk, of_machine(address))
    assert answer["verdict"] == "rejected"
    assert answer["headline"].startswith("The gas rail does not get the 23 psi gauge it needs")


def test_a_part_nobody_can_name_leaves_the_line_open_and_says_what_to_find_out(desk: Desk) -> None:
    address = of_truck(desk)
    rebuilt(desk, address, described={"maker_text": "no name", "number_text": "R 2"})
    answer = supply_answer(desk, of_machine(address))
    assert answer["verdict"] == "undetermined"
    assert any(asked["fact"].startswith("vaporiser: ") for asked in answer["missing"])


def test_a_line_through_what_was_taken_out_is_not_the_machines_line(desk: Desk) -> None:
    address = of_truck(desk)
    gone = {"position": "lock_off", "removed": True, "source": {"kind": "record", "citation": "seen"}}
    desk.made(f"{address}as-built/", gone)
    answer = supply_answer(desk, of_machine(address))
    assert answer["verdict"] == "undetermined"
    assert "lock off" in answer["headline"]
    assert [asked["fact"] for asked in answer["missing"]] == ["supply line: lock off"]
    before = computed(asked_of(desk, address, "vaporiser"))
    jobs.run_due(timezone.now)
    assert computed(asked_of(desk, address, "vaporiser")) == before


def asked_of(desk: Desk, address: str, position: str) -> dict[str, Any]:
    return desk.answer({"candidate": LOW, "position": position, "machine": address.split("/")[2]})


def computed(answer: dict[str, Any]) -> list[dict[str, Any]]:
    return [found for found in answer["findings"] if (found["demand"] or {}).get("basis") == "computed"]


def test_a_rebuilt_position_is_asked_what_the_machines_own_line_needs(desk: Desk) -> None:
    """The specification states nothing of it any more; the rail behind it still needs its 23 psi."""
    address = of_truck(desk)
    version = desk.get(address).headers["ETag"]
    rebuilt(desk, address, described={"maker_text": "no name", "number_text": "R 2"})
    assert computed(asked_of(desk, address, "vaporiser")) == []
    written = desk.get(address).headers["ETag"]
    assert written != version
    jobs.run_due(timezone.now)
    answer = asked_of(desk, address, "vaporiser")
    assert {found["attribute"] for found in computed(answer) if found["outcome"] == "not_met"} == {"outlet_pressure"}
    assert answer["verdict"] == "rejected"
    # Nothing that anybody stated has changed.
    assert desk.get(address).headers["ETag"] == written


def test_what_has_not_changed_is_not_worked_out_again(worked_out: Desk) -> None:
    work_out()
    before = dict(EngineSpecification.objects.exclude(line_digest="").values_list("pk", "line_digest"))
    assert before
    number = worked_out.get("/engine-specs/?model=VRD-H40&spec=S-131").json()["results"][0]["id"]
    stages = worked_out.get(f"/engine-specs/{number}/").json()["supply_stages"]
    worked_out.changed(f"/engine-specs/{number}/", {"supply_stages": [{**stage, "name": "x"} for stage in stages]})
    work_out()
    after = dict(EngineSpecification.objects.exclude(line_digest="").values_list("pk", "line_digest"))
    assert {pk for pk in before if before[pk] != after[pk]} == {number}


def test_positions_sent_anew_keep_what_was_computed_for_them(worked_out: Desk) -> None:
    before = asked_of_the_vaporiser(worked_out)
    number = worked_out.get("/engine-specs/?model=VRD-H40&spec=S-131").json()["results"][0]["id"]
    positions = worked_out.get(f"/engine-specs/{number}/").json()["positions"]
    worked_out.changed(f"/engine-specs/{number}/", {"positions": [as_sent(position) for position in positions]})
    assert asked_of_the_vaporiser(worked_out) == before


def test_what_the_lines_of_another_engine_asked_is_forgotten_with_that_engine(desk: Desk) -> None:
    address = of_truck(desk)
    rebuilt(desk, address, described={"maker_text": "no name", "number_text": "R 2"})
    jobs.run_due(timezone.now)
    assert computed(asked_of(desk, address, "vaporiser"))
    desk.changed(address, {"spec": {"model": "VRD-H40", "spec": "S-118"}})
    assert computed(asked_of(desk, address, "vaporiser")) == []
