"""Tallis Bridge asks; Weir Lane must never see what is Tallis Bridge's.

The demo world is loaded once a session, before the first test that uses the database; what a test changes is rolled
back. A test that commits empties the tables when it ends, so the next one that needs the world loads it again.
"""

from typing import Any

import pytest

from catalog.models import Customer, Machine
from service.operations.models import Branch, Change, ClosedDate, Dealer
from tests.api.world import Desk, demo_dealer, load_world, other_dealer


@pytest.fixture(scope="session")
def world(django_db_setup: None, django_db_blocker: Any) -> None:
    with django_db_blocker.unblock():
        load_world()


@pytest.fixture
def tallis_bridge(world: None, db: None) -> Dealer:
    return demo_dealer() or load_world()


@pytest.fixture
def weir_lane(tallis_bridge: Dealer) -> Dealer:
    return other_dealer()


@pytest.fixture
def desk(tallis_bridge: Dealer) -> Desk:
    return Desk.of(tallis_bridge)


@pytest.fixture
def other_desk(weir_lane: Dealer) -> Desk:
    return Desk.of(weir_lane)


@pytest.fixture
def empty_house(request: pytest.FixtureRequest) -> None:
    """For rooms that know nothing of the demo world: what another test of this session loaded is out of sight."""
    if request.node.get_closest_marker("django_db"):
        request.getfixturevalue("db")
        for model in (Machine, Customer, Change, ClosedDate, Branch, Dealer):
            model.objects.all().delete()
