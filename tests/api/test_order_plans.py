"""Order plans: kept, improved by a job, outdated by what changes, ordered from supplier by supplier."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from catalog import loading
from kits.models import (
    Incoming,
    Kit,
    KitEvent,
    KitState,
    KitUse,
    OrderPlan,
    Reservation,
    StockBatch,
    Supplier,
    SupplierPrice,
)
from kits.usecases.allocations import free_allocations
from service.operations import jobs
from service.operations.models import Dealer, Job
from tests.api.world import Desk
from tests.april_week import LITRE, part, price, stock
from tests.kits_at_hand import Takes
from tests.order_desk import PLUGS, Shop, counted, filters

pytestmark = pytest.mark.db
OIL = Takes("engine_oil", "VRD", "9105", 4_300_000, 5 * LITRE)


@pytest.fixture
def truck(shop: Shop) -> Kit:
    return shop.kit("Lift truck 1", "131001", filters(), PLUGS)


@pytest.fixture
def other_supplier(shop: Shop) -> Supplier:
    """Plugs in threes at 5.00 against twos at 4.00: for four of them fractions of packs would be cheaper."""
    other = Supplier.objects.create(
        dealer=shop.branch.dealer, code="weirside", name="Weirside Spares", zone="Europe/Paris", currency="USD",
        calendar=shop.fenmoor.calendar,
    )  # fmt: skip
    price(other, part("VRD", "4410-12"), "5.00", price_for=3, pack=3, lead_days=1)
    SupplierPrice.objects.filter(supplier=shop.fenmoor, part__number="4410-12").update(price=20_000, pack=2)
    return other


def of_plan(shop: Shop, plan: dict[str, Any], **more: Any) -> list[dict[str, Any]]:
    orders: list[dict[str, Any]] = shop.done("/orders/", {"plan": plan["id"], **more})["orders"]
    return orders


def test_a_plan_is_kept_and_read_again_as_it_was(shop: Shop, truck: Kit, other_desk: Desk) -> None:
    response = shop.desk.post("/order-plans/", {"kits": [str(truck.pk)], "seconds": 0})
    plan = response.json()
    assert response.headers["Location"] == f"/api/v1/order-plans/{plan['id']}/"
    assert (plan["state"], plan["outdated"], plan["job"]) == ("at_once", False, None)
    assert {one["part"]["number"]: (one["packs"], one["spare"]) for one in plan["purchases"]} == {
        "0021-460": (2, 11), "4410-12": (1, 0),
    }  # fmt: skip
    kept = shop.desk.get(f"/order-plans/{plan['id']}/")
    assert kept.json() == plan
    assert shop.desk.get(f"/order-plans/{plan['id']}/", If_None_Match=kept.headers["ETag"]).status_code == 304
    (listed,) = shop.desk.get("/order-plans/").json()["results"]
    assert (listed["id"], listed["goods"]["amount"]) == (plan["id"], "208.00")
    assert other_desk.get(f"/order-plans/{plan['id']}/").json()["code"] == "unknown_order_plan"


def test_kits_that_are_not_there_or_have_ended_are_named_at_once(shop: Shop, truck: Kit) -> None:
    ended = shop.kit("Lift truck 2", "131002", filters())
    Kit.objects.filter(pk=ended.pk).update(state=KitState.CANCELLED)
    body = {"kits": [str(truck.pk), str(ended.pk), "52f1a0a4-7f1c-4a0b-8a3e-7b6f0c9d1e21"]}
    status, _, pointers = shop.refused("/order-plans/", body)
    assert (status, pointers) == (400, ["#/kits/1", "#/kits/2"])
    assert shop.refused("/order-plans/", {"kits": []})[1:] == ("invalid", ["#/kits"])
    far = {"kits": [str(truck.pk)], "placed_at": "9999-12-31T23:59:59Z"}
    assert shop.refused("/order-plans/", far) == (400, "too_far", ["#/placed_at"])
    twice = [{"name": name, "kits": [str(truck.pk)]} for name in ("J2", "J4")]
    assert shop.refused("/order-plans/", {"kits": [str(truck.pk)], "jobs": twice}) == (
        400, "named_twice", ["#/jobs/1/kits/0"],
    )  # fmt: skip
    assert shop.refused("/order-plans/", {"kits": [str(ended.pk)]})[:2] == (409, "kit_ended")


def test_a_line_that_is_not_settled_is_told_and_never_bought(shop: Shop) -> None:
    """4410-07 is for gasoline, and the truck burns LP-gas."""
    kit = shop.kit("Lift truck 1", "131001", Takes("spark_plug", "VRD", "4410-07", 4))
    plan = shop.plan(kit)
    assert plan["purchases"] == []
    (late,) = plan["late"]
    assert (late["part"]["number"], late["pieces"], late["arrives"]) == ("4410-07", 4, None)
    # The specified plug passed its check on that truck: shown, and taken only once somebody decides so.
    assert [(way["way"], way["part"] and way["part"]["number"]) for way in late["ways"]] == [
        ("settle_line", None), ("checked_substitute", "4410-12"),
    ]  # fmt: skip


def test_what_changes_outdates_a_plan_and_it_is_not_ordered_from(shop: Shop, truck: Kit) -> None:
    stock(shop.branch, part("VRD", "0021-460"), 0)
    plan = shop.plan(truck)
    StockBatch.objects.update(on_hand=1)
    assert shop.desk.get(f"/order-plans/{plan['id']}/").json()["outdated"] is True
    assert shop.refused("/orders/", {"plan": plan["id"]})[:2] == (409, "plan_outdated")
    StockBatch.objects.update(on_hand=0)
    assert shop.desk.get(f"/order-plans/{plan['id']}/").json()["outdated"] is False
    SupplierPrice.objects.filter(part__number="4410-12").update(price=95_000)
    assert shop.refused("/orders/", {"plan": plan["id"]})[:2] == (409, "plan_outdated")


def test_what_was_promised_for_a_day_that_is_past_is_in_time_for_nothing(shop: Shop, truck: Kit) -> None:
    """Nobody knows when it comes, so it is asked (common practice, no source). It is 9 March."""
    past = {"promised_earliest": date(2026, 2, 20), "promised_latest": date(2026, 3, 8)}
    item = stock(shop.branch, part("VRD", "0021-460"), 0)
    Incoming.objects.create(item=item, supplier=shop.fenmoor, quantity=3, **past)
    SupplierPrice.objects.filter(part__number="4410-12").update(**past)
    plan = shop.plan(truck)
    assert [(one["part"]["number"], one["source"]) for one in plan["servings"]] == [("0021-460", "order")]
    (late,) = plan["late"]
    assert (late["part"]["number"], late["arrives"]) == ("4410-12", None)
    assert "ask_supplier" in {way["way"] for way in late["ways"]}
    assert plan["missing"] == [
        "Fenmoor Engine & Pump promised VRD 4410-12 by 2026-03-08, which is past: when does it come?"
    ]
    Incoming.objects.update(promised_latest=date(2026, 3, 9))
    assert [one["source"] for one in shop.plan(truck)["servings"]] == ["incoming"]


def test_a_lead_time_that_cannot_be_reckoned_with_is_not_called_unrecorded(shop: Shop, truck: Kit) -> None:
    """Four working days, but nobody has told which days Fenmoor works."""
    Supplier.objects.update(calendar=None)
    plan = shop.plan(truck)
    assert plan["missing"] == ["On which days does Fenmoor Engine & Pump work? Record its calendar."]
    asked = {way["words"] for one in plan["late"] for way in one["ways"] if way["way"] == "ask_supplier"}
    assert "Ask fenmoor when VRD 4410-12 comes; it has no promise that holds and no lead time to reckon with." in asked


def two_of_one_fluid(shop: Shop, name: str, serial: str) -> Kit:
    """4.3 L and 3 L of one oil: the containers for both stand on the first line, as a kit is built."""
    kit = shop.kit(name, serial, OIL, replace(OIL, quantity=3_000_000))
    first, second = kit.lines.all()
    second.uses.all().delete()
    first.uses.update(quantity=2)
    return kit


def test_all_lines_of_one_fluid_are_in_what_is_bought_together(shop: Shop) -> None:
    """Twice 7.3 L are 14.6 L: three times 5 L pooled, twice two by job."""
    kits = two_of_one_fluid(shop, "Lift truck 1", "131001"), two_of_one_fluid(shop, "Lift truck 2", "131002")
    for fluids, pieces in (("pooled", 3), ("by_job", 4)):
        plan = shop.plan(*kits, fluids=fluids)
        assert [one["pieces"] for one in plan["purchases"]] == [pieces]
        (oil,) = plan["fluids"]
        assert oil["pooled"]["volume"] == "14.6"
    (order,) = of_plan(shop, shop.plan(*kits, fluids="pooled"))
    assert [one["volume"] for one in order["lines"][0]["meant_for"]] == ["7.3", "7.3"]
    assert shop.plan(*kits, fluids="pooled")["purchases"] == []


def test_a_fluid_sold_in_containers_that_nobody_knows_is_told_and_not_left_out(shop: Shop) -> None:
    kit = shop.kit("Lift truck 1", "131001", OIL)
    line = kit.lines.get()
    line.uses.all().delete()
    asks = "In which containers is VRD 9105 sold, and at what price? None is recorded."
    line.missing = [{"fact": "containers of VRD 9105", "question": asks}]
    line.save()
    (late,) = shop.plan(kit)["late"]
    assert (late["part"]["number"], late["volume"], late["pieces"], late["arrives"]) == ("9105", "4.3", None, None)
    (way,) = late["ways"]
    assert way["way"] == "find_supplier"
    assert way["words"].startswith(asks)


def test_a_kit_that_ends_outdates_the_plan(shop: Shop, truck: Kit) -> None:
    plan = shop.plan(truck)
    Kit.objects.filter(pk=truck.pk).update(state=KitState.CANCELLED)
    assert shop.desk.get(f"/order-plans/{plan['id']}/").json()["outdated"] is True
    assert shop.refused("/orders/", {"plan": plan["id"]})[:2] == (409, "plan_outdated")


def test_a_plan_is_ordered_supplier_by_supplier_and_stays_current_for_the_others(
    shop: Shop, truck: Kit, other_supplier: Supplier
) -> None:
    SupplierPrice.objects.filter(supplier=shop.fenmoor, part__number="4410-12").delete()
    plan = shop.plan(truck)
    assert {one["supplier"] for one in plan["purchases"]} == {"fenmoor", "weirside"}
    (filters_order,) = of_plan(shop, plan, suppliers=["fenmoor"])
    assert filters_order["plan"] == plan["id"]
    (line,) = filters_order["lines"]
    assert [(one["machine"], one["pieces"]) for one in line["meant_for"]] == [("Lift truck 1", 1)]
    assert counted(shop, "0021-460")["assigned"] == 1
    assert shop.refused("/orders/", {"plan": plan["id"], "suppliers": ["fenmoor"]})[:2] == (409, "ordered_already")
    assert shop.refused("/orders/", {"plan": plan["id"], "suppliers": ["x"]})[1:] == (
        "unknown_supplier", ["#/suppliers/0"],
    )  # fmt: skip
    (plugs_order,) = of_plan(shop, plan, suppliers=["weirside"])
    assert (filters_order["number"], plugs_order["number"]) == (1, 2)
    shown = shop.desk.get(f"/order-plans/{plan['id']}/").json()
    assert [order["supplier"] for order in shown["orders"]] == ["fenmoor", "weirside"]
    # Nothing is wanted any more: what is on its way is meant for the truck.
    assert shop.plan(truck)["purchases"] == []
    events = KitEvent.objects.filter(kit=truck, what="goods_ordered")
    assert [event.detail["number"] for event in events] == [1, 2]
    assert shop.refused("/orders/", {"plan": shop.plan(truck)["id"]})[:2] == (409, "nothing_to_order")


def test_what_comes_is_kept_for_the_kit_it_was_ordered_for(shop: Shop, truck: Kit) -> None:
    (order,) = of_plan(shop, shop.plan(truck))
    lines = [{"line": line["line"], "pieces": line["pieces"], "bin": "A1"} for line in order["lines"]]
    came = shop.done(f"/orders/{order['id']}/receive/", {"lines": lines})
    assert {one["part"]["number"]: one["meant_for"][0]["kept"] for one in came["lines"]} == {
        "0021-460": 1, "4410-12": 4,
    }  # fmt: skip
    assert counted(shop, "0021-460") == {"on_hand": 12, "reserved": 1, "incoming": 0, "assigned": 0}
    assert shop.plan(truck)["servings"] == []
    assert KitEvent.objects.filter(kit=truck, what="goods_came").exists()


def test_goods_too_old_for_the_service_are_not_kept_for_it(shop: Shop, truck: Kit) -> None:
    (order,) = of_plan(shop, shop.plan(truck))
    old = [{"line": line["line"], "pieces": line["pieces"], "bin": "A1", "expires": "2026-04-12"}
           for line in order["lines"]]  # fmt: skip
    came = shop.done(f"/orders/{order['id']}/receive/", {"lines": old})
    assert len(came["notes"]) == 2
    assert "expired" in came["notes"][0]
    assert counted(shop, "0021-460")["reserved"] == 0
    # Wanted as before, and not from those.
    assert {one["part"]["number"] for one in shop.plan(truck)["purchases"]} == {"0021-460", "4410-12"}


def test_what_was_served_from_elsewhere_since_is_not_kept_twice(shop: Shop, truck: Kit) -> None:
    (order,) = of_plan(shop, shop.plan(truck))
    item = stock(shop.branch, part("OLM", "1161"), 1)
    use = KitUse.objects.get(line__kit=truck, part__number="0021-460")
    Reservation.objects.create(
        use=use, batch=item.batches.get(), quantity=1, made_at=timezone.now(), made_by="H. Orrin"
    )
    filters_line = next(line for line in order["lines"] if line["part"]["number"] == "0021-460")
    shop.done(f"/orders/{order['id']}/receive/", {"lines": [{"line": filters_line["line"], "pieces": 12, "bin": "A1"}]})
    assert counted(shop, "0021-460") == {"on_hand": 12, "reserved": 0, "incoming": 0, "assigned": 0}


def test_what_follows_a_kit_that_was_handed_out_is_told_and_stays_free(shop: Shop, truck: Kit) -> None:
    (order,) = of_plan(shop, shop.plan(truck))
    Kit.objects.filter(pk=truck.pk).update(state=KitState.FULFILLED)
    lines = [{"line": line["line"], "pieces": line["pieces"], "bin": "A1"} for line in order["lines"]]
    came = shop.done(f"/orders/{order['id']}/receive/", {"lines": lines})
    assert all("handed out already" in note for note in came["notes"])
    assert len(came["notes"]) == 2
    assert counted(shop, "4410-12")["reserved"] == 0
    assert KitEvent.objects.filter(kit=truck, what="goods_came").exists()


def test_an_order_called_off_tells_its_kits_and_their_lines_want_goods_again(shop: Shop, truck: Kit) -> None:
    (order,) = of_plan(shop, shop.plan(truck))
    gone = shop.done(f"/orders/{order['id']}/cancel/", {"reason": "dearer than agreed"})
    assert [(entry["kit"], len(entry["goods"])) for entry in gone["freed"]] == [(str(truck.pk), 2)]
    assert KitEvent.objects.filter(kit=truck, what="order_cancelled").count() == 1
    assert len(shop.plan(truck)["purchases"]) == 2


def test_goods_of_a_kit_that_dies_stay_ordered_and_serve_the_next_job(shop: Shop, truck: Kit) -> None:
    next_truck = shop.kit("Lift truck 2", "131002", filters(), PLUGS)
    (order,) = of_plan(shop, shop.plan(truck))
    uses = list(KitUse.objects.filter(line__kit=truck).values_list("pk", flat=True))
    with transaction.atomic():
        freed = free_allocations(uses, now=timezone.now())
    assert [(one.line.part.number, one.pieces, one.warning is None) for one in freed] == [
        ("0021-460", 1, False), ("4410-12", 4, True),
    ]  # fmt: skip
    assert freed[0].document()["order_number"] == order["number"]
    assert counted(shop, "4410-12") == {"on_hand": 0, "reserved": 0, "incoming": 4, "assigned": 0}
    plan = shop.plan(next_truck)
    assert plan["purchases"] == []
    assert {one["source"] for one in plan["servings"]} == {"incoming"}


def test_oil_that_trucks_share_is_meant_for_each_by_volume(shop: Shop) -> None:
    first, second = (shop.kit(f"Lift truck {one}", f"13100{one}", OIL) for one in (1, 2))
    (order,) = of_plan(shop, shop.plan(first, second, fluids="pooled"))
    (line,) = order["lines"]
    assert (line["content"], line["pieces"]) == ("5", 2)
    assert [(one["pieces"], one["volume"]) for one in line["meant_for"]] == [(0, "4.3"), (0, "4.3")]
    assert counted(shop, "9105")["assigned"] == 2
    assert shop.plan(first, second, fluids="pooled")["purchases"] == []
    with transaction.atomic():
        free_allocations(list(KitUse.objects.filter(line__kit=first).values_list("pk", flat=True)), now=timezone.now())
    assert counted(shop, "9105")["assigned"] == 1


def test_a_job_improves_the_plan_and_proves_its_gap(shop: Shop, truck: Kit, other_supplier: Supplier) -> None:
    plan = shop.desk.made("/order-plans/", {"kits": [str(truck.pk)], "seconds": 5})
    assert float(plan["gap"]["share"]) > 0
    assert Job.objects.get(pk=plan["job"]).kind == "order_plan"
    assert jobs.run_due(timezone.now) == 1
    better = shop.desk.get(f"/order-plans/{plan['id']}/").json()
    assert (better["state"], better["gap"]["share"], better["outdated"]) == ("improved", "0.000000", False)
    assert float(better["goods"]["amount"]) <= float(plan["goods"]["amount"])
    assert Job.objects.get(pk=plan["job"]).state == "succeeded"
    assert of_plan(shop, better)


def test_a_cancelled_job_leaves_the_plan_as_it_was_made(shop: Shop, truck: Kit, other_supplier: Supplier) -> None:
    plan = shop.desk.made("/order-plans/", {"kits": [str(truck.pk)], "seconds": 5})
    assert shop.desk.post(f"/jobs/{plan['job']}/cancel/", {}).status_code == 200
    assert jobs.run_due(timezone.now) == 0
    assert shop.desk.get(f"/order-plans/{plan['id']}/").json()["state"] == "at_once"


def test_a_job_whose_plan_is_outdated_says_so(shop: Shop, truck: Kit, other_supplier: Supplier) -> None:
    plan = shop.desk.made("/order-plans/", {"kits": [str(truck.pk)], "seconds": 5})
    SupplierPrice.objects.filter(supplier=other_supplier).update(price=1)
    jobs.run_due(timezone.now)
    job = shop.desk.get(f"/jobs/{plan['job']}/").json()
    assert (job["state"], job["problem"]["code"]) == ("failed", "plan_outdated")
    assert shop.desk.get(f"/order-plans/{plan['id']}/").json()["state"] == "failed"


def test_a_plan_takes_as_many_statements_for_six_kits_as_for_two(shop: Shop) -> None:
    kits = [shop.kit(f"Lift truck {one}", f"13100{one}", filters(), PLUGS, OIL) for one in range(1, 7)]
    counts = []
    for chosen in (kits[:2], kits):
        loading.forget()
        with CaptureQueriesContext(connection) as captured:
            shop.plan(*chosen)
        counts.append(len(captured))
    assert 0 < counts[0] == counts[1]


def test_a_boxed_kit_is_shown_beside_its_loose_parts(shop: Shop, tallis_bridge: Dealer) -> None:
    """Trade notes, section 5: 119.00 against 132.45 loose, 100.95 with the air element on the shelf."""
    for number, each in (("2051", "31.50"), ("6611", "27.80"), ("6612", "1.90"), ("3307", "18.60"), ("1001", "0.85"),
                         ("K-H40-LPL-500", "119.00")):  # fmt: skip
        price(shop.fenmoor, part("VRD", number), each, lead_days=4)
    SupplierPrice.objects.filter(part__number="3307").update(lead_days=60)
    stock(shop.branch, part("VRD", "2051"), 1)
    kit = shop.kit(
        "Lift truck 1", "131001", filters(), PLUGS, Takes("air_element", "VRD", "2051"),
        Takes("lock_off_filter", "VRD", "6611"), Takes("lockoff_o_ring", "VRD", "6612"),
        Takes("pcv_valve", "VRD", "3307"), Takes("drain_washer", "VRD", "1001"),
    )  # fmt: skip
    (shown,) = shop.plan(kit)["kit_or_loose"]
    assert [shown[name]["amount"] for name in ("boxed_price", "loose", "to_buy", "loose_saves")] == [
        "119.00", "132.45", "100.95", "18.05",
    ]  # fmt: skip
    assert shown["boxed_whole"] is False
    assert shown["boxed"]["number"] == "K-H40-LPL-500"


def test_without_the_days_the_branch_works_no_shelf_date_is_made_up(shop: Shop, truck: Kit) -> None:
    shop.branch.calendar.delete()
    shop.branch.closed_dates.all().delete()
    assert shop.refused("/order-plans/", {"kits": [str(truck.pk)]})[:2] == (422, "days_unknown")
    assert not OrderPlan.objects.exists()


def test_a_core_is_apart_and_an_order_by_day_has_its_instant(shop: Shop, truck: Kit) -> None:
    SupplierPrice.objects.filter(part__number="4410-12").update(core_charge=25_000)
    plan = shop.plan(truck)
    plugs = next(one for one in plan["purchases"] if one["part"]["number"] == "4410-12")
    assert (plugs["cost"]["amount"], plugs["core"]["amount"]) == ("37.60", "10.00")
    assert plan["cores"] == [{"amount": "10.00", "currency": "USD"}]
    # 16:00 in Paris on 2 April, the last safe day for Friday the 10th with the 3rd and the 6th closed.
    assert plugs["order_by"] == {"day": "2026-04-02", "instant": "2026-04-02T14:00:00Z"}
