"""Order lines are rounded by line, half-up, to the decimals of their currency."""

import pytest

from tests.order_desk import Shop

pytestmark = pytest.mark.db
ELEMENT = {"maker": "VRD", "number": "2051"}


@pytest.mark.parametrize(
    ("amount", "currency", "pieces", "cost"),
    [("2.335", "USD", 3, "7.01"), ("99.5", "JPY", 3, "299"), ("1.2345", "KWD", 1, "1.235")],
)
def test_scenario_42_a_line_is_rounded_by_line(shop: Shop, amount: str, currency: str, pieces: int, cost: str) -> None:
    line = {"part": ELEMENT, "pieces": pieces, "price": {"amount": amount, "currency": currency}}
    order = shop.order(line)
    assert order["lines"][0]["cost"] == {"amount": cost, "currency": currency}
    assert order["goods"] == {"amount": cost, "currency": currency}
    assert order["rounding"] == "by_line"
