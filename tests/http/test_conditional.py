from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client

from service.http.conditional import strong_etag, weak_etag
from service.operations.models import Job

pytestmark = pytest.mark.db


@pytest.fixture
def counter() -> str:
    now = datetime(2026, 3, 9, tzinfo=UTC)
    return f"/api/counters/{Job.objects.create(kind='counter', created_at=now, run_after=now).pk}/"


def patched(client: Client, url: str, tag: str | None, body: bytes = b'{"by": 1}') -> Any:
    headers = {} if tag is None else {"If-Match": tag}
    return client.patch(url, body, content_type="application/merge-patch+json", headers=headers)


def test_an_answer_is_not_sent_again_while_it_is_the_same(client: Client, counter: str) -> None:
    first = client.get(counter)
    tag = first.headers["ETag"]
    assert tag.startswith('"0-')
    for asked in (tag, f'"other", {tag}', f"W/{tag}", "*"):
        again = client.get(counter, headers={"If-None-Match": asked})
        assert (again.status_code, again.content, again.headers["ETag"]) == (304, b"", tag)
        assert again.headers["Cache-Control"] == "private, no-cache"
        assert "Authorization" in again.headers["Vary"]
    assert client.get(counter, headers={"If-None-Match": '"1-x"'}).status_code == 200


def test_the_tag_tells_versions_and_ways_of_showing_apart(client: Client, counter: str) -> None:
    tag = client.get(counter).headers["ETag"]
    assert client.get(f"{counter}?units=us").headers["ETag"] != tag
    assert patched(client, counter, tag).headers["ETag"] != tag


def test_a_change_needs_the_tag_of_the_present_version(client: Client, counter: str) -> None:
    tag = client.get(counter).headers["ETag"]
    missing = patched(client, counter, None)
    assert (missing.status_code, missing.json()["type"]) == (428, "/problems/precondition-required/")
    assert patched(client, counter, tag).json() == {"done": 1}
    stale = patched(client, counter, tag)
    assert (stale.status_code, stale.json()["type"]) == (412, "/problems/stale/")
    assert Job.objects.get().done == 1


def test_the_tag_of_any_way_of_showing_the_version_will_do(client: Client, counter: str) -> None:
    tag = client.get(f"{counter}?units=us").headers["ETag"]
    assert patched(client, counter, tag).status_code == 200
    assert patched(client, counter, "*").status_code == 200


@pytest.mark.parametrize("tag", ["0", "W/{tag}", '"00-x"', '"0"', "", '"-"', '"10-x"'])
def test_a_tag_of_another_shape_or_a_weak_one_lets_nothing_through(client: Client, counter: str, tag: str) -> None:
    own = client.get(counter).headers["ETag"]
    assert patched(client, counter, tag.format(tag=own)).status_code == 412


def test_the_precondition_is_looked_at_before_the_body(client: Client, counter: str) -> None:
    assert patched(client, counter, None, b"no json").status_code == 428


def test_a_version_may_hold_hyphens() -> None:
    assert strong_etag("a-b", "json") != strong_etag("a", "b-json")
    assert weak_etag(7) == f"W/{strong_etag(7)}"
