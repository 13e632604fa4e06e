from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from service.operations.keys import IssuedKey, checksum, issue_key, revoke
from service.operations.models import Dealer, Key, Person, Role, Scope
from tests.http.conftest import LONG_AGO, bearer

pytestmark = pytest.mark.db


def asked(client: Client, authorization: str | None) -> Any:
    headers = {"Authorization": authorization} if authorization is not None else {}
    return client.get("/api/closed/", headers=headers)


def refusal(client: Client, authorization: str | None) -> str:
    response = asked(client, authorization)
    assert response.status_code == 401
    assert response.headers["WWW-Authenticate"].startswith("Bearer ")
    assert response.json()["type"].startswith("/problems/")
    return str(response.json()["code"])


def test_a_key_asks_for_its_dealer(client: Client, till: IssuedKey) -> None:
    response = client.get("/api/closed/", headers=bearer(till))
    assert response.json() == {
        "dealer": "Tallis Bridge",
        "asker": f"till ({till.key.id8})",
        "user": f"key {till.key.id8}",
    }


def test_a_key_bound_to_a_person_asks_as_that_person(client: Client, tallis_bridge: Dealer, ida: Person) -> None:
    bound = issue_key(
        dealer=tallis_bridge, name="ida", live=True, scopes=[Scope.CATALOGUE_READ], now=LONG_AGO, person=ida
    )
    assert client.get("/api/closed/", headers=bearer(bound)).json()["asker"] == "Ida Marsh"


def test_asking_with_a_key_takes_one_statement_and_one_to_count_the_call(
    client: Client, till: IssuedKey, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    client.get("/api/closed/", headers=bearer(till))  # notes the hour's first use
    # On SQLite calls are counted in a file of their own.
    with django_assert_num_queries(2 if connection.vendor == "postgresql" else 1):
        assert client.get("/api/closed/", headers=bearer(till)).status_code == 200


def test_a_mistyped_key_takes_none(
    client: Client, till: IssuedKey, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_num_queries(0):
        assert refusal(client, f"Bearer {till.text[:-1]}") == "key_malformed"


def test_each_way_a_key_can_fail_has_its_code(client: Client, till: IssuedKey, tallis_bridge: Dealer) -> None:
    expired = issue_key(
        dealer=tallis_bridge, name="old", live=True, scopes=[], now=LONG_AGO, expires_at=LONG_AGO + timedelta(days=1)
    )
    body = f"gudgeon_live_{'0' * 8}_{'0' * 32}"
    assert refusal(client, None) == "authentication_required"
    assert refusal(client, "Basic aWRhOng=") == "authentication_required"
    assert refusal(client, "Bearer") == "key_malformed"
    assert refusal(client, f"Bearer {till.text} {till.text}") == "key_malformed"
    assert refusal(client, "Bearer \xfc\u0661") == "key_malformed"
    assert refusal(client, f"Bearer {body}{checksum(body)}") == "key_unknown"
    assert refusal(client, f"Bearer {expired.text}") == "key_expired"
    revoke(till.key, timezone.now())
    assert refusal(client, f"Bearer {till.text}") == "key_revoked"


def test_the_scheme_may_be_written_in_any_case(client: Client, till: IssuedKey) -> None:
    assert asked(client, f"bearer {till.text}").status_code == 200


def test_a_refused_key_is_not_made_up_for_by_a_session(client: Client, ida: Person, till: IssuedKey) -> None:
    client.force_login(ida)
    assert refusal(client, f"Bearer {till.text[:-1]}") == "key_malformed"


def test_a_key_without_the_scope_is_told_which(client: Client, till: IssuedKey) -> None:
    response = client.post("/api/closed/", headers=bearer(till))
    assert response.status_code == 403
    assert (response.json()["type"], response.json()["scope"]) == ("/problems/missing-scope/", "catalogue:write")


def test_head_asks_for_the_scope_of_get(client: Client, tallis_bridge: Dealer) -> None:
    bare = issue_key(dealer=tallis_bridge, name="bare", live=True, scopes=[], now=LONG_AGO)
    assert client.head("/api/closed/", headers=bearer(bare)).status_code == 403


def test_a_signed_in_person_asks_for_the_dealer_as_far_as_the_roles_reach(client: Client, ida: Person) -> None:
    client.force_login(ida)
    assert client.get("/api/closed/").json()["dealer"] == "Tallis Bridge"
    response = client.post("/api/closed/")
    assert (response.status_code, response.json()["code"]) == (403, "missing_role")
    Role.objects.create(person=ida, name="catalogue_editor")
    assert client.post("/api/closed/").status_code == 201


def test_a_signed_in_person_needs_the_csrf_token_to_change_something(ida: Person) -> None:
    client = Client(enforce_csrf_checks=True, raise_request_exception=False)
    client.force_login(ida)
    response = client.post("/api/closed/")
    assert (response.status_code, response.headers["Content-Type"]) == (403, "application/problem+json")


def test_a_person_of_no_dealer_cannot_ask_for_one(client: Client) -> None:
    editor = Person.objects.create_superuser("nils", None, "x", name="Nils Aske")
    client.force_login(editor)
    assert client.get("/api/closed/").json()["dealer"] is None
    assert client.post("/api/closed/").json()["code"] == "no_dealer"


def test_the_first_use_of_an_hour_is_noted(client: Client, till: IssuedKey) -> None:
    client.get("/api/closed/", headers=bearer(till))
    noted = Key.objects.get(pk=till.key.pk).last_used_at
    assert noted is not None
    client.get("/api/closed/", headers=bearer(till))
    assert Key.objects.get(pk=till.key.pk).last_used_at == noted


def test_a_test_key_is_refused_where_what_is_done_is_real_and_nowhere_else(
    client: Client, tallis_bridge: Dealer
) -> None:
    trial, live = (
        issue_key(dealer=tallis_bridge, name="till", live=live, scopes=[], now=LONG_AGO) for live in (False, True)
    )
    assert (trial.text[:13], live.text[:13]) == ("gudgeon_test_", "gudgeon_live_")
    refused = client.post("/api/orders/live/", {"what": "plug"}, "application/json", headers=bearer(trial))
    assert (refused.status_code, refused.json()["type"]) == (403, "/problems/test-key-refused/")
    assert "Send it with a live key" in refused.json()["detail"]
    assert client.get(refused.json()["type"]).status_code == 200
    assert client.get("/api/orders/live/", headers=bearer(trial)).json() == {"orders": 0}
    assert client.post("/api/orders/", {"what": "plug"}, "application/json", headers=bearer(trial)).status_code == 201
    assert (
        client.post("/api/orders/live/", {"what": "plug"}, "application/json", headers=bearer(live)).status_code == 201
    )


def test_a_signed_in_person_is_no_test_key(client: Client, ida: Person) -> None:
    client.force_login(ida)
    assert client.post("/api/orders/live/", {"what": "plug"}, "application/json").status_code == 201
