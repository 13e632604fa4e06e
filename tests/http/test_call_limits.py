"""The limit of a key at the edge: what is counted, what a refusal says, and what every answer tells of the rest."""

from __future__ import annotations

import json
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client

from service.operations.keys import IssuedKey, issue_key
from service.operations.models import Dealer, Person
from tests.desks import Clock
from tests.http.api import orders_made
from tests.http.conftest import LONG_AGO, bearer

pytestmark = pytest.mark.db


@pytest.fixture
def three(tallis_bridge: Dealer, clock: Clock) -> IssuedKey:
    """May call three times a minute."""
    return issued_to(tallis_bridge, 3)


def issued_to(dealer: Dealer, calls: int | None) -> IssuedKey:
    scopes = ["catalogue:read"]
    return issue_key(dealer=dealer, name="till", live=True, scopes=scopes, now=LONG_AGO, calls_per_minute=calls)


def ask(client: Client, key: IssuedKey, address: str = "/api/closed/") -> Any:
    return client.get(address, headers=bearer(key))


def send(client: Client, key: IssuedKey, address: str, body: str, **headers: str) -> Any:
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return client.post(address, body, content_type="application/json", headers={**bearer(key), **named})


def left(response: Any) -> int:
    """What the answer says is left of three."""
    assert response.headers["RateLimit-Policy"] == '"key";q=3;w=60'
    name, remaining, _ = response.headers["RateLimit"].split(";")
    assert name == '"key"'
    return int(remaining.removeprefix("r="))


def test_the_fourth_call_of_three_is_refused_with_the_time_to_wait(
    client: Client, three: IssuedKey, clock: Clock
) -> None:
    assert [left(ask(client, three)) for _ in range(3)] == [2, 1, 0]
    clock.at("2026-03-09T10:15:12.500+01:00")
    refused = ask(client, three)
    assert (refused.status_code, refused.headers["Content-Type"]) == (429, "application/problem+json")
    assert (refused.headers["Retry-After"], refused.headers["RateLimit"]) == ("48", '"key";r=0;t=48')
    told = refused.json()
    assert (told["type"], told["code"]) == ("/problems/quota-exceeded/", "quota_exceeded")
    assert {name: told[name] for name in ("retry_after", "limit", "left", "cost")} == {
        "retry_after": 48, "limit": 3, "left": 0, "cost": 1
    }  # fmt: skip
    assert client.get(told["type"]).status_code == 200
    clock.at("2026-03-09T10:15:59.500+01:00")
    assert ask(client, three).status_code == 429
    clock.at("2026-03-09T10:16:00.500+01:00")
    assert left(ask(client, three)) == 2


def test_every_call_with_a_key_counts_whatever_becomes_of_it(client: Client, three: IssuedKey) -> None:
    assert left(client.post("/api/closed/", headers=bearer(three))) == 2  # the scope is missing
    assert left(client.put("/api/closed/", headers=bearer(three))) == 1  # nothing is put there
    assert left(ask(client, three, "/api/closed/?strange=1")) == 0
    assert ask(client, three).status_code == 429


def test_a_call_that_nobody_stands_behind_counts_for_no_key(client: Client, three: IssuedKey) -> None:
    mistyped = client.get("/api/closed/", headers={"Authorization": f"Bearer {three.text[:-1]}"})
    assert (mistyped.status_code, "RateLimit" in mistyped.headers) == (401, False)
    assert left(ask(client, three)) == 2


def test_a_page_is_not_limited_by_key(client: Client, three: IssuedKey, ida: Person) -> None:
    client.force_login(ida)
    answers = [client.get("/api/closed/") for _ in range(5)]
    assert {(answer.status_code, "RateLimit" in answer.headers) for answer in answers} == {(200, False)}
    assert left(ask(client, three)) == 2


def test_each_key_has_a_minute_of_its_own(client: Client, three: IssuedKey, tallis_bridge: Dealer) -> None:
    other = issued_to(tallis_bridge, 3)
    for _ in range(4):
        ask(client, three)
    assert left(ask(client, other)) == 2


def test_a_refused_call_does_nothing(client: Client, three: IssuedKey) -> None:
    for number in range(4):
        send(client, three, "/api/orders/", '{"what": "plug"}', Idempotency_Key=f"o-{number}")
    assert orders_made() == 3


def test_a_call_refused_by_the_limit_is_done_when_it_is_sent_again(
    client: Client, three: IssuedKey, clock: Clock
) -> None:
    for _ in range(3):
        ask(client, three)
    assert send(client, three, "/api/orders/", '{"what": "plug"}', Idempotency_Key="o-1").status_code == 429
    clock.at("2026-03-09T10:16:00+01:00")
    assert send(client, three, "/api/orders/", '{"what": "plug"}', Idempotency_Key="o-1").status_code == 201


def test_what_costs_by_its_body_is_let_in_whole_or_not_at_all(client: Client, three: IssuedKey) -> None:
    assert left(send(client, three, "/api/lots/", "[1, 2]")) == 1
    refused = send(client, three, "/api/lots/", "[1, 2]")
    assert (refused.status_code, refused.json()["cost"], left(refused)) == (429, 2, 1)
    assert left(send(client, three, "/api/lots/", "[1]")) == 0


def test_what_costs_more_than_the_limit_is_told_so_instead_of_to_wait(client: Client, three: IssuedKey) -> None:
    refused = send(client, three, "/api/lots/", "[1, 2, 3, 4]")
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/costs-more-than-the-limit/")
    assert (refused.json()["cost"], refused.json()["limit"]) == (4, 3)
    assert "Retry-After" not in refused.headers
    assert left(refused) == 3
    assert client.get(refused.json()["type"]).status_code == 200


@pytest.mark.parametrize(("body", "status"), [("[1, 2", 400), (json.dumps(["x" * 3_000]), 413)])
def test_a_body_that_cannot_be_read_costs_one_call(client: Client, three: IssuedKey, body: str, status: int) -> None:
    response = send(client, three, "/api/lots/", body)
    assert (response.status_code, left(response)) == (status, 2)


def test_a_key_without_a_limit_of_its_own_has_the_services(
    client: Client, tallis_bridge: Dealer, settings: Any
) -> None:
    settings.CALLS_PER_MINUTE = 3
    assert left(ask(client, issued_to(tallis_bridge, None))) == 2


def test_a_limit_is_lifted_and_set_again_by_command(client: Client, three: IssuedKey, settings: Any) -> None:
    for _ in range(3):
        ask(client, three)
    call_command("limit_key", three.key.id8, "--calls", "0", stdout=StringIO())
    answers = [ask(client, three) for _ in range(5)]
    assert {(answer.status_code, "RateLimit" in answer.headers) for answer in answers} == {(200, False)}
    settings.CALLS_PER_MINUTE = 3
    call_command("limit_key", three.key.id8, "--default", stdout=StringIO())
    assert ask(client, three).status_code == 429
