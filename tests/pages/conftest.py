"""Somebody at Tallis Bridge, and somebody at Weir Lane who must never see what is Tallis Bridge's."""

import pytest

from service.operations.models import Dealer
from tests.pages.browser import Browser


@pytest.fixture
def counter(tallis_bridge: Dealer) -> Browser:
    return Browser.of(tallis_bridge)


@pytest.fixture
def stranger(weir_lane: Dealer) -> Browser:
    return Browser.of(weir_lane)
