"""Checks in several threads while another writes: each is of one version, and of the version it says."""

import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, wait
from typing import Any

import pytest
from django.db import connection, connections

from catalog.domain.import_tables import Aggregate
from catalog.models import CatalogueState, Check
from catalog.usecases.checking import check_part
from catalog.usecases.part_writing import save_parts
from catalog.usecases.reading import published
from catalog.usecases.reading_drafts import read_parts
from service.operations.models import Dealer
from tests.api.world import NOW
from tests.demo_world import documents

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
ASKERS, QUESTIONS = 3, 5
QUESTION = {"candidate": {"maker": "VRD", "number": "4410-12"}}


def test_what_a_check_was_decided_from_is_what_its_version_held(tallis_bridge: Dealer) -> None:
    start, asked = published(), threading.Event()
    plug = next(row for row in documents(Aggregate.PART) if row["number"] == "4410-12")

    def write() -> None:
        version = start.standing.version
        while not asked.wait(0.01):
            version += 1
            save_parts(read_parts([{**plug, "name": f"plug of version {version}"}], start.rulebook), NOW)

    def ask() -> None:
        for _ in range(QUESTIONS):
            _asked(tallis_bridge)

    with ThreadPoolExecutor(ASKERS + 1) as pool:
        writing = pool.submit(_then_closed, write)
        asking = [pool.submit(_then_closed, ask) for _ in range(ASKERS)]
        wait(asking)
        asked.set()
        for done in (writing, *asking):
            done.result()
    assert CatalogueState.objects.get().version > start.standing.version
    checks = Check.objects.all()
    assert len(checks) == ASKERS * QUESTIONS
    for check in checks:
        unwritten = check.catalogue_version == start.standing.version
        name = plug["name"] if unwritten else f"plug of version {check.catalogue_version}"
        assert f'"name":"{name}"' in check.facts


def _asked(dealer: Dealer) -> None:
    with connection.execute_wrapper(_dawdling):
        check_part(QUESTION, dealer=dealer, asked_by="counter", now=NOW)


def _dawdling(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
    """Leave the writer time between the look at the version and what is loaded under it."""
    answer = execute(sql, params, many, context)
    if not connection.in_atomic_block:
        time.sleep(0.01)
    return answer


def _then_closed(task: Callable[[], None]) -> None:
    try:
        task()
    finally:
        connections.close_all()
