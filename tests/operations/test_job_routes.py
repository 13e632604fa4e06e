"""Jobs over HTTP: the asker follows its own, page by page, and stops them; another dealer's are not there."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

import pytest
from django.db import transaction

from service.errors import DomainError
from service.operations import jobs
from service.operations.models import Dealer, Job, Person, Scope
from service.operations.people import create_person
from tests.api.world import Desk

pytestmark = pytest.mark.db
ROWS = 5


@jobs.register("test.rows")
def go_through_rows(lease: jobs.Lease) -> Mapping[str, Any]:
    problem = "A dash where a number is expected; write the number, or leave the cell empty."
    problems = [jobs.RowProblem("not_a_number", problem, line, "attr:gap [mm]", "-") for line in range(2, ROWS + 2)]
    with transaction.atomic():
        lease.save({"next": ROWS}, jobs.Progress(ROWS, ROWS, ROWS), lease.clock(), problems)
    return {"added": 0}


@jobs.register("test.refused_rows")
def refuse_rows(_lease: jobs.Lease) -> None:
    raise DomainError("The file has no row; send one with rows.", code="empty_file")


@pytest.fixture
def desk(tallis_bridge: Dealer) -> Desk:
    return Desk.of(tallis_bridge)


@pytest.fixture
def other_desk(weir_lane: Dealer) -> Desk:
    return Desk.of(weir_lane)


def queued(dealer: Dealer | None, now: datetime, kind: str = "test.rows") -> Job:
    return jobs.enqueue(kind, now=now, dealer=dealer)


def test_a_job_is_followed_from_the_queue_to_its_result(desk: Desk, tallis_bridge: Dealer, now: datetime) -> None:
    job = queued(tallis_bridge, now)
    waiting = desk.get(f"/jobs/{job.pk}/").json()
    assert (waiting["state"], waiting["attempt"], waiting["result"]) == ("queued", 0, None)
    assert waiting["progress"] == {"done": 0, "total": None, "errors": 0}
    assert waiting["created_at"] == "2026-03-09T09:15:00Z"
    jobs.run_due(lambda: now)
    done = desk.get(f"/jobs/{job.pk}/").json()
    assert (done["state"], done["attempt"], done["result"]) == ("succeeded", 1, {"added": 0})
    assert done["progress"] == {"done": ROWS, "total": ROWS, "errors": ROWS}
    assert done["finished_at"] == "2026-03-09T09:15:00Z"


def test_a_poll_that_finds_nothing_new_gets_no_body(desk: Desk, tallis_bridge: Dealer, now: datetime) -> None:
    job = queued(tallis_bridge, now)
    first = desk.get(f"/jobs/{job.pk}/")
    again = desk.get(f"/jobs/{job.pk}/", If_None_Match=first.headers["ETag"])
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["Cache-Control"] == "private, no-cache"
    jobs.run_due(lambda: now)
    assert desk.get(f"/jobs/{job.pk}/", If_None_Match=first.headers["ETag"]).status_code == 200


def test_the_problems_of_rows_come_in_pages_in_their_order(desk: Desk, tallis_bridge: Dealer, now: datetime) -> None:
    job = queued(tallis_bridge, now)
    jobs.run_due(lambda: now)
    address, lines, first = f"/jobs/{job.pk}/problems/?page_size=2", [], None
    while address:
        page = desk.get(address).json()
        first = first or page["results"][0]
        lines += [row["line"] for row in page["results"]]
        address = (page["next"] or "").partition("/api/v1")[2]
    assert lines == list(range(2, ROWS + 2))
    assert first == {
        "line": 2,
        "column": "attr:gap [mm]",
        "value": "-",
        "code": "not_a_number",
        "detail": "A dash where a number is expected; write the number, or leave the cell empty.",
    }


def test_a_failed_job_tells_its_problem_as_every_refusal_is_told(
    desk: Desk, tallis_bridge: Dealer, now: datetime
) -> None:
    job = queued(tallis_bridge, now, "test.refused_rows")
    jobs.run_due(lambda: now)
    told = desk.get(f"/jobs/{job.pk}/").json()
    assert told["state"] == "failed"
    assert (told["problem"]["status"], told["problem"]["code"]) == (422, "empty_file")
    assert told["problem"]["detail"] == "The file has no row; send one with rows."


@pytest.mark.parametrize("rest", ["", "problems/"])
def test_another_dealers_job_is_not_there(
    desk: Desk, other_desk: Desk, tallis_bridge: Dealer, now: datetime, rest: str
) -> None:
    job = queued(tallis_bridge, now)
    assert desk.get(f"/jobs/{job.pk}/{rest}").status_code == 200
    for refused in (other_desk.get(f"/jobs/{job.pk}/{rest}"), other_desk.get(f"/jobs/{uuid.uuid4()}/{rest}")):
        assert (refused.status_code, refused.json()["code"]) == (404, "not_found")
    assert other_desk.post(f"/jobs/{job.pk}/cancel/", b"").status_code == 404
    job.refresh_from_db()
    assert job.state == "queued"
    assert other_desk.get("/jobs/").json()["results"] == []


def test_a_job_of_the_shared_catalogue_is_seen_by_who_works_on_it_and_by_no_dealer(
    desk: Desk, now: datetime, client: Any
) -> None:
    editor: Person = create_person(username="oda", name="Oda Wren", roles=["catalogue_editor"], dealer=None,
                                   password="a long pass phrase")  # fmt: skip
    job = queued(None, now)
    assert desk.get(f"/jobs/{job.pk}/").status_code == 404
    client.force_login(editor)
    assert client.get(f"/api/v1/jobs/{job.pk}/").json()["state"] == "queued"


def test_jobs_are_listed_newest_first_and_by_state(desk: Desk, tallis_bridge: Dealer, now: datetime) -> None:
    first = queued(tallis_bridge, now)
    jobs.run_due(lambda: now)
    second = queued(tallis_bridge, now.replace(hour=10))
    found = [row["id"] for row in desk.get("/jobs/").json()["results"]]
    assert found == [str(second.pk), str(first.pk)]
    assert [row["id"] for row in desk.get("/jobs/?state=queued").json()["results"]] == [str(second.pk)]
    refused = desk.get("/jobs/?state=sleeping")
    assert (refused.status_code, refused.json()["errors"][0]["parameter"]) == (400, "state")


def test_a_waiting_job_is_cancelled_and_one_that_has_ended_is_not(
    desk: Desk, tallis_bridge: Dealer, now: datetime
) -> None:
    job = queued(tallis_bridge, now)
    cancelled = desk.post(f"/jobs/{job.pk}/cancel/", b"")
    assert (cancelled.status_code, cancelled.json()["state"]) == (200, "cancelled")
    assert jobs.run_due(lambda: now) == 0
    done = queued(tallis_bridge, now)
    jobs.run_due(lambda: now)
    refused = desk.post(f"/jobs/{done.pk}/cancel/", b"")
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/job-finished/")
    assert refused.json()["state"] == "succeeded"


def test_a_cancellation_takes_no_members(desk: Desk, tallis_bridge: Dealer, now: datetime) -> None:
    job = queued(tallis_bridge, now)
    refused = desk.post(f"/jobs/{job.pk}/cancel/", {"force": True})
    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (400, "#/force")
    job.refresh_from_db()
    assert job.state == "queued"


def test_a_key_that_may_only_read_jobs_cancels_none(tallis_bridge: Dealer, now: datetime) -> None:
    job = queued(tallis_bridge, now)
    reader = Desk.of(tallis_bridge, scopes=[Scope.JOBS_READ])
    assert reader.get(f"/jobs/{job.pk}/").status_code == 200
    refused = reader.post(f"/jobs/{job.pk}/cancel/", b"")
    assert (refused.status_code, refused.json()["scope"]) == (403, "jobs:write")
