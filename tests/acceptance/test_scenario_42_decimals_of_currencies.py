"""Scenario 42, as far as prices go: 3 at 2.335 USD are 7.01 by line, JPY has no decimals and KWD three."""

import pytest

from kits.domain.money import Money, line_total
from kits.models import SupplierPrice
from service.operations.models import Dealer
from tests.api.world import Desk
from tests.stock.rows import fenmoor, part
from tests.stock.sending import loaded

pytestmark = pytest.mark.db
FILE = """supplier,maker,number,price,currency,pack,minimum
fenmoor,VRD,42-1,2.335,USD,1,0
fenmoor,VRD,42-2,1200,JPY,1,0
fenmoor,VRD,42-3,1.234,KWD,1,0
fenmoor,VRD,42-4,1.00,QQQ,1,0
"""


def test_prices_come_and_go_with_the_decimals_of_their_currency(desk: Desk, tallis_bridge: Dealer) -> None:
    fenmoor(tallis_bridge)
    for place in (1, 2, 3, 4):
        part("VRD", f"42-{place}")
    done = loaded(desk, FILE, table="prices")
    assert done.problems == ((5, "currency", "unknown_currency"),)
    assert "'QQQ'" in done.told("unknown_currency")
    shown = [entry["price"] for entry in desk.get("/supplier-prices/").json()["results"]]
    assert shown == [
        {"amount": "2.335", "currency": "USD"},
        {"amount": "1200", "currency": "JPY"},
        {"amount": "1.234", "currency": "KWD"},
    ]
    kept = {row.currency: Money(row.price, row.currency) for row in SupplierPrice.objects.all()}
    totals = {currency: line_total(price, 3).amount for currency, price in kept.items()}
    assert totals == {"USD": "7.01", "JPY": "3600", "KWD": "3.702"}
