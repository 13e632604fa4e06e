"""The last piece goes to one job only, whoever asks at the same moment (common practice, no source)."""

import pytest

from kits.models import StockBatch
from service.operations.models import Dealer
from tests.operations.workers import at_once
from tests.stock.rows import item, main_branch, part

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
COUNTERS = 2


def test_of_two_who_want_the_last_piece_exactly_one_gets_it(tallis_bridge: Dealer) -> None:
    held = item(main_branch(tallis_bridge), part("VRD", "0021-460"), (3, 2))
    batch = StockBatch.objects.get(item=held)
    won = at_once(COUNTERS, lambda _: StockBatch.objects.reserve(batch.pk, 1))
    assert sorted(won) == [False, True]
    batch.refresh_from_db()
    assert (batch.on_hand, batch.reserved) == (3, 3)


def test_nothing_more_is_promised_of_a_batch_that_was_counted_below_its_promises(
    tallis_bridge: Dealer,
) -> None:
    held = item(main_branch(tallis_bridge), part("VRD", "0021-460"), (2, 5))
    batch = StockBatch.objects.get(item=held)
    assert not StockBatch.objects.reserve(batch.pk, 1)
    assert not StockBatch.objects.take_out(batch.pk, 3)
    assert StockBatch.objects.take_out(batch.pk, 2)
    assert StockBatch.objects.release(batch.pk, 3)
    assert not StockBatch.objects.release(batch.pk, 1)
    batch.refresh_from_db()
    assert (batch.on_hand, batch.reserved) == (0, 0)
