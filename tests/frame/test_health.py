"""The probes: what they need, what they tell, and what they keep to themselves."""

import logging
from collections.abc import Iterator
from datetime import timedelta
from io import StringIO

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from catalog.models import CatalogueState, RulebookVersion
from service import VERSION
from service.operations.models import Job, JobState

pytestmark = pytest.mark.db


@pytest.fixture(autouse=True)
def _nothing_published(db: None) -> None:
    """Whatever another test of this session published is out of sight."""
    CatalogueState.objects.all().delete()
    RulebookVersion.objects.all().delete()


WAITING = "jobs are waiting; is manage.py worker running?"


def queued(minutes_ago: int) -> Job:
    then = timezone.now() - timedelta(minutes=minutes_ago)
    return Job.objects.create(kind="import", created_at=then, run_after=then)


def test_being_alive_needs_no_database(client: Client, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    with django_assert_num_queries(0):
        answer = client.get("/livez")
    assert answer.status_code == 200
    assert answer.json() == {"status": "alive"}
    assert "no-store" in answer.headers["Cache-Control"]


def test_without_a_rulebook_the_service_is_not_ready_and_says_so(client: Client) -> None:
    answer = client.get("/readyz")
    assert answer.status_code == 503
    assert answer.json()["checks"] == {
        "database": "ok",
        "migrations": "ok",
        "rulebook": "no rulebook is published",
    }


def test_with_a_rulebook_in_force_the_service_is_ready(client: Client) -> None:
    now = timezone.now()
    rulebook = RulebookVersion.objects.create(number=1, document={}, digest="0" * 64, published_at=now)
    CatalogueState.objects.update_or_create(id=1, defaults={"rulebook": rulebook})
    answer = client.get("/readyz")
    assert answer.status_code == 200
    assert answer.json()["status"] == "ready"


def test_the_probes_tell_no_version_and_no_path(client: Client) -> None:
    for address in ("/livez", "/readyz"):
        answer = client.get(address)
        assert VERSION not in answer.text
        assert "/" not in answer.text


def test_an_idle_worker_is_no_trouble(client: Client) -> None:
    assert client.get("/readyz").json()["worker"] == "ok"


def test_a_job_that_nobody_takes_up_is_told(client: Client) -> None:
    queued(minutes_ago=5)
    assert client.get("/readyz").json()["worker"] == WAITING


def test_jobs_that_wait_behind_one_in_hand_are_no_trouble(client: Client) -> None:
    queued(minutes_ago=5)
    in_hand = queued(minutes_ago=6)
    in_hand.state, in_hand.lease_until, in_hand.attempt = JobState.RUNNING, timezone.now() + timedelta(minutes=1), 1
    in_hand.save()
    assert client.get("/readyz").json()["worker"] == "ok"


@pytest.mark.parametrize("address", ["/livez", "/readyz"])
def test_a_probe_is_only_ever_read(client: Client, address: str) -> None:
    assert client.post(address).status_code == 405


@pytest.fixture
def log() -> Iterator[StringIO]:
    """Give what the service's own log handler writes."""
    (handler,) = [one for one in logging.getLogger("django").handlers if one.name == "stderr"]
    assert isinstance(handler, logging.StreamHandler)
    written = StringIO()
    before = handler.setStream(written)
    yield written
    handler.setStream(before)


def test_a_probe_that_says_no_leaves_no_line_in_the_log(client: Client, log: StringIO) -> None:
    assert client.get("/readyz").status_code == 503
    assert client.get("/no/such/page").status_code == 404
    (line,) = log.getvalue().splitlines()
    assert "/no/such/page" in line
