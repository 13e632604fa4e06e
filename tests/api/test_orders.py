"""Orders of lines: prices of that day, whole packs, days by both calendars; received in parts; called off."""

from typing import Any

import pytest

from kits.models import Incoming, Order, StockBatch, StockItem, SupplierPrice
from service.operations.keys import issue_key
from service.operations.models import Change, Dealer, Scope
from tests.api.world import NOW, Desk
from tests.desks import Clock
from tests.order_desk import FILTER, OIL, PLUG, Shop, counted

pytestmark = pytest.mark.db


def test_an_order_keeps_the_price_of_that_day_and_what_it_brings_is_on_its_way(shop: Shop) -> None:
    order = shop.order({"part": FILTER, "packs": 2}, {"part": PLUG, "pieces": 8}, note="for April")
    assert (order["number"], order["state"], order["note"]) == (1, "placed", "for April")
    filters, plugs = order["lines"]
    assert (filters["packs"], filters["pieces"], filters["price"]["amount"]) == (2, 12, "14.20")
    assert (filters["cost"]["amount"], plugs["cost"]["amount"], order["goods"]["amount"]) == (
        "170.40", "75.20", "245.60",
    )  # fmt: skip
    assert counted(shop, "0021-460") == {"on_hand": 0, "reserved": 0, "incoming": 12, "assigned": 0}
    SupplierPrice.objects.update(price=1)
    kept = shop.desk.get(f"/orders/{order['id']}/")
    assert kept.json() == order
    again = shop.desk.get(f"/orders/{order['id']}/", If_None_Match=kept.headers["ETag"])
    assert again.status_code == 304
    assert Change.objects.filter(kind="order.placed", object_id=order["id"]).count() == 1


@pytest.mark.parametrize(("at", "expected"), [("16:00", "2026-03-13"), ("16:01", "2026-03-16")])
def test_what_is_ordered_after_the_cut_off_comes_a_day_later(shop: Shop, clock: Clock, at: str, expected: str) -> None:
    """Four days on which both work after Monday 9 March; Fenmoor's cut-off is 16:00 in Paris."""
    clock.at(f"2026-03-09T{at}:00+01:00")
    assert shop.order({"part": PLUG, "packs": 1})["expected"] == expected


def test_charges_and_cores_stand_apart_from_the_goods(shop: Shop) -> None:
    shop.fenmoor.order_charge = 75_000
    shop.fenmoor.save()
    SupplierPrice.objects.filter(part__number="4410-12").update(core_charge=25_000)
    order = shop.order({"part": PLUG, "packs": 1})
    assert [order[name]["amount"] for name in ("goods", "charge", "total", "core")] == [
        "37.60", "7.50", "45.10", "10.00",
    ]  # fmt: skip


def test_an_agreed_price_takes_the_place_of_the_recorded_one_and_of_a_missing_one(shop: Shop) -> None:
    agreed = {"amount": "8.00", "currency": "USD"}
    element = {"maker": "VRD", "number": "2051"}
    order = shop.order(
        {"part": PLUG, "packs": 1, "price": agreed},
        {"part": element, "pieces": 3, "price": agreed},
        {"part": OIL, "content": "5", "packs": 2},
    )
    assert [line["cost"]["amount"] for line in order["lines"]] == ["32.00", "24.00", "69.00"]
    assert [line["expected"] for line in order["lines"]] == ["2026-03-13", None, "2026-03-13"]
    assert order["lines"][2]["content"] == "5"


