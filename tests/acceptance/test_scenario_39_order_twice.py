"""An order that is sent again is placed once."""

import pytest

from kits.models import Order
from tests.order_desk import PLUG, Shop

pytestmark = pytest.mark.db
BODY = {"supplier": "fenmoor", "lines": [{"part": PLUG, "packs": 1}]}


def test_scenario_39_the_same_key_and_body_give_one_order_and_its_number(shop: Shop) -> None:
    first, again = (shop.desk.post("/orders/", BODY, Idempotency_Key="K1") for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 201)
    assert again.json() == first.json()
    assert again.headers["Idempotency-Replayed"] == "true"
    assert Order.objects.count() == 1


def test_scenario_39_the_same_key_with_another_body_is_refused(shop: Shop) -> None:
    shop.desk.post("/orders/", BODY, Idempotency_Key="K1")
    other = {**BODY, "lines": [{"part": PLUG, "packs": 2}]}
    refused = shop.desk.post("/orders/", other, Idempotency_Key="K1")
    assert (refused.status_code, refused.json()["code"]) == (422, "idempotency_key_reused")
    assert Order.objects.count() == 1
