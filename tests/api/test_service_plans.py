"""Service plans: written whole or not at all, shared or a dealer's own, and chosen by rank."""

from copy import deepcopy
from typing import Any

import pytest

from kits.loading import plan_read
from kits.models import PlanPart, ServicePlan
from service.operations.models import Dealer, Scope
from tests.acceptance.service_desk import due_on, machine_named, new_machine
from tests.api.approving import refused
from tests.api.world import Desk

pytestmark = pytest.mark.db

EVERY: dict[str, Any] = {"kind": "every", "hours": "250", "span": {"months": 6}, "first": {"hours": "25"}}
FILTER = {"position": "oil_filter", "choices": [{"part": {"maker": "VRD", "number": "0021460"}}], "quantity": 1}
OIL = {"position": "engine_oil", "choices": [{"part": "9105"}], "quantity": "4.3", "unit": "L"}
PLAN: dict[str, Any] = {
    "code": "yard",
    "name": "Our own",
    "maker": "VRD",
    "model": "VRD-H40",
    "tasks": [
        {"code": "oil", "name": "Oil and filter", "kind": "replace", "trigger": EVERY, "parts": [FILTER, OIL],
         "opens": ["drain"]}
    ],
    "levels": [{"code": "250", "name": "250 h", "tasks": ["oil"]}],
    "joints": [{"code": "drain", "goods": None}],
}  # fmt: skip


def plan(**more: Any) -> dict[str, Any]:
    return {**deepcopy(PLAN), **more}


def with_task(**more: Any) -> dict[str, Any]:
    return plan(tasks=[{**deepcopy(PLAN["tasks"][0]), **more}])


def test_a_plan_is_kept_with_its_parts_named_as_the_catalogue_has_them(desk: Desk) -> None:
    made = desk.made("/service-plans/", PLAN)
    assert (made["shared"], made["version"], made["spec"], made["model"]) == (False, 1, None, "VRD-H40")
    oil = made["tasks"][0]
    assert oil["trigger"] == {
        "kind": "every", "hours": "250", "span": {"months": 6, "days": 0}, "anchor": "last_done",
        "first": {"hours": "25", "span": None},
    }  # fmt: skip
    named = [need["choices"][0]["part"] for need in oil["parts"]]
    assert [(part["maker"], part["number"]) for part in named] == [("VRD", "0021-460"), ("VRD", "9105")]
    assert [(need["quantity"], need["unit"]) for need in oil["parts"]] == [(1, "each"), ("4.3", "L")]
    assert desk.get(f"/service-plans/{made['id']}/").json() == made
    row = ServicePlan.objects.get(pk=made["id"])
    assert {one.part.number for one in PlanPart.objects.filter(plan=row)} == {"0021-460", "9105"}
    found = plan_read(row)
    assert [task.code for task in found.when.tasks] == [task.code for task in found.work] == ["oil"]
    assert found.work[0].parts[1].quantity == 4_300_000  # microlitres
    assert found.joints == ()  # a joint of which nobody knows what it takes


def test_every_way_of_falling_due_is_taken_and_shown_as_it_was_sent(desk: Desk) -> None:
    triggers: list[dict[str, Any]] = [
        {"kind": "every", "hours": "250", "span": None, "anchor": "fixed_multiples", "first": None},
        {"kind": "once", "hours": "250.5", "span": None},
        {"kind": "every_nth", "of": "task_0", "times": 3},
        {"kind": "age_limit", "span": {"months": 48, "days": 0}, "since": "manufacture"},
        {"kind": "on_condition", "question": "Is the indicator red?"},
        {"kind": "before_season"},
        {"kind": "before_storage"},
        {"kind": "after_event", "event": "flood"},
    ]
    tasks = [
        {"code": f"task_{n}", "name": f"Task {n}", "kind": "replace", "trigger": trigger}
        for n, trigger in enumerate(triggers)
    ]
    made = desk.made("/service-plans/", {"code": "all", "name": "All", "tasks": tasks})
    assert [task["trigger"] for task in made["tasks"]] == triggers


