import json
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from service.http.idempotency import KeyInvalid, read_key
from service.operations.keys import IssuedKey, issue_key
from service.operations.models import Dealer, IdempotencyRecord
from tests.http.api import orders_made
from tests.http.conftest import LONG_AGO, bearer
from tests.operations.workers import at_once
from tests.statements import own_statements

pytestmark = pytest.mark.db


class Shop:
    """Somebody who orders with a key."""

    def __init__(self, issued: IssuedKey) -> None:
        self.headers = bearer(issued)

    def order(self, what: str, key: str | None = None, path: str = "/api/orders/", **headers: str) -> Any:
        sent = self.headers | headers | ({} if key is None else {"Idempotency-Key": key})
        body = json.dumps({"what": what})
        client = Client(raise_request_exception=False)
        return client.post(path, body, content_type="application/json", headers=sent)


class Unreadable:
    """A body that must not be looked at."""

    def read(self, *_size: int) -> bytes:
        raise AssertionError("The body was read.")

    readline = read


UNREADABLE: Any = {"wsgi.input": Unreadable()}


@pytest.fixture
def shop(till: IssuedKey) -> Shop:
    return Shop(till)


def test_a_repeat_gets_the_first_answer_and_nothing_is_done_twice(shop: Shop) -> None:
    first, again = shop.order("hose", "K1"), shop.order("hose", "K1")
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.content == again.content
    assert first.headers["Location"] == again.headers["Location"]
    assert "Idempotency-Replayed" not in first.headers
    assert again.headers["Idempotency-Replayed"] == "true"
    assert orders_made() == 1


def test_a_quoted_key_and_the_bare_one_are_the_same(shop: Shop) -> None:
    assert shop.order("hose", '"K1"').content == shop.order("hose", "K1").content
    assert orders_made() == 1


def test_the_key_with_another_body_type_or_query_is_refused(shop: Shop) -> None:
    shop.order("hose", "K1")
    for other in (shop.order("plug", "K1"), shop.order("hose", "K1", "/api/orders/?units=us")):
        assert (other.status_code, other.json()["type"]) == (422, "/problems/idempotency-key-reused/")
    assert orders_made() == 1


def test_without_a_key_each_request_is_done(shop: Shop) -> None:
    assert shop.order("hose").json() != shop.order("hose").json()
    assert orders_made() == 2


def test_without_a_key_not_one_statement_is_added(shop: Shop) -> None:
    shop.order("hose")
    with CaptureQueriesContext(
        connection,
    ) as plain:
        shop.order("hose")
    assert not [query["sql"] for query in plain.captured_queries if "idempotencyrecord" in query["sql"]]
    own = [sql for sql in own_statements(plain) if not sql.startswith("SELECT pg_advisory")]
    assert [sql.split()[0] for sql in own] == ["SELECT", "INSERT"], "the key, and the order itself"


def test_a_key_is_needed_where_the_address_says_so(shop: Shop) -> None:
    response = shop.order("hose", path="/api/orders/required/")
    assert (response.status_code, response.json()["type"]) == (400, "/problems/idempotency-key-missing/")
    assert orders_made() == 0


@pytest.mark.parametrize("key", ["", " ", "a b", "x" * 256, '"open', '""', '"a"b"', "\u00e4", "a\tb"])
def test_a_key_that_cannot_be_read_is_a_problem(shop: Shop, key: str) -> None:
    response = shop.order("hose", key)
    assert (response.status_code, response.json()["type"]) == (400, "/problems/idempotency-key-invalid/")


def test_a_quoted_key_may_hold_spaces_and_escapes() -> None:
    assert read_key('"a b\\"c\\\\"') == 'a b"c\\'
    assert read_key("x" * 255) == "x" * 255
    assert read_key(None) is None
    with pytest.raises(KeyInvalid):
        read_key('"a\\b"')


def test_another_dealers_key_of_the_same_name_is_another_key(shop: Shop, weir_lane: Dealer) -> None:
    shop.order("hose", "K1")
    other = Shop(issue_key(dealer=weir_lane, name="till", live=True, scopes=[], now=LONG_AGO))
    assert "Idempotency-Replayed" not in other.order("hose", "K1").headers
    assert orders_made() == 2


def test_a_final_refusal_is_repeated_as_it_was(shop: Shop) -> None:
    first, again = shop.order("conflict", "K1"), shop.order("conflict", "K1")
    assert (first.status_code, again.status_code) == (409, 409)
    assert first.content == again.content
    assert again.headers["Content-Type"] == "application/problem+json"
    assert again.headers["Idempotency-Replayed"] == "true"
    assert again.json()["code"] == "out_of_stock"


@pytest.mark.parametrize(("what", "status"), [("invalid", 400), ("fault", 500)])
def test_any_other_refusal_leaves_the_key_free(shop: Shop, what: str, status: int) -> None:
    assert shop.order(what, "K1").status_code == status
    assert not IdempotencyRecord.objects.exists()
    assert shop.order("hose", "K1").status_code == 201


def test_a_use_case_that_forgets_its_claim_is_a_fault_with_and_without_a_key(shop: Shop) -> None:
    assert shop.order("forgotten").status_code == 500
    assert shop.order("forgotten", "K1").status_code == 500


def test_the_limit_on_bodies_holds_with_a_key_too(shop: Shop, settings: Any) -> None:
    settings.HTTP_MAX_BODY_BYTES = 20
    sent = shop.headers | {"Idempotency-Key": "K1"}
    response = Client(raise_request_exception=False).post(
        "/api/orders/", b"x" * 21, "application/json", headers=sent, **UNREADABLE
    )
    assert response.status_code == 413
    assert not IdempotencyRecord.objects.exists()


@pytest.mark.parametrize("shelf", ["x" * 500, "%00", "%F0%9F%94%A7"])
def test_an_address_that_is_very_long_or_odd_can_be_repeated_too(shop: Shop, shelf: str) -> None:
    path = f"/api/orders/shelf/{shelf}/"
    assert shop.order("hose", "K1", path).content == shop.order("hose", "K1", path).content
    assert orders_made() == 1


@pytest.mark.django_db(transaction=True)
def test_of_the_same_request_twice_at_once_one_is_done_and_the_other_repeats_it_or_waits(shop: Shop) -> None:
    found = at_once(3, lambda _: shop.order("hose", "K1"))
    done = [response for response in found if response.status_code == 201]
    waiting = [response for response in found if response.status_code == 409]
    assert len(done) + len(waiting) == 3
    assert len({response.content for response in done}) == 1
    assert all(int(response.headers["Retry-After"]) >= 1 for response in waiting)
    assert orders_made() == 1
