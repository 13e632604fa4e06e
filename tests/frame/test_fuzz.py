"""Whatever is sent, the service answers as its description says, and never with a fault of its own."""

import json
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from pytest_django.live_server_helper import LiveServer
from schemathesis import checks
from schemathesis.core.result import Ok

from service.openapi import COMMITTED
from tests.api.world import Desk

pytestmark = [pytest.mark.once, pytest.mark.django_db(transaction=True)]

PROMISES = [
    checks.not_a_server_error,
    checks.status_code_conformance,
    checks.content_type_conformance,
    checks.response_schema_conformance,
]
METHODS = frozenset({"get", "post", "put", "patch", "delete"})
api = schemathesis.openapi.from_path(COMMITTED)
# Going through every field's every limit is a thousand requests an address; a draw among them is enough every day.
api.config.phases.coverage.enabled = False


@pytest.fixture
def key(desk: Desk) -> str:
    """Give a key of the demo's dealer, with the demo's catalogue loaded."""
    return desk.key


# By a name of its own each: where processes share the tests, of several with one name a single one would be asked.
OPERATIONS = {found.ok().label: found.ok() for found in api.get_all_operations() if isinstance(found, Ok)}


@pytest.mark.parametrize("label", OPERATIONS)
def test_any_request_gets_a_described_answer(label: str, live_server: LiveServer, key: str) -> None:
    headers = {"Authorization": f"Bearer {key}"}

    @given(OPERATIONS[label].as_strategy())
    @settings(
        max_examples=12,
        derandomize=True,
        # What fails is shown as it was sent; shrinking it would ask the server some hundred times more.
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    def ask(case: "schemathesis.Case[Any]") -> None:
        case.call_and_validate(base_url=live_server.url, headers=headers, checks=PROMISES)

    ask()


def test_every_operation_of_the_description_is_asked() -> None:
    described = json.loads(COMMITTED.read_text(encoding="utf-8"))["paths"]
    methods = [f"{method.upper()} {path}" for path, known in described.items() for method in known if method in METHODS]
    assert sorted(OPERATIONS) == sorted(methods)
