"""The demo's stock and prices are those of the worked example (trade.md section 5); loading again changes nothing."""

import pytest
from django.core.management import call_command

from kits.domain.containers import Container, pooling
from kits.domain.money import Money, money
from kits.models import StockBatch, StockImport, SupplierPrice
from service.operations.models import Dealer
from tests.stock.rows import SHELF

pytestmark = pytest.mark.db


def test_the_shelf_and_the_oil_are_those_of_the_example_and_stay_so(tallis_bridge: Dealer) -> None:
    for _ in range(2):
        call_command("load_stock", verbosity=0)
    kept = StockBatch.objects.filter(item__dealer=tallis_bridge).values_list(
        "item__part__maker__code", "item__part__number", "on_hand", "reserved"
    )
    shelf = {(maker, number): (on_hand, reserved) for maker, number, on_hand, reserved in kept}
    named = {key: (on_hand, reserved) for key, (_, on_hand, reserved, *_) in SHELF.items()}
    assert {key: counts for key, counts in shelf.items() if key in named} == {
        key: counts for key, counts in named.items() if key in shelf
    }
    assert shelf["VRD", "0021-460"] == (5, 2)
    oil = tuple(
        Container(str(row.content), row.content or 0, Money(row.price, row.currency))
        for row in SupplierPrice.objects.filter(part__number="9105")
    )
    # 8.6 L and 17.2 L: 187.00 for each job by itself, 161.40 together.
    found = pooling((8_600_000, 17_200_000), oil, "USD")
    assert (found.apart, found.pooled.cost) == (money("187.00", "USD"), money("161.40", "USD"))


def test_a_row_whose_part_is_missing_is_left_out_and_does_not_stop_the_rest(tallis_bridge: Dealer) -> None:
    call_command("load_stock", verbosity=0)
    rows = StockImport.objects.filter(dealer=tallis_bridge)
    assert {row.state for row in rows} == {"applied"}
