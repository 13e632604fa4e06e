"""Building kits: what a machine's work takes, decided line by line; and what a request is refused for."""

from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.models import Check, EngineSpecification, PartContent
from kits.models import Kit, ServicePlan, Supplier
from service.operations.models import Branch, Dealer, Scope
from tests.api.approving import machine_named, refused
from tests.api.kit_cast import LITRE, build, built, full_shelf, handle, key, line_at, part, price, shelve
from tests.api.world import Desk
from tests.desks import Clock
from tests.imports.importer import imported

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]


def pointers(response: Any) -> set[str]:
    return {fault.get("pointer") for fault in response.json()["errors"]}


def test_a_kit_is_kept_and_read_as_it_was_answered(desk: Desk, tallis_bridge: Dealer) -> None:
    full_shelf(tallis_bridge)
    response = build(desk)
    kit = response.json()
    read = desk.get(f"/kits/{kit['id']}/")
    assert (read.json(), response.headers["Location"]) == (kit, f"/api/v1/kits/{kit['id']}/")
    assert desk.get(f"/kits/{kit['id']}/", If_None_Match=read.headers["ETag"]).status_code == 304
    assert (kit["number"], kit["state"], kit["plan"]["code"]) == (1, "built", "VRD-H40")
    assert kit["machine"]["name"] == "Resurfacer 1"
    assert [event["what"] for event in kit["events"]] == ["built"]
    checks = {line["check"]["id"] for line in kit["lines"]}
    assert Check.objects.filter(pk__in=checks).count() == len(kit["lines"])
    codes = [caution["code"] for caution in kit["cautions"]]
    assert "lp_gas" in codes
    assert len(codes) == len(set(codes))


def test_a_kit_of_which_all_was_left_out_is_not_complete(desk: Desk, tallis_bridge: Dealer) -> None:
    """Nobody may hand out an empty box as the whole service (common practice, no source)."""
    handle(tallis_bridge, "4410-12", fitted_by_licence=True)
    kit = built(desk, tasks=["spark_plugs"], fitted_by_licensed=False)
    assert ([entry["position"] for entry in kit["left_out"]], kit["count"]) == (["spark_plug"], "0 of 0")
    assert kit["complete"] is False
    assert desk.get("/kits/").json()["results"][0]["complete"] is False


def test_an_extra_where_the_work_puts_a_part_already_is_refused(desk: Desk, tallis_bridge: Dealer) -> None:
    """Two filters for one place is a slip: of more or of another somebody says so (common practice, no source)."""
    full_shelf(tallis_bridge)
    twice = {"part": "0021-460", "quantity": 1, "position": "oil_filter"}
    old, pump = {**twice, "part": "0021-450"}, {"part": "6611", "quantity": 1, "position": "lock_off_filter"}
    response = build(desk, level="250", extras=[twice, old, pump, pump])
    assert {(fault["pointer"], fault["code"]) for fault in response.json()["errors"]} == {
        (f"#/extras/{at}/position", "position_filled") for at in (0, 1, 3)
    }
    assert not Kit.objects.exists()
    kit = built(desk, level="250", extras=[pump])
    tag = desk.get(f"/kits/{kit['id']}/").headers["ETag"]
    again = desk.patch(f"/kits/{kit['id']}/", {"extras": [pump, old]}, If_Match=tag)
    assert (again.status_code, pointers(again)) == (400, {"#/extras/1/position"})
    gone = {"line": line_at(kit, "oil_filter")["line"], "remove": True, "reason": "the old one is used up first"}
    changed = desk.changed(f"/kits/{kit['id']}/", {"lines": [gone], "extras": [pump, old]})
    assert [line["part"]["number"] for line in changed["lines"] if line["position"] == "oil_filter"] == ["0021-450"]


def test_a_fluid_put_in_by_the_piece_shows_in_which_containers_it_lies_there(desk: Desk, tallis_bridge: Dealer) -> None:
    full_shelf(tallis_bridge)
    kit = built(desk, tasks=["air_element"], extras=[{"part": "9105", "quantity": 1, "position": "engine_oil"}])
    stock = line_at(kit, "engine_oil")["use"][0]["stock"]
    assert (stock["recorded"], stock["instead"]["other_sizes"]) == (False, [{"content": "5", "free": 3}])


