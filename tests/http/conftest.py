"""Two dealers with a key each, and a client that lets faults become answers."""

from datetime import UTC, datetime

import pytest
from django.test import Client

from service.operations.keys import IssuedKey, issue_key
from service.operations.models import Dealer, Person, Scope
from service.operations.people import create_person

LONG_AGO = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _tiny_api(settings: object) -> None:
    settings.ROOT_URLCONF = "tests.http.api"  # type: ignore[attr-defined]


@pytest.fixture
def client() -> Client:
    return Client(raise_request_exception=False)


@pytest.fixture(autouse=True)
def _alone(empty_house: None) -> None:
    """These rooms know nothing of parts."""


@pytest.fixture
def tallis_bridge(db: None) -> Dealer:
    return Dealer.objects.create(code="tallis-mill", name="Tallis Bridge")


@pytest.fixture
def weir_lane(db: None) -> Dealer:
    return Dealer.objects.create(code="weir-lane", name="Weir Lane")


@pytest.fixture
def ida(tallis_bridge: Dealer) -> Person:
    return create_person(
        username="ida", name="Ida Marsh", roles=["counter"], dealer=tallis_bridge, password="a long pass phrase"
    )


@pytest.fixture
def till(tallis_bridge: Dealer) -> IssuedKey:
    """May read the catalogue, and is bound to nobody."""
    return issue_key(dealer=tallis_bridge, name="till", live=True, scopes=[Scope.CATALOGUE_READ], now=LONG_AGO)


def bearer(issued: IssuedKey) -> dict[str, str]:
    return {"Authorization": f"Bearer {issued.text}"}
