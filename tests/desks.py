"""Tallis Bridge asks; Weir Lane must never see what is Tallis Bridge's."""

import pytest

from service.operations.models import Dealer
from tests.api.world import Desk, load_world, other_dealer


@pytest.fixture
def tallis_bridge(db: None) -> Dealer:
    return load_world()


@pytest.fixture
def weir_lane(tallis_bridge: Dealer) -> Dealer:
    return other_dealer()


@pytest.fixture
def desk(tallis_bridge: Dealer) -> Desk:
    return Desk.of(tallis_bridge)


@pytest.fixture
def other_desk(weir_lane: Dealer) -> Desk:
    return Desk.of(weir_lane)