def test_a_repeat_with_its_key_builds_nothing_twice_and_a_key_is_needed(desk: Desk) -> None:
    body, headers = {"machine": machine_named(desk, "Resurfacer 1"), "level": "250"}, key()
    first, second = (desk.post("/kits/", body, **headers) for _ in range(2))
    assert (first.json(), second.status_code) == (second.json(), 201)
    assert Kit.objects.count() == 1
    assert refused(desk.post("/kits/", body)) == (400, "idempotency_key_missing")


def test_the_shelf_is_told_for_each_part_and_nothing_recorded_is_not_none(desk: Desk, tallis_bridge: Dealer) -> None:
    shelve(tallis_bridge, "4410-12", 3, bin_="B-2", date_code="2025-06-01")
    shelve(tallis_bridge, "4410-12", 9, bin_="A-9", date_code="2024-06-01", expires="2026-01-01")
    kit = built(desk)
    plugs = line_at(kit, "spark_plug")["use"][0]["stock"]
    assert (plugs["free"], plugs["short"], plugs["reserved"]) == (3, 1, 0)
    assert plugs["bins"] == [{"bin": "B-2", "date_code": "2025-06-01", "quantity": 3, "reserved": False}]
    assert plugs["passed_over"] == [{"bin": "A-9", "quantity": 9, "why": "expired"}]
    air = line_at(kit, "air_element")["use"][0]["stock"]
    assert (air["recorded"], air["free"], air["short"]) == (False, None, None)


def test_fluids_are_bought_in_the_cheapest_containers_or_asked_about(desk: Desk, tallis_bridge: Dealer) -> None:
    """4.3 L of 1 L at 8.90, 5 L at 34.50, 20 L at 118.00: one of 5 L, 0.7 left (common practice, no source)."""
    kit = built(desk)
    oil = line_at(kit, "engine_oil")
    assert (oil["state"], oil["containers"], oil["use"]) == ("accepted", [], [])
    assert "In which containers is VRD 9105 sold" in oil["missing"][0]["question"]
    for litres, amount in ((1, "8.90"), (5, "34.50"), (20, "118.00")):
        price(tallis_bridge, "9105", amount, content=litres * LITRE)
    oil = line_at(built(desk), "engine_oil")
    assert (oil["containers"], oil["left_over"]) == ([{"content": "5", "count": 1}], "0.7")
    assert oil["use"][0]["price"] == {"amount": "34.50", "currency": "USD"}


def test_quarts_of_the_plan_and_litres_of_the_shop_are_one_volume(desk: Desk, tallis_bridge: Dealer) -> None:
    """4.3 L are 4.54 US quarts: four are short and five are over (common practice, no source)."""
    per_quart = desk.made(
        "/service-plans/",
        {"code": "quarts", "name": "Oil", "tasks": [{
            "code": "oil", "name": "Oil", "kind": "replace", "trigger": {"kind": "every", "hours": "100"},
            "parts": [{"position": "engine_oil", "choices": [{"part": "9105"}], "quantity": "5", "unit": "qt_us"}],
        }]},
    )  # fmt: skip
    machine = machine_named(desk, "Resurfacer 1")
    desk.changed(f"/machines/{machine}/service-file/", {"plan": per_quart["id"]})
    price(tallis_bridge, "9105", "8.90", content=LITRE)
    oil = line_at(built(desk, tasks=["oil"]), "engine_oil")
    assert (oil["quantity"], oil["unit"], oil["containers"]) == ("4.731765", "litre", [{"content": "1", "count": 5}])
    fenmoor = Supplier.objects.get(code="fenmoor")
    body = {"supplier": fenmoor.code, "part": {"maker": "VRD", "number": "9105"}, "pack": 1, "minimum": 0,
            "price": {"amount": "7.00", "currency": "USD"}, "content": {"value": "1", "unit": "qt_us"}}  # fmt: skip
    desk.made("/supplier-prices/", body)
    oil = line_at(built(desk, tasks=["oil"]), "engine_oil")
    assert (oil["containers"], oil["left_over"]) == ([{"content": "0.946353", "count": 5}], "0")