def test_every_problem_of_a_plan_is_told_at_once_and_nothing_is_kept(desk: Desk) -> None:
    body = plan(
        levels=[{"code": "250", "name": "250 h", "tasks": ["oil", "grease"], "contains": ["100"]}], joints=[]
    )  # fmt: skip
    task = body["tasks"][0]
    task["trigger"] = {"kind": "every"}
    task["applicability"] = {"any_fuel": ["lpg"], "places": ["moon"], "spec": {"model": "VRD-H40", "spec": "S-999"}}
    task["parts"][0]["position"] = "nowhere"
    response = desk.post("/service-plans/", body)
    assert response.status_code == 400
    assert {(error["pointer"], error["code"]) for error in response.json()["errors"]} == {
        ("#/tasks/0/trigger", "no_limit"), ("#/levels/0/tasks", "no_such_task"),
        ("#/levels/0/contains", "no_such_level"), ("#/tasks/0/opens/0", "no_such_joint"),
        ("#/tasks/0/parts/0/position", "unknown_position"), ("#/tasks/0/applicability/any_fuel/0", "unknown_fuel"),
        ("#/tasks/0/applicability/places/0", "unknown_code"), ("#/tasks/0/applicability/spec", "unknown_specification"),
    }  # fmt: skip
    assert not ServicePlan.objects.filter(code="yard").exists()


def test_a_part_nobody_knows_comes_with_suggestions(desk: Desk) -> None:
    filters = {**FILTER, "choices": [{"part": {"maker": "VRD", "number": "21-460"}}]}
    response = desk.post("/service-plans/", with_task(parts=[filters]))
    assert refused(response) == (404, "possible_lost_zero")
    assert response.json()["suggestions"][0]["part"]["number"] == "0021-460"
    assert response.json()["errors"][0]["pointer"] == "#/tasks/0/parts/0/choices/0/part"


@pytest.mark.parametrize(
    ("more", "pointer", "code"),
    [
        ({"trigger": {"kind": "sometimes"}}, "#/tasks/0/trigger/kind", "invalid_choice"),
        ({"trigger": "every 250 h"}, "#/tasks/0/trigger", "invalid"),
        ({"trigger": {"kind": "once", "hours": "250", "of": "x"}}, "#/tasks/0/trigger/of", "unknown_field"),
        ({"trigger": {"kind": "every", "hours": 250}}, "#/tasks/0/trigger/hours", "invalid"),
        ({"trigger": {"kind": "every", "hours": "0.25"}}, "#/tasks/0/trigger/hours", "max_places"),
        ({"trigger": {"kind": "every", "hours": "0"}}, "#/tasks/0/trigger/hours", "out_of_range"),
        ({"severe_percent": 0}, "#/tasks/0/severe_percent", "min_value"),
        ({"parts": [{**OIL, "unit": "mm"}]}, "#/tasks/0/parts/0/unit", "not_a_volume"),
        ({"parts": [{**OIL, "unit": "firkin"}]}, "#/tasks/0/parts/0/unit", "unknown_unit"),
        ({"parts": [{**FILTER, "quantity": "1"}]}, "#/tasks/0/parts/0/quantity", "invalid"),
        ({"parts": [{**FILTER, "quantity": 0}]}, "#/tasks/0/parts/0/quantity", "invalid"),
        ({"parts": [FILTER, {**OIL, "position": "oil_filter"}]}, "#/tasks/0/parts/1/unit", "mixed_units"),
        (
            {"kind": "examine", "tolerance": {"percent": 10, "source": {"kind": "maker", "citation": "sheet 4"}}},
            "#/tasks/0/tolerance", "tolerance_not_granted",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_refused_where_it_stands(
    desk: Desk, more: dict[str, Any], pointer: str, code: str
) -> None:
    response = desk.post("/service-plans/", with_task(**more))
    assert response.status_code == 400
    assert (pointer, code) in {(error["pointer"], error["code"]) for error in response.json()["errors"]}


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({"spec": {"model": "VRD-H40", "spec": "S-118"}}, "engine_in_one_way"),
        ({"maker": None}, "engine_in_one_way"),
        ({"model": "VRD-H41"}, "unknown_specification"),
        ({"maker": "VRE"}, "unknown_maker"),
    ],
)
def test_the_engine_is_named_in_one_way_and_known(desk: Desk, more: dict[str, Any], code: str) -> None:
    assert refused(desk.post("/service-plans/", plan(**more)))[1] == code


def test_a_plan_is_changed_by_who_has_read_it_and_a_list_takes_the_place_of_the_list(desk: Desk) -> None:
    address = f"/service-plans/{desk.made('/service-plans/', PLAN)['id']}/"
    assert desk.patch(address, {"name": "Renamed"}).status_code == 428
    assert desk.patch(address, {"name": "Renamed"}, If_Match='"7-x"').status_code == 412
    renamed = desk.changed(address, {"name": "Renamed"})
    assert (renamed["name"], renamed["version"], renamed["tasks"][0]["trigger"]["hours"]) == ("Renamed", 2, "250")
    changed = desk.changed(address, {"tasks": [{**PLAN["tasks"][0], "parts": [OIL]}]})
    assert [need["position"] for need in changed["tasks"][0]["parts"]] == ["engine_oil"]
    assert PlanPart.objects.filter(plan=changed["id"]).count() == 1
    assert desk.changed(address, {"status": "withdrawn"})["status"] == "withdrawn"


def test_a_code_is_given_once_a_dealer_and_found_by_filters(desk: Desk, other_desk: Desk) -> None:
    made = desk.made("/service-plans/", PLAN)
    assert refused(desk.post("/service-plans/", PLAN)) == (409, "taken")
    other_desk.made("/service-plans/", PLAN)
    for wanted in ("code=yard", "maker=VRD&code=yard", "model=VRD-H40&code=yard"):
        assert [row["id"] for row in desk.get(f"/service-plans/?{wanted}").json()["results"]] == [made["id"]]
    assert desk.get("/service-plans/?code=yard&spec=S-118").json()["results"] == []
    assert desk.get("/service-plans/?engine=VRD-H40").status_code == 400


def test_another_dealers_plan_is_not_found_and_a_shared_one_takes_the_catalogues_scope(
    desk: Desk, other_desk: Desk, tallis_bridge: Dealer, weir_lane: Dealer
) -> None:
    address = f"/service-plans/{desk.made('/service-plans/', PLAN)['id']}/"
    assert other_desk.get(address).status_code == 404
    assert refused(other_desk.patch(address, {"name": "x"}, If_Match="*")) == (404, "unknown_plan")
    shared = desk.get("/service-plans/?model=VRD-H40&code=VRD-H40").json()["results"][0]
    assert shared["shared"]
    assert other_desk.get(f"/service-plans/{shared['id']}/").status_code == 200
    clerk = Desk.of(weir_lane, scopes=[Scope.CATALOGUE_READ, Scope.MACHINES_WRITE])
    assert refused(clerk.post("/service-plans/", plan(shared=True, code="x"))) == (403, "missing_scope")
    assert refused(clerk.patch(f"/service-plans/{shared['id']}/", {"name": "x"}, If_Match="*"))[0] == 403
    editor = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ, Scope.CATALOGUE_WRITE])
    assert refused(editor.post("/service-plans/", PLAN)) == (403, "missing_scope")
    assert editor.made("/service-plans/", plan(shared=True, code="x"))["shared"]


