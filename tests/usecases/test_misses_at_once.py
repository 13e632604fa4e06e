"""Several counters look the same number up in vain at the same moment: one miss, and every one of them is counted."""

import pytest

from catalog.models import LookupMiss
from catalog.usecases.looking_up import look_up
from catalog.usecases.reading import published
from service.operations.models import Dealer
from tests.api.world import NOW
from tests.operations.workers import at_once

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
COUNTERS = 6


def test_a_miss_is_written_down_once_and_counted_every_time(tallis_bridge: Dealer) -> None:
    now = published()
    spelled = ("ZZ-99817", "zz 99817", "ZZ99.817")
    found = at_once(COUNTERS, lambda one: look_up(spelled[one % len(spelled)], now, tallis_bridge, NOW, most=20))
    assert not any(looked.results for looked in found)
    (miss,) = LookupMiss.objects.all()
    assert (miss.count, miss.dealer) == (COUNTERS, tallis_bridge)
    assert miss.text in spelled
