"""Tallis Bridge asks; Weir Lane must never see what is Tallis Bridge's.

The demo world is loaded once a session, before the first test that asks for it. What a test changes is rolled back;
after one that commits the database is put back from a copy. A test that commits and does not ask for the world begins
with empty tables.
"""

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import TransactionTestCase
from django.utils import timezone
from pytest_django.plugin import blocking_manager_key

from catalog.models import Customer, Machine
from service.operations.models import Branch, Change, ClosedDate, Dealer, Person
from tests.api.world import Desk, demo_dealer, load_world, other_dealer
from tests.kept_database import KeptDatabase, State

KEPT = pytest.StashKey[KeptDatabase]()


@pytest.fixture(scope="session")
def django_db_setup(request: pytest.FixtureRequest, django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """The test database as Django makes it, with a copy to put back after tests that commit."""
    kept = request.config.stash[KEPT] = KeptDatabase()
    with django_db_blocker.unblock():
        kept.keep(State.EMPTY)
    with pytest.MonkeyPatch.context() as patch:
        # Django would empty every table instead, which takes seconds and loses the world.
        patch.setattr(TransactionTestCase, "_fixture_teardown", lambda _: kept.changed())
        yield
    with django_db_blocker.unblock():
        kept.forget()


@pytest.fixture(scope="session")
def world(request: pytest.FixtureRequest, django_db_setup: None, django_db_blocker: Any) -> None:
    with django_db_blocker.unblock():
        load_world()
        request.config.stash[KEPT].keep(State.WORLD)


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Before any transaction of the test's own."""
    kept = item.config.stash.get(KEPT, None)
    if kept is not None and item.get_closest_marker("django_db"):
        with item.config.stash[blocking_manager_key].unblock():
            kept.before(commits=commits(item), world="world" in fixtures_of(item))


def commits(item: pytest.Item) -> bool:
    marker = item.get_closest_marker("django_db")
    asked = marker is not None and bool(marker.kwargs.get("transaction"))
    return asked or not fixtures_of(item).isdisjoint({"transactional_db", "live_server"})


def fixtures_of(item: pytest.Item) -> set[str]:
    return set(getattr(item, "fixturenames", ()))


@pytest.fixture
def tallis_bridge(world: None, db: None) -> Dealer:
    return demo_dealer()


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