@pytest.mark.parametrize(
    ("body", "refusal"),
    [
        ({"lines": [{"part": FILTER, "pieces": 13}]}, (400, "not_whole_packs", ["#/lines/0/pieces"])),
        ({"lines": [{"part": FILTER, "packs": 1}]}, (400, "below_minimum", ["#/lines/0/packs"])),
        ({"lines": [{"part": {"maker": "VRD", "number": "2051"}, "packs": 1}]},
         (400, "no_price", ["#/lines/0/price"])),
        ({"lines": [{"part": PLUG, "packs": 1}, {"part": PLUG, "packs": 2}]},
         (400, "named_twice", ["#/lines/1/part"])),
        ({"lines": [{"part": PLUG, "packs": 1, "price": {"amount": "8", "currency": "XXX"}}]},
         (400, "unknown_currency", ["#/lines/0/price/currency"])),
        ({"lines": [{"part": PLUG}]}, (400, "invalid", ["#/lines/0/packs"])),
        ({"lines": [{"part": PLUG, "packs": 1, "pieces": 4}]}, (400, "invalid", ["#/lines/0/packs"])),
        ({"supplier": "nobody", "lines": [{"part": PLUG, "packs": 1}]}, (404, "unknown_supplier", ["#/supplier"])),
        ({"branch": "north", "lines": [{"part": PLUG, "packs": 1}]}, (404, "unknown_branch", ["#/branch"])),
        ({"lines": [{"part": {"maker": "VRD", "number": "none"}, "packs": 1}]},
         (404, "unknown_part", ["#/lines/0/part"])),
        ({"lines": [], "colour": "red"}, (400, "invalid", ["#/colour", "#/lines"])),
        ({"plan": "52f1a0a4-7f1c-4a0b-8a3e-7b6f0c9d1e21", "lines": [{"part": PLUG, "packs": 1}]},
         (400, "invalid", ["#/supplier", "#/lines"])),
    ],
)  # fmt: skip
def test_what_a_supplier_would_not_take_is_refused_and_nothing_is_ordered(
    shop: Shop, body: dict[str, Any], refusal: tuple[int, str, list[str]]
) -> None:
    status, code, pointers = shop.refused("/orders/", {"supplier": "fenmoor", **body})
    assert (status, code, sorted(pointers)) == (refusal[0], refusal[1], sorted(refusal[2]))
    assert not Order.objects.exists()
    assert not Incoming.objects.exists()


def test_every_line_that_is_wrong_is_told_at_once(shop: Shop) -> None:
    lines = [{"part": FILTER, "pieces": 13}, {"part": PLUG, "packs": 1}, {"part": PLUG, "packs": 1}]
    _, _, pointers = shop.refused("/orders/", {"supplier": "fenmoor", "lines": lines})
    assert sorted(pointers) == ["#/lines/0/pieces", "#/lines/2/part"]


def test_less_than_the_supplier_takes_an_order_for_and_two_currencies_are_refused(shop: Shop) -> None:
    shop.fenmoor.minimum_value = 500_000
    shop.fenmoor.save()
    lines = [{"part": PLUG, "packs": 1}]
    assert shop.refused("/orders/", {"supplier": "fenmoor", "lines": lines})[:2] == (422, "below_minimum_value")
    lines = [{"part": PLUG, "packs": 2, "price": {"amount": "9", "currency": "EUR"}}, {"part": FILTER, "packs": 2}]
    assert shop.refused("/orders/", {"supplier": "fenmoor", "lines": lines})[:2] == (409, "mixed_currencies")
    # Its minimum is in dollars, and a core that is recorded in dollars is no euros either.
    assert shop.refused("/orders/", {"supplier": "fenmoor", "lines": lines[:1]})[:2] == (409, "mixed_currencies")
    shop.fenmoor.minimum_value = None
    shop.fenmoor.save()
    SupplierPrice.objects.filter(part__number="4410-12").update(core_charge=25_000)
    assert shop.refused("/orders/", {"supplier": "fenmoor", "lines": lines[:1]})[:2] == (409, "mixed_currencies")


def test_orders_are_counted_by_each_dealer_and_a_refused_one_leaves_no_gap(shop: Shop) -> None:
    first = shop.order({"part": PLUG, "packs": 1})
    shop.refused("/orders/", {"supplier": "fenmoor", "lines": [{"part": FILTER, "packs": 1}]})
    second = shop.order({"part": PLUG, "packs": 1})
    assert (first["number"], second["number"]) == (1, 2)
    page = shop.desk.get("/orders/?state=placed&supplier=fenmoor&page_size=1").json()
    assert [order["number"] for order in page["results"]] == [2]
    assert page["next"]
    assert shop.desk.get("/orders/?supplier=other").json()["results"] == []
    assert shop.desk.get("/orders/?colour=red").json()["code"] == "invalid"


def test_an_order_needs_its_key_a_live_one_and_the_scope(shop: Shop, tallis_bridge: Dealer) -> None:
    body = {"supplier": "fenmoor", "lines": [{"part": PLUG, "packs": 1}]}
    assert shop.desk.post("/orders/", body).json()["code"] == "idempotency_key_missing"
    trial = issue_key(dealer=tallis_bridge, name="trial", live=False, scopes=list(Scope.values), now=NOW)
    refused = Desk(shop.desk.client, trial.text).post("/orders/", body, Idempotency_Key="t1")
    assert (refused.status_code, refused.json()["code"]) == (403, "test_key_refused")
    reader = Desk.of(tallis_bridge, scopes=[Scope.STOCK_READ])
    assert reader.post("/orders/", body, Idempotency_Key="r1").json()["code"] == "missing_scope"
    assert reader.get("/orders/").json()["results"] == []


