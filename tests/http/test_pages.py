import base64
import itertools
import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries

from service.http.keyset import order_of
from service.http.pagination import KeysetPagination
from service.operations.models import Branch, Dealer, Job, Person

pytestmark = pytest.mark.db

CODES = itertools.count()
NAMES = st.text("aB\u00e9 '", min_size=1, max_size=3)
ZONES = st.sampled_from(["Europe/Paris", "America/Chicago", "UTC"])
PATHS = st.sampled_from(["/api/branches/", "/api/branches/by-dealer/"])


def branches(dealer: Dealer, rows: list[tuple[str, str]]) -> list[Branch]:
    return Branch.objects.bulk_create(
        Branch(dealer=dealer, code=f"b{next(CODES)}", name=name, zone=zone, currency="EUR") for name, zone in rows
    )


def walk(client: Client, url: str, way: str = "next") -> Iterator[dict[str, Any]]:
    """Each page from an address on, one way."""
    following: str | None = url
    for _ in range(200):
        if following is None:
            return
        page = client.get(following).json()
        yield page
        following = page[way]
    raise AssertionError("The walk does not end.")


def in_order(path: str) -> list[int]:
    if path.endswith("by-dealer/"):
        return list(Branch.objects.order_by("dealer__code", "pk").values_list("pk", flat=True))
    return list(Branch.objects.order_by("zone", "-name", "id").values_list("pk", flat=True))


@contextmanager
def fresh_dealers() -> Iterator[list[Dealer]]:
    """Two dealers whose rows are gone again after one example."""
    with transaction.atomic():
        yield [Dealer.objects.create(code=code, name=code) for code in ("weir", "tallis")]
        transaction.set_rollback(True)


# Each example asks for many pages, so there are fewer of them.
@settings(max_examples=20)
@given(st.lists(st.tuples(NAMES, ZONES), max_size=9), st.integers(1, 5), PATHS)
def test_forward_and_back_each_give_every_row_once_in_order(rows: list[tuple[str, str]], size: int, path: str) -> None:
    client = Client()
    with fresh_dealers() as dealers:
        for number, row in enumerate(rows):
            branches(dealers[number % 2], [row])
        forward = list(walk(client, f"{path}?page_size={size}"))
        assert [pk for page in forward for pk in page["results"]] == in_order(path)
        assert forward[0]["previous"] is None
        if len(forward) > 1:
            back = list(walk(client, forward[-1]["previous"], "previous"))
            assert [page["results"] for page in reversed(back)] == [page["results"] for page in forward[:-1]]
            again = list(walk(client, back[0]["next"]))
            assert again[0]["results"] == forward[-1]["results"]


@settings(max_examples=20)
@given(st.lists(st.tuples(NAMES, ZONES), min_size=3, max_size=9), st.data())
def test_rows_that_stay_are_seen_once_though_others_come_and_go(
    rows: list[tuple[str, str]], data: st.DataObject
) -> None:
    with fresh_dealers() as dealers:
        staying = {branch.pk for branch in branches(dealers[0], rows)}
        seen: list[int] = []
        for turn, page in enumerate(walk(Client(), "/api/branches/?page_size=2")):
            seen += page["results"]
            if data.draw(st.booleans()) and staying:
                leaving = data.draw(st.sampled_from(sorted(staying)))
                Branch.objects.filter(pk=leaving).delete()
                staying.discard(leaving)
            if turn < len(rows) and data.draw(st.booleans()):
                branches(dealers[1], [data.draw(st.tuples(NAMES, ZONES))])
        assert len(seen) == len(set(seen))
        assert staying <= set(seen)


@pytest.fixture
def five(tallis_bridge: Dealer) -> list[Branch]:
    return branches(tallis_bridge, [(name, "UTC") for name in "edcba"])


