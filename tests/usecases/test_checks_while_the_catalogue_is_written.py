"""Checks in several threads while another writes: each is of one version, and of the version it says."""

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from django.db import connection, connections

from catalog.models import Check
from catalog.usecases.checking import check_part
from catalog.usecases.part_writing import save_parts
from catalog.usecases.reading import published
from catalog.usecases.reading_drafts import read_parts
from catalog.usecases.refusals import CatalogueMoving
from service.operations.models import Dealer
from tests.api.world import NOW, demo_catalogue, load_world

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
WRITES, ASKERS, QUESTIONS = 12, 3, 8
QUESTION = {"candidate": {"maker": "VRD", "number": "4410-12"}}


def test_what_a_check_was_decided_from_is_what_its_version_held() -> None:
    dealer = load_world()
    start = published()
    plug = next(row for row in demo_catalogue().parts if row["number"] == "4410-12")
    drafts = [
        read_parts([{**plug, "name": f"plug of version {start.standing.version + step}"}], start.rulebook)
        for step in range(1, WRITES + 1)
    ]

    def write() -> None:
        for draft in drafts:
            save_parts(draft, NOW)

    def ask() -> None:
        for _ in range(QUESTIONS):
            _asked(dealer)

    with ThreadPoolExecutor(ASKERS + 1) as pool:
        running = [pool.submit(_then_closed, task) for task in (write, *[ask] * ASKERS)]
        for done in running:
            done.result()
    checks = Check.objects.all()
    assert checks
    for check in checks:
        written = check.catalogue_version - start.standing.version
        name = f"plug of version {check.catalogue_version}" if written else plug["name"]
        assert f'"name":"{name}"' in check.facts


def _asked(dealer: Dealer) -> None:
    try:
        with connection.execute_wrapper(_dawdling):
            check_part(QUESTION, dealer=dealer, asked_by="counter", now=NOW)
    except CatalogueMoving:
        return  # refused rather than answered from two versions


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