def test_totals_are_rounded_by_line_and_name_what_has_no_price(desk: Desk, tallis_bridge: Dealer) -> None:
    price(tallis_bridge, "4410-12", "2.335")
    price(tallis_bridge, "2051", "1.115", currency="KWD")
    kit = built(desk, tasks=["spark_plugs", "air_element", "oil_filter"])
    assert kit["totals"] == [{"amount": "1.115", "currency": "KWD"}, {"amount": "9.34", "currency": "USD"}]
    assert (kit["rounding"], [one["part"]["number"] for one in kit["unpriced"]]) == ("by_line", ["0021-460"])


def test_a_boxed_kit_stands_against_its_parts_bought_loose(desk: Desk, tallis_bridge: Dealer) -> None:
    """As in the trade's worked example: what lies on the shelf already is not bought (common practice, no source)."""
    box = part("21-450")  # any part will do as a box
    for number, pieces, amount in (("4410-12", 4, "9.40"), ("2051", 1, "31.50")):
        PartContent.objects.create(container=box, part=part(number), quantity=pieces)
        price(tallis_bridge, number, amount)
    assert built(desk)["boxed_kits"] == []
    price(tallis_bridge, "21-450", "60.00")
    shelve(tallis_bridge, "2051", 4)
    (boxed,) = built(desk)["boxed_kits"]
    shown = {name: boxed[name]["amount"] for name in ("price", "loose", "to_buy", "loose_saves")}
    assert shown == {"price": "60.00", "loose": "69.10", "to_buy": "37.60", "loose_saves": "22.40"}
    assert built(desk, level="250")["boxed_kits"] == []


def test_goods_whose_class_is_not_recorded_are_articles_or_asked_about(desk: Desk, tallis_bridge: Dealer) -> None:
    full_shelf(tallis_bridge)
    kit = built(desk)
    assert [line["part"]["number"] for line in kit["held_back"]] == ["9105"]
    assert "Is VRD 9105 dangerous to ship" in kit["questions"][0]
    assert [package["dangerous"] for package in kit["packages"]] == [False]


def test_parts_that_take_a_licence_are_asked_about_left_out_or_put_in(desk: Desk, tallis_bridge: Dealer) -> None:
    handle(tallis_bridge, "6611", fitted_by_licence=True)
    asked = line_at(built(desk), "lock_off_filter")
    assert (asked["state"], asked["missing"][0]["fact"]) == ("incomplete", "licence to fit")
    without = built(desk, fitted_by_licensed=False)
    assert "lock_off_filter" not in {line["position"] for line in without["lines"]}
    (out,) = without["left_out"]
    assert (out["part"]["number"], out["position"]) == ("6611", "lock_off_filter")
    assert "licence" in out["why"]
    assert line_at(built(desk, fitted_by_licensed=True), "lock_off_filter")["settled"]


@pytest.mark.parametrize(
    ("nature", "more", "kept"),
    [
        ("starting_spray", {}, False), ("measured_first", {}, False), ("measured_first", {"measured": True}, True),
        ("anti_seize", {}, True), ("plain", {}, True),
    ],
)  # fmt: skip
def test_what_a_kit_never_holds_is_left_out_with_the_reason(
    desk: Desk, tallis_bridge: Dealer, nature: str, more: dict[str, Any], kept: bool
) -> None:
    """Spray never, nothing before it is measured, anti-seize only when somebody asks (common practice, no source)."""
    handle(tallis_bridge, "21-450", nature=nature)
    extra = {"part": {"maker": "VRD", "number": "21-450"}, "quantity": 1, **more}
    kit = built(desk, level="250", extras=[extra])
    assert ("21-450" in {line["part"]["number"] for line in kit["lines"]}) is kept
    assert len(kit["left_out"]) == int(not kept)


