"""Tallis Bridge asks; Weir Lane must never see what is Tallis Bridge's.

The demo world is loaded once a session, before the first test that uses the database; what a test changes is rolled
back. A test that commits empties the tables when it ends, so the world is loaded again before the next that does not.
"""

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest
from django.utils import timezone
from pytest_django.plugin import blocking_manager_key

from catalog.models import Customer, Machine
from service.operations.models import Branch, Change, ClosedDate, Dealer, Person
from tests.api.world import Desk, demo_dealer, load_world, other_dealer

LOADED = pytest.StashKey[bool]()


@pytest.fixture(scope="session")
def world(request: pytest.FixtureRequest, django_db_setup: None, django_db_blocker: Any) -> None:
    with django_db_blocker.unblock():
        load_world()
    request.config.stash[LOADED] = True


@pytest.hookimpl(wrapper=True)
def pytest_runtest_teardown(item: pytest.Item, nextitem: pytest.Item | None) -> Iterator[None]:
    """Outside of any test's transaction: inside of one, each test after a committing one would load it for itself."""
    yield
    emptied = commits(item) and nextitem is not None and not commits(nextitem)
    if emptied and item.config.stash.get(LOADED, False):
        with item.config.stash[blocking_manager_key].unblock():
            load_world()


def commits(item: pytest.Item) -> bool:
    marker = item.get_closest_marker("django_db")
    return marker is not None and bool(marker.kwargs.get("transaction"))


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


class Clock:
    """The frame's clock in a test's hands; the service asks no other."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self._patch = patch

    def at(self, instant: str) -> datetime:
        """Let it be this instant, given with its offset."""
        now = datetime.fromisoformat(instant)
        self._patch.setattr(timezone, "now", lambda: now.astimezone(UTC))
        return now


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """The acceptance fixture's day, a quarter past ten at the dealer's."""
    clock = Clock(monkeypatch)
    clock.at("2026-03-09T10:15:00+01:00")
    return clock


@pytest.fixture
def empty_house(request: pytest.FixtureRequest) -> None:
    """For rooms that know nothing of the demo world: what another test of this session loaded is out of sight."""
    if request.node.get_closest_marker("django_db"):
        request.getfixturevalue("db")
        for model in (Machine, Customer, Change, ClosedDate, Branch, Person, Dealer):
            model.objects.all().delete()
