"""Stock, prices, suppliers, calendars and handling over HTTP (trade.md sections 5 and 6; contract.md, Kits)."""

from datetime import date, timedelta
from typing import Any

import pytest

from kits.models import StockBatch, StockItem
from service.operations.models import Dealer, Scope
from tests.api.world import Desk
from tests.stock.rows import item, main_branch, other_branch, part

pytestmark = pytest.mark.db
FILTER = {"maker": "VRD", "number": "0021-460"}


@pytest.fixture(autouse=True)
def filter_part(tallis_bridge: Dealer) -> None:
    part("VRD", "0021-460")


def fenmoor_made(desk: Desk, **more: Any) -> dict[str, Any]:
    body = {"code": "fenmoor", "name": "Fenmoor Engine & Pump", "zone": "Europe/Paris", "currency": "USD"}
    return desk.made("/suppliers/", {**body, **more})


def priced(desk: Desk, amount: str, currency: str, **more: Any) -> Any:
    body = {"supplier": "fenmoor", "part": FILTER, "price": {"amount": amount, "currency": currency}}
    return desk.post("/supplier-prices/", {**body, "pack": 6, "minimum": 6, **more})


def codes(response: Any) -> set[tuple[str, str]]:
    body = response.json()
    return {(entry["pointer"], entry["code"]) for entry in body.get("errors", [])} or {
        (body.get("pointer", ""), body["code"])
    }


def test_a_calendar_with_its_days_is_kept_changed_and_taken_away(desk: Desk) -> None:
    made = desk.made("/calendars/", {"code": "shop", "name": "Shop", "branch": "main", "country": "FR",
                                     "first_year": 2026, "last_year": 2026})  # fmt: skip
    address = f"/calendars/{made['id']}/"
    assert made["worked_weekdays"] == [1, 2, 3, 4, 5]
    day = desk.made(f"{address}days/", {"date": "2026-04-03", "reason": "stocktaking"})
    assert day == {"date": "2026-04-03", "closed": True, "reason": "stocktaking"}
    assert desk.post(f"{address}days/", {"date": "2026-04-03"}).json()["code"] == "taken"
    assert desk.changed(address, {"worked_weekdays": [1, 2, 3, 4, 5, 6]})["worked_weekdays"][-1] == 6
    assert [entry["date"] for entry in desk.get(f"{address}days/").json()["results"]] == ["2026-04-03"]
    assert desk.get("/calendars/?branch=main").json()["results"][0]["code"] == "shop"


def test_days_nobody_can_know_or_work_are_refused(desk: Desk) -> None:
    place = {"code": "x", "name": "X", "country": "QQ", "branch": "nowhere", "first_year": 2026, "last_year": 2025}
    assert codes(desk.post("/calendars/", place)) == {("#/branch", "unknown_branch"), ("#/last_year", "years")}
    unknown = {**place, "branch": None, "last_year": 2026}
    assert desk.post("/calendars/", unknown).json()["code"] == "unknown_holidays"
    made = desk.made("/calendars/", {"code": "s", "name": "S", "first_year": 2026, "last_year": 2026})
    address = f"/calendars/{made['id']}/days/"
    assert desk.post(address, {"date": "2027-01-01"}).json()["code"] == "outside_the_years"
    assert desk.post(address, {"date": "2026-04-04", "closed": False}).json()["code"] == "never_worked"


def test_a_change_needs_the_tag_of_what_was_read(desk: Desk) -> None:
    made = fenmoor_made(desk)
    address = f"/suppliers/{made['id']}/"
    tag = desk.get(address).headers["ETag"]
    assert desk.patch(address, {"name": "Fenmoor"}).status_code == 428
    assert desk.patch(address, {"name": "Fenmoor"}, If_Match=tag).status_code == 200
    assert desk.patch(address, {"name": "Fenmoor again"}, If_Match=tag).status_code == 412