def test_an_extra_with_a_position_is_checked_like_any_line(desk: Desk) -> None:
    wrong = {"part": {"maker": "VRD", "number": "4410-07"}, "quantity": 4, "position": "spark_plug"}
    kit = built(desk, level="250", extras=[wrong])
    line = line_at(kit, "spark_plug")
    assert (line["state"], line["check"]["verdict"], kit["complete"]) == ("rejected", "rejected", False)
    assert line["asked_by"]


@pytest.mark.parametrize("number", ["6611", "0021-450"])
def test_an_extra_of_a_kind_that_engines_take_is_not_settled_before_its_place_is_told(desk: Desk, number: str) -> None:
    """A filter of the fuel path and a replaced number: neither is a consumable that fits anywhere."""
    kit = built(desk, level="250", extras=[{"part": {"maker": "VRD", "number": number}, "quantity": 1}])
    line = next(one for one in kit["lines"] if one["asked_by"])
    assert (line["state"], line["settled"], kit["complete"]) == ("incomplete", False, False)
    assert line["words"] == [f"At which position of the engine does VRD {number} go?"]
    assert line["use"] == []


def test_a_machine_whose_fuel_is_unknown_gets_lines_that_ask_and_none_is_left_out(desk: Desk) -> None:
    kit = built(desk, "Truck 2")
    assert kit["complete"] is False
    plugs = line_at(kit, "spark_plug")
    assert (plugs["part"], plugs["state"]) == (None, "incomplete")
    assert plugs["missing"]
    there = {one["position"] for one in kit["lines"]}
    assert {"spark_plug", "engine_oil", "oil_filter", "air_element", "pcv_valve"} <= there


def test_an_engine_whose_cylinders_are_not_recorded_is_asked_about(desk: Desk) -> None:
    EngineSpecification.objects.filter(spec="S-118").update(cylinders=None)
    plugs = line_at(built(desk), "spark_plug")
    assert (plugs["quantity"], plugs["missing"][0]["question"]) == (None, "How many cylinders does this engine have?")


def test_gaskets_by_the_head_are_as_many_as_the_specification_has_heads(desk: Desk) -> None:
    """A valve cover gasket for each head, and its number asked for where none is recorded (common practice)."""
    gaskets = {"position": "oil_filter", "choices": [{"part": "0021-460"}], "quantity": 1, "per": "head"}
    covers = {"code": "covers", "name": "Valve covers", "kind": "replace", "parts": [gaskets],
              "trigger": {"kind": "every", "hours": "500"}}  # fmt: skip
    plan = desk.made("/service-plans/", {"code": "covers", "name": "Covers", "tasks": [covers]})
    machine = machine_named(desk, "Resurfacer 1")
    desk.changed(f"/machines/{machine}/service-file/", {"plan": plan["id"]})
    line = line_at(built(desk, tasks=["covers"]), "oil_filter")
    assert (line["quantity"], line["words"]) == (None, ["How many heads does this engine have?"])
    spec = EngineSpecification.objects.get(spec="S-118")
    assert desk.changed(f"/engine-specs/{spec.pk}/", {"heads": 2})["heads"] == 2
    assert line_at(built(desk, tasks=["covers"]), "oil_filter")["quantity"] == 2


def test_washers_of_two_drains_at_one_position_are_as_many_as_the_specification_says(desk: Desk) -> None:
    washer = {"position": "drain_washer", "choices": [{"part": {"maker": "VRD", "number": "1001"}}], "quantity": 1}
    drains = {"code": "drains", "name": "Drain", "kind": "replace", "opens": ["oil", "coolant"],
              "trigger": {"kind": "every", "hours": "500"}}  # fmt: skip
    joints = [{"code": code, "goods": [washer]} for code in drains["opens"]]
    plan = desk.made("/service-plans/", {"code": "drains", "name": "Drains", "tasks": [drains], "joints": joints})
    machine = machine_named(desk, "Resurfacer 1")
    desk.changed(f"/machines/{machine}/service-file/", {"plan": plan["id"]})
    line = line_at(built(desk, tasks=["drains"]), "drain_washer")
    assert line["quantity"] is None
    (words,) = line["words"]
    assert words == (
        "The joints coolant and oil both take goods at drain_washer: does each take its own? "
        "The quantity recorded at that position of the specification tells."
    )
    two = "model,spec,position,category,quantity\nVRD-H40,S-118,drain_washer,washer,2\n"
    done = imported(desk, two, table="positions")
    assert (done.problems, done.counts) == ((), (0, 1, 0))
    line = line_at(built(desk, tasks=["drains"]), "drain_washer")
    assert (line["quantity"], line["state"]) == (2, "accepted")


