"""The feed over HTTP: in the order of commits, each dealer its own and what is shared, and honest about its ends."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import transaction
from django.test import Client

from service.operations import changes
from service.operations.changes import NewChange
from service.operations.models import Change, Dealer
from tests.api.world import Desk
from tests.operations.workers import at_once

pytestmark = pytest.mark.db


def changed(name: str, now: datetime, dealer: Dealer | None = None, kind: str = "part.changed") -> int:
    with transaction.atomic():
        return changes.append(NewChange(kind, "part", name, dealer, {"catalogue_version": 7}), now).seq


@pytest.fixture
def desk(tallis_bridge: Dealer) -> Desk:
    return Desk.of(tallis_bridge)


def feed(desk: Desk, since: int | None = None, **more: str) -> Any:
    asked = "" if since is None else f"?since={since}"
    return desk.get(f"/changes/{asked}", **more)


def test_additions_edits_and_withdrawals_come_in_order_with_what_they_are_about(desk: Desk, now: datetime) -> None:
    kinds = ["part.created", "part.changed", "part.withdrawn"]
    numbers = [changed("77", now, kind=kind) for kind in kinds]
    page = feed(desk, 0).json()
    assert [row["kind"] for row in page["results"]] == kinds
    assert page["results"][0] == {
        "number": numbers[0], "kind": "part.created", "object_type": "part", "object_id": "77", "own": False,
        "at": "2026-03-09T09:15:00Z", "payload": {"catalogue_version": 7},
    }  # fmt: skip
    assert (page["cursor"], page["next"]) == (numbers[-1], None)
    assert feed(desk, numbers[1]).json()["results"] == page["results"][2:]


def test_what_is_a_dealers_own_goes_to_that_dealer_alone_and_what_is_shared_to_all(
    desk: Desk, tallis_bridge: Dealer, weir_lane: Dealer, now: datetime
) -> None:
    changed("shared", now)
    changed("ours", now, tallis_bridge)
    changed("theirs", now, weir_lane)
    other = Desk.of(weir_lane)
    seen = {
        who: [(row["object_id"], row["own"]) for row in feed(one, 0).json()["results"]]
        for who, one in (("tallis", desk), ("weir", other))
    }
    assert seen == {"tallis": [("shared", False), ("ours", True)], "weir": [("shared", False), ("theirs", True)]}


def test_pages_lead_on_until_there_is_no_more(desk: Desk, now: datetime) -> None:
    numbers = [changed(str(number), now) for number in range(5)]
    address, seen = "/changes/?since=0&page_size=2", []
    while address:
        answer = desk.get(address)
        page = answer.json()
        seen += [row["number"] for row in page["results"]]
        assert ('rel="next"' in answer.headers.get("Link", "")) is bool(page["next"])
        address = (page["next"] or "").partition("/api/v1")[2]
    assert seen == numbers


def test_a_poll_that_finds_nothing_new_gets_no_body(desk: Desk, now: datetime) -> None:
    number = changed("1", now)
    first = feed(desk, number)
    assert (first.json()["results"], first.json()["cursor"]) == ([], number)
    assert feed(desk, number, If_None_Match=first.headers["ETag"]).status_code == 304
    changed("2", now)
    assert feed(desk, number, If_None_Match=first.headers["ETag"]).json()["results"]


def test_a_reader_that_fell_behind_is_told_to_start_again_and_from_where(desk: Desk, now: datetime) -> None:
    old = [changed(str(number), now - timedelta(days=31)) for number in range(3)]
    kept = changed("kept", now)
    changes.clear_before(now - timedelta(days=30))
    refused = feed(desk, old[0])
    problem = refused.json()
    assert (refused.status_code, problem["type"]) == (410, "/problems/feed-cursor-too-old/")
    assert "everything once more" in problem["detail"]
    assert (problem["kept_after"], problem["newest"]) == (old[-1], kept)
    assert feed(desk, problem["newest"]).json()["results"] == []
    assert [row["number"] for row in feed(desk, old[-1]).json()["results"]] == [kept]
    # Without a number all that is kept is given, and nothing was asked for that is not.
    assert [row["number"] for row in feed(desk).json()["results"]] == [kept]


def test_a_number_the_feed_never_reached_is_no_place_to_wait_at(desk: Desk, now: datetime) -> None:
    number = changed("1", now)
    refused = feed(desk, number + 1)
    assert (refused.status_code, refused.json()["type"]) == (410, "/problems/feed-cursor-ahead/")
    assert refused.json()["newest"] == number


def test_a_feed_cleared_to_its_end_still_knows_how_far_it_went(desk: Desk, now: datetime) -> None:
    number = changed("1", now - timedelta(days=31))
    changes.clear_before(now)
    assert feed(desk, number).json() == {"results": [], "next": None, "previous": None, "cursor": number}
    assert feed(desk, number + 1).status_code == 410


@pytest.mark.parametrize("since", ["-1", "1.0", "last", "99999999999999999999", ""])
def test_a_number_that_cannot_be_read_is_named(desk: Desk, since: str) -> None:
    refused = desk.get(f"/changes/?since={since}")
    assert (refused.status_code, refused.json()["errors"][0]["parameter"]) == (400, "since")


@pytest.mark.django_db(transaction=True)
def test_a_reader_over_http_misses_nothing_of_two_that_write_at_once(tallis_bridge: Dealer, now: datetime) -> None:
    writers, each = 2, 12
    key = Desk.of(tallis_bridge).key

    def write(writer: int) -> list[int]:
        numbers = []
        for turn in range(each):
            with transaction.atomic():
                number = changes.append(NewChange("part.changed", "part", f"{writer}-{turn}"), now).seq
                # Leave the other one time to draw a number and to commit it first.
                for _ in range((writer + turn) % 3):
                    Change.objects.count()
            numbers.append(number)
        return numbers

    def read() -> list[int]:
        desk, cursor, empty = Desk(Client(), key), 0, 0
        seen: list[int] = []
        while len(seen) < writers * each and empty < 1_000:
            page = feed(desk, cursor).json()
            seen += [row["number"] for row in page["results"]]
            cursor, empty = page["cursor"], 0 if page["results"] else empty + 1
        return seen

    *written, seen = at_once(writers + 1, lambda number: write(number) if number < writers else read())
    assert seen == sorted(number for numbers in written for number in numbers)
