"""Somebody at Tallis Bridge, and somebody at Weir Lane who must never see what is Tallis Bridge's."""

import pytest
from django.test import Client

from service.operations.models import Dealer, RoleName
from service.operations.people import create_person
from tests.pages.browser import Browser


@pytest.fixture
def counter(tallis_bridge: Dealer) -> Browser:
    return Browser.of(tallis_bridge)


@pytest.fixture
def manager(tallis_bridge: Dealer) -> Browser:
    """The service manager of Tallis Bridge."""
    person = create_person(
        username="mara.linden", name="Mara Linden", roles=[RoleName.SERVICE_MANAGER], dealer=tallis_bridge
    )
    client = Client(raise_request_exception=True)
    client.force_login(person)
    return Browser(client)


@pytest.fixture
def stranger(weir_lane: Dealer) -> Browser:
    return Browser.of(weir_lane)
