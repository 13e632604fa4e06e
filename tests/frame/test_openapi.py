"""The API's description: valid, without a warning, as committed, and shown from this server's own files alone."""

import json
import re
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client
from openapi_spec_validator import OpenAPIV31SpecValidator

from service.openapi import COMMITTED, described, refusals

pytestmark = pytest.mark.once


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(COMMITTED.read_text(encoding="utf-8"))
    return loaded


def test_the_committed_description_says_what_the_views_say() -> None:
    assert described() == COMMITTED.read_text(encoding="utf-8"), "run manage.py openapi and commit the file"


def test_the_description_is_a_valid_openapi_document(document: dict[str, Any]) -> None:
    assert document["openapi"] == "3.1.1"
    assert list(OpenAPIV31SpecValidator(document).iter_errors()) == []


def test_no_view_leaves_the_generator_guessing() -> None:
    call_command("spectacular", validate=True, fail_on_warn=True, stdout=StringIO())


def test_every_operation_describes_its_refusals_as_problems(document: dict[str, Any]) -> None:
    operations = [
        operation
        for methods in document["paths"].values()
        for operation in methods.values()
        if "responses" in operation
    ]
    assert operations
    for operation in operations:
        refused = {status: told for status, told in operation["responses"].items() if status[0] in "45d"}
        assert "default" in refused
        for told in refused.values():
            assert "application/problem+json" in told["content"]


@pytest.mark.parametrize(
    ("path", "method", "operation", "expected"),
    [
        ("/api/v1/fuels/", "get", {}, {"400", "429", "default"}),
        ("/api/v1/parts/{id}/", "get", {"security": [{"key": []}]}, {"400", "401", "403", "404", "429", "default"}),
        ("/api/v1/parts/", "post", {"requestBody": {}}, {"400", "409", "413", "415", "429", "default"}),
        ("/api/v1/parts/{id}/", "delete", {}, {"400", "404", "409", "412", "428", "429", "default"}),
        (
            "/api/v1/orders/",
            "post",
            {"parameters": [{"in": "header", "name": "Idempotency-Key"}]},
            {"400", "409", "422", "429", "default"},
        ),
    ],
)
def test_the_refusals_follow_from_address_method_body_and_headers(
    path: str, method: str, operation: dict[str, Any], expected: set[str]
) -> None:
    assert set(refusals(path, method, operation)) == expected


def test_the_description_is_sent_once_and_then_known(client: Client) -> None:
    first = client.get("/api/openapi.json")
    assert first.content == COMMITTED.read_bytes()
    assert first.headers["Content-Type"] == "application/json"
    assert client.get("/api/openapi.json", headers={"If-None-Match": first.headers["ETag"]}).status_code == 304


@pytest.mark.parametrize("address", ["/api/docs/", "/api/docs/?script="])
def test_the_page_loads_nothing_from_elsewhere(client: Client, address: str) -> None:
    page = client.get(address)
    assert page.status_code == 200
    assert "default-src 'self'" in page.headers["Content-Security-Policy"]
    assert "frame-ancestors 'none'" in page.headers["Content-Security-Policy"]
    assert page.headers["X-Content-Type-Options"] == "nosniff"
    assert re.findall(r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}", page.text) == []
    # The policy forbids scripts and styles inside the page.
    assert not re.search(r"<script(?![^>]*\bsrc=)|\son[a-z]+=", page.text)


@pytest.mark.parametrize("address", ["/livez", "/no/such/page"])
def test_every_answer_carries_the_security_headers(client: Client, address: str) -> None:
    headers = client.get(address).headers
    assert "default-src 'self'" in headers["Content-Security-Policy"]
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["X-Content-Type-Options"] == "nosniff"