def test_everything_wrong_with_a_supplier_is_told_at_once(desk: Desk) -> None:
    wrong = {
        "code": "fen", "name": "Fen", "zone": "Mars/Base", "currency": "XQX",
        "calendar": "7b0f6a42-3c7d-4f10-8f55-2f5e1d0a9c11",
    }  # fmt: skip
    assert codes(desk.post("/suppliers/", wrong)) == {
        ("#/currency", "unknown_currency"), ("#/zone", "zone"), ("#/calendar", "unknown_calendar")
    }  # fmt: skip
    fenmoor_made(desk, cut_off="15:00", order_charge={"amount": "12.50", "currency": "USD"})
    again = desk.post("/suppliers/", {"code": "fenmoor", "name": "F", "zone": "UTC", "currency": "USD"})
    assert (again.status_code, again.json()["code"]) == (409, "taken")


# ISO 4217 as the domain has it: JPY is paid in none, USD in two, KWD in three decimals.
@pytest.mark.parametrize(
    ("amount", "currency", "shown"),
    [("1200", "JPY", "1200"), ("14.2", "USD", "14.20"), ("2.335", "USD", "2.335"), ("1.5", "KWD", "1.500")],
)
def test_a_price_keeps_its_currency_and_its_decimals(desk: Desk, amount: str, currency: str, shown: str) -> None:
    fenmoor_made(desk)
    made = priced(desk, amount, currency)
    assert made.status_code == 201, made.content
    assert made.json()["price"] == {"amount": shown, "currency": currency}


def test_a_currency_nobody_knows_and_amounts_that_cannot_be_paid_are_named(desk: Desk) -> None:
    fenmoor_made(desk)
    unknown = priced(desk, "1", "QQQ")
    assert (unknown.status_code, unknown.json()["code"]) == (400, "unknown_currency")
    assert "QQQ" in unknown.json()["detail"]
    core = priced(desk, "212.00", "USD", core_charge={"amount": "60.005", "currency": "USD"})
    assert core.json()["code"] == "too_fine"
    assert priced(desk, "212.00", "USD", core_charge={"amount": "60", "currency": "JPY"}).json()["code"] == (
        "other_currency"
    )
    assert priced(desk, "0", "USD").json()["code"] == "price_of_nothing"


def test_prices_are_found_by_number_and_one_size_is_priced_once(desk: Desk) -> None:
    fenmoor_made(desk)
    oil = part("OLM", "LG-40", "engine_oil")
    for litres in ("1", "5"):
        body = {"part": {"id": oil.pk}, "content": {"value": litres, "unit": "L"}, "pack": 1, "minimum": 0}
        assert priced(desk, "8.90", "USD", **body).status_code == 201
    twice = priced(desk, "9", "USD", part={"id": oil.pk}, content={"value": "5000", "unit": "mL"})
    assert twice.json()["code"] == "taken"
    found = desk.get("/supplier-prices/?maker=olm&number=lg40").json()["results"]
    assert [entry["content"]["value"] for entry in found] == ["1", "5"]
    assert desk.get("/supplier-prices/?numbr=1").json()["errors"][0]["code"] == "unknown_parameter"


def test_expired_pieces_and_promised_ones_are_never_free(desk: Desk, tallis_bridge: Dealer) -> None:
    body = {
        "branch": "main", "part": FILTER, "ages": True, "counter_price": {"amount": "18.90", "currency": "USD"},
        "batches": [
            {"bin": "A1", "date_code": "2021-01-04", "expires": "2026-03-31", "on_hand": 4},
            {"bin": "A2", "date_code": "2025-01-04", "expires": "2030-01-04", "on_hand": 6},
            {"bin": "A3", "on_hand": 9},
        ],
    }  # fmt: skip
    made = desk.made("/stock-items/", body)
    StockBatch.objects.filter(item=made["id"], bin="A2").update(reserved=2)
    shown = desk.get(f"/stock-items/{made['id']}/?on=2026-04-13").json()
    assert (shown["on_hand"], shown["reserved"], shown["free"]) == (19, 2, 4)
    assert [batch["never_free"] for batch in shown["batches"]] == ["expired", None, "no_date_code"]
    assert desk.get(f"/stock-items/{made['id']}/?on=2026-03-31").json()["free"] == 8


