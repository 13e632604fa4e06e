"""Orders placed at the same moment: one order for one key, numbers without gaps, nothing ordered twice from a plan."""

from typing import Any

import pytest

from kits.models import Order
from service.operations.models import Branch, Dealer
from tests.api.world import Desk
from tests.april_week import engine, part, price, supplier
from tests.desks import Clock
from tests.kits_at_hand import kit_of
from tests.operations.workers import at_once
from tests.order_desk import FITTED_ON, PLUG, PLUGS

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
BODY = {"supplier": "fenmoor", "lines": [{"part": PLUG, "packs": 1}]}


@pytest.fixture
def dealer(tallis_bridge: Dealer, clock: Clock) -> Dealer:
    fenmoor = supplier(tallis_bridge, Branch.objects.get(dealer=tallis_bridge))
    price(fenmoor, part("VRD", "4410-12"), "9.40", pack=4, lead_days=4)
    return tallis_bridge


def test_two_at_once_with_one_key_make_one_order_and_the_other_is_told_to_wait(dealer: Dealer) -> None:
    desks = [Desk.of(dealer) for _ in range(2)]
    answers = at_once(2, lambda one: desks[one].post("/orders/", BODY, Idempotency_Key="K1"))
    placed = [answer for answer in answers if answer.status_code == 201]
    waiting = [answer for answer in answers if answer.status_code == 409]
    # Whoever comes once the first is done gets its answer; whoever comes while it runs is told to wait.
    assert len(placed) + len(waiting) == 2
    assert {answer.json()["number"] for answer in placed} == {1}
    for answer in waiting:
        assert answer.json()["code"] == "idempotency_still_running"
        assert int(answer.headers["Retry-After"]) >= 1
    assert Order.objects.count() == 1


def test_orders_placed_together_are_numbered_without_gaps(dealer: Dealer) -> None:
    desks = [Desk.of(dealer) for _ in range(4)]

    def place(one: int) -> list[Any]:
        answers = [desks[one].post("/orders/", BODY, Idempotency_Key=f"{one}-{again}") for again in range(3)]
        return [answer.json().get("number", answer.content) for answer in answers]

    numbers = [number for told in at_once(4, place) for number in told]
    assert sorted(numbers, key=str) == sorted(range(1, 13), key=str)


def test_a_plan_is_ordered_from_once_however_many_order_it_together(dealer: Dealer) -> None:
    desk = Desk.of(dealer)
    truck = engine(desk, "Lift truck 1", ("VRD-H40", "S-131", "131001"), fuel="lpg_liquid", place="indoor")
    kit = kit_of(desk, truck, [PLUGS], fitted_on=FITTED_ON)
    plan = desk.made("/order-plans/", {"kits": [str(kit.pk)], "seconds": 0})
    desks = [Desk.of(dealer) for _ in range(3)]

    def place(one: int) -> tuple[int, Any]:
        answer = desks[one].post("/orders/", {"plan": plan["id"]}, Idempotency_Key=f"p{one}")
        return answer.status_code, answer.json().get("code")

    answers = sorted(at_once(3, place))
    assert answers[0] == (201, None)
    assert {code for status, code in answers if status != 201} <= {"ordered_already", "plan_outdated"}
    assert Order.objects.count() == 1
