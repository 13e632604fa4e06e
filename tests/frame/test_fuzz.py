"""Whatever is sent, the service answers as its description says, and never with a fault of its own."""

from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from pytest_django.live_server_helper import LiveServer
from schemathesis import checks

from service.openapi import COMMITTED
from tests.api.world import Desk

pytestmark = [pytest.mark.once, pytest.mark.django_db(transaction=True)]

PROMISES = [
    checks.not_a_server_error,
    checks.status_code_conformance,
    checks.content_type_conformance,
    checks.response_schema_conformance,
]
api = schemathesis.openapi.from_path(COMMITTED)
# Going through every field's every limit is a thousand requests an address; a draw among them is enough every day.
api.config.phases.coverage.enabled = False


@pytest.fixture
def key(desk: Desk) -> str:
    """Give a key of the demo's dealer, with the demo's catalogue loaded."""
    return desk.key


@api.parametrize()
@settings(
    max_examples=30,
    derandomize=True,
    # What fails is shown as it was sent; shrinking it would ask the server some hundred times more.
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_any_request_gets_a_described_answer(case: "schemathesis.Case[Any]", live_server: LiveServer, key: str) -> None:
    headers = {"Authorization": f"Bearer {key}"}
    case.call_and_validate(base_url=live_server.url, headers=headers, checks=PROMISES)