def test_a_machine_without_a_plan_is_asked_about_and_never_guessed(desk: Desk) -> None:
    ServicePlan.objects.filter(model="VRD-H40").update(status="withdrawn")
    response = build(desk)
    assert refused(response) == (422, "plan_unknown")
    assert response.json()["questions"] == ["There is no service plan for this engine: which one is it serviced by?"]


def test_what_falls_due_is_built_for_and_what_cannot_be_told_is_said(desk: Desk) -> None:
    """Truck 7's oil is forecast for 16 to 18 March (scenario 26), at 4,560 h; its meter stands at 4,529."""

    def tasks(**within: Any) -> set[str]:
        kit = built(desk, "Truck 7", due_within=within)
        found = {task["code"] for task in kit["work"]["tasks"]}
        assert found & {one["task"] for one in kit["work"]["not_told"]} == set()
        assert kit["work"]["due"]["earliest"] <= kit["work"]["due"]["latest"]
        return found

    oil = {"engine_oil", "oil_filter"}
    assert oil <= tasks(days=14)
    assert oil <= tasks(hours="31")
    for name, within in (("Truck 7", {"days": 1}), ("Truck 7", {"hours": "30"}), ("Genset North", {"days": 1})):
        sooner = build(desk, name, due_within=within)
        assert refused(sooner) == (422, "nothing_to_do"), (name, within)


def test_every_problem_of_a_body_is_told_at_once(desk: Desk) -> None:
    response = build(
        desk, branch="north", work_order="J404", level="500",
        extras=[{"part": {"maker": "VRD", "number": "no such"}, "quantity": 1}],
    )  # fmt: skip
    assert response.status_code == 404
    assert pointers(response) == {"#/branch", "#/work_order"}
    response = build(desk, extras=[{"part": "no such", "quantity": 0, "colour": "red"}], tasks=[])
    assert {"#/extras/0/quantity", "#/extras/0/colour", "#/tasks"} <= pointers(response)
    assert Kit.objects.count() == 0


@pytest.mark.parametrize(
    ("more", "code", "pointer"),
    [
        ({"level": "750"}, "no_such_level", "#/level"),
        ({"tasks": ["engine_oil", "polish"]}, "no_such_task", "#/tasks/1"),
        ({"level": "500", "tasks": ["engine_oil"]}, "in_one_way", "#/level"),
        ({"due_within": {"hours": "1", "days": 1}}, "hours_or_days", "#/due_within"),
        ({"fitted_on": "2026-03-01"}, "before_as_of", "#/fitted_on"),
        (
            {"extras": [{"part": {"maker": "VRD", "number": "no such"}, "quantity": 1}]},
            "unknown_part",
            "#/extras/0/part",
        ),
    ],
)
def test_what_a_request_is_refused_for_names_its_place(desk: Desk, more: Any, code: str, pointer: str) -> None:
    response = build(desk, **more)
    faults = {(fault.get("pointer"), fault["code"]) for fault in response.json()["errors"]}
    assert (pointer, code) in faults


def test_a_work_order_has_to_be_open_and_on_the_machine(desk: Desk) -> None:
    order = desk.made("/work-orders/", {"number": "J2", "machine": machine_named(desk, "Truck 7")})
    assert refused(build(desk, work_order="J2")) == (409, "work_order_elsewhere")
    assert built(desk, "Truck 7", level="250", work_order="J2")["work_order"]["number"] == "J2"
    desk.changed(f"/work-orders/{order['id']}/", {"state": "closed"})
    assert refused(build(desk, "Truck 7", work_order="J2")) == (409, "work_order_ended")


