"""The cast: Tallis Bridge asks, Weir Lane must never see what is Tallis Bridge's."""

from datetime import UTC, datetime

import pytest

from service.operations.models import Dealer, Person
from service.operations.people import create_person

MORNING = datetime(2026, 3, 9, 9, 15, tzinfo=UTC)


@pytest.fixture
def now() -> datetime:
    return MORNING


@pytest.fixture(autouse=True)
def _alone(empty_house: None) -> None:
    """These rooms know nothing of parts."""


@pytest.fixture
def tallis_bridge(db: None) -> Dealer:
    return Dealer.objects.create(code="tallis-mill", name="Tallis Bridge", zone="Europe/Paris")


@pytest.fixture
def weir_lane(db: None) -> Dealer:
    return Dealer.objects.create(code="weir-lane", name="Weir Lane")


@pytest.fixture
def ida(tallis_bridge: Dealer) -> Person:
    """Service manager at Tallis Bridge."""
    return create_person(
        username="ida",
        name="Ida Marsh",
        roles=["service_manager"],
        dealer=tallis_bridge,
        email="ida@tallis.example",
        password="a long pass phrase",
    )
