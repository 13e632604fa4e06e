"""Threads and processes at the edge of a key's limit: together they get what is left, and not one call more."""

import json
import os
import subprocess
import sys
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import connection

from service.operations.call_limits import charge
from service.operations.models import Key
from tests.operations.callers import key_with, let_in_of
from tests.operations.conftest import MORNING
from tests.operations.workers import at_once

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
ROOT = Path(__file__).resolve().parents[2]
THREADS, PROCESSES = 8, 4


def one_more(key: Key, _number: int) -> int:
    return let_in_of(1, key, MORNING)


def test_two_calls_at_once_for_the_last_one_left_one_is_let_in() -> None:
    for _ in range(30):
        key = key_with(60)
        charge(key, 59, MORNING)
        assert sorted(at_once(2, partial(one_more, key))) == [0, 1]


def test_threads_get_the_limit_together_and_no_more() -> None:
    key = key_with(100)
    assert sum(at_once(THREADS, lambda _: let_in_of(40, key, MORNING))) == 100
    assert let_in_of(1, key, MORNING) == 0


def test_processes_that_start_together_get_the_limit_together_and_no_more(tmp_path: Path) -> None:
    """On SQLite they also make the file of counts together."""
    database = {name: connection.settings_dict[name] for name in ("NAME", "USER", "PASSWORD", "HOST", "PORT")}
    given = {"database": database, "file": tmp_path / "calls.sqlite3", "key": key_with(100).id8}
    command = [
        sys.executable,
        "-m",
        "tests.operations.calling_process",
        json.dumps(given | {"calls": 80, "limit": 100}, default=str),
    ]
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": settings.SETTINGS_MODULE}
    running: list[Any] = [
        subprocess.Popen(command, cwd=ROOT, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        for _ in range(PROCESSES)
    ]
    for process in running:
        assert process.stdout.readline() == "ready\n"
    for process in running:
        process.stdin.write("\n")
        process.stdin.flush()
    assert sum(int(process.communicate()[0]) for process in running) == 100