def holding(desk: Desk, machine: str) -> tuple[Any, list[dict[str, Any]]]:
    file = desk.get(f"/machines/{machine}/service-file/").json()
    return (file["holds"] or {}).get("code"), file["missing"]


def test_the_nearest_plan_holds_the_dealers_own_before_shared_ones(desk: Desk) -> None:
    machine = machine_named(desk, "Truck 7")
    assert holding(desk, machine) == ("VRD-H40", [])
    desk.made("/service-plans/", PLAN)
    assert holding(desk, machine) == ("yard", [])
    build = {"spec": {"model": "VRD-H40", "spec": "S-131"}, "maker": None, "model": None}
    own = desk.made("/service-plans/", plan(code="build", **build))
    assert holding(desk, machine) == ("build", [])
    desk.made("/service-plans/", plan(code="build-2", **build))
    held, missing = holding(desk, machine)
    assert (held, [fact["fact"] for fact in missing]) == (None, ["service plan"])
    assert "build, build-2" in missing[0]["question"]
    due = due_on(desk, machine, "2026-03-09")
    assert (due["plan"], due["tasks"]) == (None, [])
    assert missing[0] in due["missing"]
    desk.changed(f"/machines/{machine}/service-file/", {"plan": own["id"]})
    assert holding(desk, machine) == ("build", [])


def test_an_engine_nobody_named_or_planned_for_asks_which(desk: Desk) -> None:
    nameless = desk.made("/machines/", {"name": "Found in a shed"})["id"]
    assert [fact["fact"] for fact in holding(desk, nameless)[1]] == ["engine specification"]
    unplanned = new_machine(desk, "Small set", spec=("VRD-G8", "G-14"))
    assert [fact["fact"] for fact in holding(desk, unplanned)[1]] == ["service plan"]