def test_counting_by_hand_keeps_promises_and_empties_what_is_not_listed(desk: Desk) -> None:
    made = desk.made("/stock-items/", {"branch": "main", "part": FILTER, "batches": [{"bin": "A1", "on_hand": 5}]})
    address = f"/stock-items/{made['id']}/"
    tag = desk.get(address).headers["ETag"]
    assert StockBatch.objects.reserve(StockBatch.objects.get(item=made["id"]).pk, 2)
    assert desk.patch(address, {"reorder_point": 8}, If_Match=tag).status_code == 412
    after = desk.changed(address, {"batches": [{"bin": "B1", "on_hand": 4}]})
    assert [(one["bin"], one["on_hand"], one["reserved"], one["overpromised"]) for one in after["batches"]] == [
        ("A1", 0, 2, 2), ("B1", 4, 0, 0)
    ]  # fmt: skip
    assert after["free"] == 2
    response = desk.client.delete(f"/api/v1{address}", headers={"Authorization": f"Bearer {desk.key}", "If-Match": "*"})
    assert (response.status_code, response.json()["code"]) == (409, "in_use")


def test_items_with_enough_free_pieces_are_those_whose_answer_says_so(desk: Desk, tallis_bridge: Dealer) -> None:
    branch, quay, one = main_branch(tallis_bridge), other_branch(tallis_bridge), part("VRD", "0021-460")
    item(branch, one, (2, 5), (10, 0))
    item(quay, one, (9, 0))
    aged = item(branch, one, content=1_000_000, ages=True)
    day = date(2026, 4, 13)
    StockBatch.objects.create(item=aged, bin="C1", date_code=day, expires=day, on_hand=8)
    StockBatch.objects.create(item=aged, bin="C2", date_code=day, expires=day - timedelta(days=1), on_hand=9)
    said = {entry["id"]: entry["free"] for entry in desk.get("/stock-items/?on=2026-04-13").json()["results"]}
    assert sorted(said.values()) == [7, 8, 9]
    for least in range(11):
        found = desk.get(f"/stock-items/?on=2026-04-13&free__gte={least}").json()["results"]
        assert {entry["id"] for entry in found} == {number for number, free in said.items() if free >= least}
    assert [entry["branch"] for entry in desk.get("/stock-items/?branch=quay").json()["results"]] == ["quay"]


def test_lists_go_in_pages(desk: Desk, tallis_bridge: Dealer) -> None:
    for number in ("0021-460", "4410-12", "2051"):
        item(main_branch(tallis_bridge), part("VRD", number), (1, 0))
    first = desk.get("/stock-items/?page_size=2").json()
    assert len(first["results"]) == 2
    second = desk.client.get(first["next"], headers={"Authorization": f"Bearer {desk.key}"}).json()
    assert len(second["results"]) == 1
    assert second["next"] is None


def test_handling_says_what_packing_asks_for(desk: Desk) -> None:
    body = {"part": FILTER, "transport": "dangerous", "un_number": "1950", "nature": "licensed"}
    assert codes(desk.post("/handling/", body)) == {("#/un_number", "un_number"), ("#/fitted_by_licence", "licence")}
    made = desk.made("/handling/", {**body, "un_number": "UN1950", "fitted_by_licence": True})
    assert made["sheet_revision"] is None
    assert desk.changed(f"/handling/{made['id']}/", {"sheet_revision": "4"})["sheet_revision"] == "4"
    assert desk.post("/handling/", {"part": FILTER}).json()["code"] == "taken"


def test_what_is_another_dealers_is_not_there_and_scopes_are_asked_for(
    desk: Desk, other_desk: Desk, tallis_bridge: Dealer
) -> None:
    supplier = fenmoor_made(desk)
    price = priced(desk, "14.20", "USD").json()
    held = desk.made("/stock-items/", {"branch": "main", "part": FILTER})
    for address in (f"/suppliers/{supplier['id']}/", f"/supplier-prices/{price['id']}/", f"/stock-items/{held['id']}/"):
        assert other_desk.get(address).status_code == 404
        assert other_desk.patch(address, {}, If_Match="*").status_code == 404
    assert other_desk.get("/stock-items/").json()["results"] == []
    reader = Desk.of(tallis_bridge, scopes=[Scope.STOCK_READ])
    assert reader.get("/stock-items/").status_code == 200
    assert reader.post("/stock-items/", {"branch": "main", "part": FILTER}).status_code == 403
    assert Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ]).get("/suppliers/").status_code == 403
    assert StockItem.objects.count() == 1