def test_a_page_takes_one_statement(
    client: Client, five: list[Branch], django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    following = client.get("/api/branches/?page_size=2").json()["next"]
    with django_assert_num_queries(1):
        assert client.get(following).json()["results"] == [five[2].pk, five[3].pk]


@pytest.mark.usefixtures("five")
def test_the_link_header_says_what_the_body_says(client: Client) -> None:
    first = client.get("/api/branches/?page_size=2")
    middle = client.get(first.json()["next"])
    links = dict(re.findall(r'<([^>]+)>; rel="(\w+)"', middle.headers["Link"]))
    assert {rel: url for url, rel in links.items()} == {
        "next": middle.json()["next"],
        "prev": middle.json()["previous"],
    }
    assert "Link" not in client.get("/api/branches/").headers


def test_pages_left_empty_by_deletions_lead_back_to_what_is_left(client: Client, five: list[Branch]) -> None:
    first = client.get("/api/branches/?page_size=2").json()
    second = client.get(first["next"]).json()
    Branch.objects.exclude(pk__in=[five[0].pk, five[1].pk]).delete()
    empty = client.get(first["next"]).json()
    assert (empty["results"], empty["next"]) == ([], None)
    last = client.get(empty["previous"]).json()
    assert (last["results"], last["next"], last["previous"]) == ([five[0].pk, five[1].pk], None, None)

    Branch.objects.all().delete()
    before = client.get(second["previous"]).json()
    assert (before["results"], before["previous"]) == ([], None)
    assert client.get(before["next"]).json() == {"results": [], "next": None, "previous": None}


def cursor_of(*members: Any) -> str:
    return base64.urlsafe_b64encode(json.dumps(members).encode()).decode().rstrip("=")


ORDER = "zone,-name,id"


@pytest.mark.parametrize(
    "cursor",
    [
        "",
        "x",
        "\u00e4",
        "%00",
        "bm8gY3Vyc29y",
        "x" * 5_000,
        cursor_of(ORDER, 0),
        cursor_of(ORDER, 0, None),
        cursor_of(ORDER, 2, ["UTC", "a", "1"]),
        cursor_of(ORDER, 0, ["UTC", "a"]),
        cursor_of(ORDER, 0, ["UTC", "a", "one"]),
        cursor_of(ORDER, 0, ["UTC", "a", 1]),
        cursor_of(ORDER, 0, ["UTC", "a", "9" * 30]),
        cursor_of(ORDER, 0, ["UTC", "a\0", "1"]),
        cursor_of(ORDER, 0, ["UTC", "\ud800", "1"]),
        cursor_of(ORDER, [], ["UTC", "a", "1"]),
        cursor_of(ORDER, 0, {"zone": "UTC"}),
        cursor_of("zone,name,id", 0, ["UTC", "a", "1"]),
        cursor_of(*[[]] * 3),
    ],
)
def test_a_cursor_of_no_list_here_is_a_problem(client: Client, five: list[Branch], cursor: str) -> None:
    assert five
    response = client.get("/api/branches/", {"cursor": cursor})
    assert response.status_code == 400
    assert response.json()["type"] == "/problems/invalid-cursor/"
    assert response.json()["errors"][0]["parameter"] == "cursor"


@given(st.text(max_size=40))
def test_any_text_is_a_cursor_or_a_problem(text: str) -> None:
    client = Client(raise_request_exception=False)
    assert client.get("/api/branches/", {"cursor": text}).status_code == 400


@pytest.mark.parametrize("size", ["0", "201", "-1", "1e2", "\u0665", "", "1" * 400])
def test_a_page_size_out_of_bounds_is_a_problem(client: Client, size: str) -> None:
    response = client.get("/api/branches/", {"page_size": size})
    assert (response.status_code, response.json()["errors"][0]["parameter"]) == (400, "page_size")


def test_the_largest_page_holds_two_hundred(client: Client, tallis_bridge: Dealer) -> None:
    branches(tallis_bridge, [("a", "UTC")] * 201)
    assert len(client.get("/api/branches/?page_size=200").json()["results"]) == 200
    assert len(client.get("/api/branches/").json()["results"]) == 50


@pytest.mark.parametrize(
    ("model", "names"),
    [(Branch, ["name"]), (Person, ["email"]), (Branch, ["dealer__code"]), (Branch, ["shoe"]), (Job, [])],
)
def test_an_order_that_is_not_one_order_only_is_a_fault_of_the_program(model: Any, names: list[str]) -> None:
    with pytest.raises(RuntimeError):
        order_of(model, names)


def test_the_description_of_a_page_is_openapi_3_1() -> None:
    schema = KeysetPagination().get_paginated_response_schema({"type": "array", "items": {}})
    assert schema["properties"]["next"]["type"] == ["string", "null"]
    assert "nullable" not in json.dumps(schema)