def test_another_dealers_order_is_not_there(shop: Shop, other_desk: Desk) -> None:
    order = shop.order({"part": PLUG, "packs": 1})
    address = f"/orders/{order['id']}/"
    asked = [
        other_desk.get(address),
        other_desk.post(f"{address}cancel/", {"reason": "no"}, Idempotency_Key="c"),
        other_desk.post(f"{address}receive/", {"lines": [{"line": 1, "pieces": 1, "bin": "A"}]}, Idempotency_Key="r"),
    ]
    assert [(answer.status_code, answer.json()["code"]) for answer in asked] == [(404, "unknown_order")] * 3
    assert other_desk.get("/orders/").json()["results"] == []


def test_what_comes_goes_up_on_the_shelf_and_down_on_its_way(shop: Shop) -> None:
    order = shop.order({"part": FILTER, "packs": 2}, {"part": PLUG, "packs": 1})
    address = f"/orders/{order['id']}/receive/"
    came = {"lines": [{"line": 1, "pieces": 5, "bin": "A1", "date_code": "2026-01-05", "expires": "2031-01-05"},
                      {"line": 1, "pieces": 2, "bin": "A2"}]}  # fmt: skip
    part = shop.done(address, came)
    assert (part["state"], [line["received"] for line in part["lines"]]) == ("placed", [7, 0])
    assert counted(shop, "0021-460") == {"on_hand": 7, "reserved": 0, "incoming": 5, "assigned": 0}
    whole = shop.done(address, {"lines": [{"line": 1, "pieces": 5, "bin": "A2"}, {"line": 2, "pieces": 4, "bin": "B"}]})
    assert (whole["state"], whole["ended_by"] is not None) == ("received", True)
    assert counted(shop, "0021-460") == {"on_hand": 12, "reserved": 0, "incoming": 0, "assigned": 0}
    assert shop.refused(address, came)[:2] == (409, "order_ended")
    assert StockBatch.objects.get(item__part__number="0021-460", bin="A2").on_hand == 7


@pytest.mark.parametrize(
    ("line", "code", "field"),
    [
        ({"line": 3, "pieces": 1, "bin": "A"}, "no_line", "line"),
        ({"line": 1, "pieces": 13, "bin": "A"}, "more_than_ordered", "pieces"),
        ({"line": 1, "pieces": 1, "bin": "A", "expires": "2027-01-01"}, "expires_otherwise", "expires"),
    ],
)
def test_what_cannot_have_come_is_refused_and_nothing_is_taken_in(
    shop: Shop, line: dict[str, Any], code: str, field: str
) -> None:
    order = shop.order({"part": FILTER, "packs": 2})
    first = {"line": 1, "pieces": 2, "bin": "A"}
    refused = shop.refused(f"/orders/{order['id']}/receive/", {"lines": [first, line]})
    assert refused == (400, code, [f"#/lines/1/{field}"])
    assert counted(shop, "0021-460")["on_hand"] == 0


def test_more_than_an_order_can_be_of_is_refused(shop: Shop) -> None:
    lines = {"supplier": "fenmoor", "lines": [{"part": FILTER, "packs": 3}]}
    recorded = SupplierPrice.objects.filter(part__number="0021-460")
    for columns in ({"pack": 10_000_000}, {"pack": 1_000_000, "price": 10**14}):
        recorded.update(minimum=0, **columns)
        assert shop.refused("/orders/", lines) == (422, "too_much", ["#/lines/0"])
    assert not Order.objects.exists()


def test_an_order_called_off_says_what_is_not_taken_back_and_nothing_is_on_its_way(shop: Shop) -> None:
    order = shop.order({"part": FILTER, "packs": 2}, {"part": PLUG, "packs": 1}, {"part": OIL, "content": "5",
                                                                                 "packs": 1})  # fmt: skip
    shop.done(f"/orders/{order['id']}/receive/", {"lines": [{"line": 1, "pieces": 2, "bin": "A"}]})
    gone = shop.done(f"/orders/{order['id']}/cancel/", {"reason": "truck 4 was sold"})
    assert gone["state"] == "cancelled"
    assert [note.split(":")[0] for note in gone["notes"]] == ["Line 1, 10 of VRD 0021-460", "Line 3, 1 of VRD 9105"]
    assert "does not take it back" in gone["notes"][0]
    assert "not recorded" in gone["notes"][1]
    assert counted(shop, "0021-460") == {"on_hand": 2, "reserved": 0, "incoming": 0, "assigned": 0}
    assert shop.refused(f"/orders/{order['id']}/cancel/", {"reason": "again"})[:2] == (409, "order_ended")
    assert not StockItem.objects.filter(incoming__isnull=False).exists()
