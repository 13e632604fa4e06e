"""A kit from its plan of orders to the shelf: bought, kept for it when it comes, and free again once it dies."""

from typing import Any

import pytest

from kits.models import Incoming
from service.operations.models import Branch, Dealer
from tests.api.kit_cast import KIT_500, LITRE, built, done, key, line_at, price
from tests.api.world import Desk
from tests.april_week import supplier
from tests.desks import Clock

pytestmark = pytest.mark.db
SERVICE = "2026-04-13"


@pytest.fixture
def fenmoor(desk: Desk, tallis_bridge: Dealer, clock: Clock) -> Desk:
    """The desk of a dealer who can buy all of a 500 h service at Fenmoor, four working days away."""
    supplier(tallis_bridge, Branch.objects.get(dealer=tallis_bridge))
    for _, number in KIT_500:
        price(tallis_bridge, number, "10.00", lead_days=4)
    price(tallis_bridge, "9105", "34.50", content=5 * LITRE, lead_days=4)
    return desk


def planned(desk: Desk, kit: dict[str, Any]) -> dict[str, Any]:
    return desk.made("/order-plans/", {"kits": [kit["id"]], "seconds": 0})


def ordered(desk: Desk, kit: dict[str, Any]) -> dict[str, Any]:
    response = desk.post("/orders/", {"plan": planned(desk, kit)["id"]}, **key())
    assert response.status_code == 201, response.content
    (order,) = response.json()["orders"]
    return dict(order)


def test_a_kit_is_bought_for_kept_for_and_reserved(fenmoor: Desk) -> None:
    kit = built(fenmoor, fitted_on=SERVICE)
    wanted = {one["part"]["number"]: one["pieces"] for one in planned(fenmoor, kit)["purchases"]}
    assert wanted == {number: count for (_, number), count in KIT_500.items()} | {"9105": 1}
    order = ordered(fenmoor, kit)
    came = [{"line": line["line"], "pieces": line["pieces"], "bin": "A1"} for line in order["lines"]]
    whole = fenmoor.post(f"/orders/{order['id']}/receive/", {"lines": came}, **key()).json()
    assert (whole["state"], whole["notes"]) == ("received", [])
    reserved = done(fenmoor, kit, "reserve")
    assert (reserved["state"], reserved["short"]) == ("reserved", [])
    assert planned(fenmoor, kit)["purchases"] == []


def test_what_is_ordered_for_a_kit_is_on_its_way_to_it_and_not_short_again(fenmoor: Desk) -> None:
    """Or the shop would order it twice; another kit does not count on it (common practice, no source)."""
    kit = built(fenmoor, fitted_on=SERVICE)
    ordered(fenmoor, kit)
    stock = line_at(fenmoor.get(f"/kits/{kit['id']}/").json(), "spark_plug")["use"][0]["stock"]
    assert (stock["free"], stock["incoming"], stock["short"]) == (0, 4, 0)
    reserved = done(fenmoor, kit, "reserve")
    assert {(one["short"], one["order"]) for one in reserved["short"]} == {(0, None)}
    other = line_at(built(fenmoor, "Resurfacer 2", fitted_on=SERVICE), "spark_plug")["use"][0]["stock"]
    assert (other["incoming"], other["short"]) == (0, 4)


def test_what_is_ordered_for_a_kit_and_comes_too_late_is_short(fenmoor: Desk) -> None:
    kit = built(fenmoor, fitted_on=SERVICE)
    ordered(fenmoor, kit)
    Incoming.objects.update(promised_latest=SERVICE)  # on the day of the service, and not before it
    stock = line_at(fenmoor.get(f"/kits/{kit['id']}/").json(), "spark_plug")["use"][0]["stock"]
    assert (stock["incoming"], stock["short"]) == (0, 4)


def test_what_was_ordered_for_a_kit_that_is_cancelled_serves_the_next_one(fenmoor: Desk) -> None:
    kit = built(fenmoor, fitted_on=SERVICE)
    ordered(fenmoor, kit)
    done(fenmoor, kit, "cancel")
    assert set(Incoming.objects.values_list("assigned", flat=True)) == {0}
    plan = planned(fenmoor, built(fenmoor, fitted_on=SERVICE))
    assert plan["purchases"] == []
    assert {one["source"] for one in plan["servings"]} == {"incoming"}