def test_the_branch_is_named_where_there_are_several(desk: Desk, tallis_bridge: Dealer) -> None:
    Branch.objects.create(dealer=tallis_bridge, code="yard", name="Yard", zone="Europe/Paris", currency="USD")
    assert refused(build(desk)) == (400, "which_branch")
    assert built(desk, branch="yard", level="250")["branch"] == "yard"


def test_kits_are_listed_by_what_they_are_for(desk: Desk, clock: Clock) -> None:
    first = built(desk, level="250")
    clock.at("2026-03-09T10:20:00+01:00")
    second = built(desk, "Truck 7", level="250")
    rows = desk.get("/kits/").json()["results"]
    assert [row["number"] for row in rows] == [2, 1]
    for wanted, number in ((f"machine={first['machine']['id']}", 1), (f"machine={second['machine']['id']}", 2)):
        assert [row["number"] for row in desk.get(f"/kits/?{wanted}").json()["results"]] == [number]
    assert desk.get("/kits/?state=reserved").json()["results"] == []
    assert len(desk.get("/kits/?branch=main&state=built").json()["results"]) == len(rows)
    assert desk.get("/kits/?colour=red").status_code == 400


def test_a_kit_for_the_first_of_all_days_is_told_of_and_planned_for_like_any_other(
    desk: Desk, tallis_bridge: Dealer
) -> None:
    """There is no day before it on which goods could come."""
    shelve(tallis_bridge, "2051", 1)
    kit = built(desk, tasks=["air_element"], as_of="0001-01-01", fitted_on="0001-01-01")
    assert line_at(kit, "air_element")["use"][0]["stock"]["incoming"] == 0
    assert refused(desk.post("/order-plans/", {"kits": [kit["id"]], "seconds": 0})) == (422, "calendar_ends")


def test_another_dealer_never_sees_a_kit_and_each_call_takes_its_scope(
    desk: Desk, other_desk: Desk, tallis_bridge: Dealer
) -> None:
    kit = built(desk, level="250")
    assert other_desk.get(f"/kits/{kit['id']}/").status_code == 404
    assert other_desk.get("/kits/").json()["results"] == []
    for step in ("reserve", "review", "pick", "fulfil", "cancel"):
        assert refused(other_desk.post(f"/kits/{kit['id']}/{step}/", {}, **key())) == (404, "unknown_kit")
    theirs = {"machine": kit["machine"]["id"], "level": "250"}
    codes = {fault["code"] for fault in other_desk.post("/kits/", theirs, **key()).json()["errors"]}
    assert "unknown_machine" in codes
    assert desk.get(f"/kits/{uuid4()}/").status_code == 404
    reader = Desk.of(tallis_bridge, scopes=[Scope.STOCK_READ])
    assert reader.get(f"/kits/{kit['id']}/").status_code == 200
    assert reader.post(f"/kits/{kit['id']}/cancel/", {}, **key()).status_code == 403
    writer = Desk.of(tallis_bridge, scopes=[Scope.KITS_WRITE])
    assert writer.get(f"/kits/{kit['id']}/").status_code == 403


def test_a_kit_costs_as_many_statements_for_twelve_lines_as_for_three(desk: Desk, tallis_bridge: Dealer) -> None:
    full_shelf(tallis_bridge)
    machine = machine_named(desk, "Resurfacer 1")
    clamp = [{"part": {"maker": "VRD", "number": number}, "quantity": 1} for number in MORE]

    def statements(**more: Any) -> tuple[int, int]:
        desk.post("/kits/", {"machine": machine, **more}, **key())  # what is remembered is not counted
        with CaptureQueriesContext(connection) as caught:
            kit = desk.post("/kits/", {"machine": machine, **more}, **key()).json()
        return len(kit["lines"]), len(caught)

    few, many = statements(level="250"), statements(level="500", extras=clamp)
    assert (few[0], many[0]) == (3, 12)
    assert few[1] == many[1]


MORE = ("21-450", "5601", "5801", "5701")
