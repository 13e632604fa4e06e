"""Workers in processes of their own, each killed by SIGKILL at one exact statement to the database, or not at all.

`python -m tests.imports.killed_worker <database settings as JSON>` starts Django once. For every number on a line of
its input it forks a worker that is killed at that statement (0: none) and answers with a line of JSON: how the worker
ended, as `waitpid` tells it, and how many statements it made where it lived to say so.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, NoReturn

import django
from django.core.management import call_command
from django.db import connection

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Ended:
    """How a worker came to its end: its exit code, -9 where it was killed, and the statements it made."""

    code: int
    statements: int


@dataclass(frozen=True, slots=True)
class Workers:
    """The process that starts workers on the database of these tests."""

    orders: IO[str]
    answers: IO[str]

    def work(self, kill_at: int = 0) -> Ended:
        """Let a worker do what is due, to its end or to the statement at which it is killed."""
        self.orders.write(f"{kill_at}\n")
        self.orders.flush()
        return Ended(*json.loads(self.answers.readline()))


@contextmanager
def workers() -> Iterator[Workers]:
    settings = {name: connection.settings_dict[name] for name in ("NAME", "USER", "PASSWORD", "HOST", "PORT")}
    command = [sys.executable, "-m", "tests.imports.killed_worker", json.dumps(settings, default=str)]
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "service.settings_test"}
    with subprocess.Popen(
        command, cwd=ROOT, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as started:
        assert started.stdin
        assert started.stdout
        yield Workers(started.stdin, started.stdout)
        started.stdin.close()


def main(database: str) -> None:
    django.setup()
    connection.settings_dict.update(json.loads(database))
    for line in sys.stdin:
        counted, count = os.pipe()
        child = os.fork()
        if not child:
            _work(int(line), count)
        os.close(count)
        with os.fdopen(counted) as told:
            statements = told.read()
        _, status = os.waitpid(child, 0)
        sys.stdout.write(json.dumps([os.waitstatus_to_exitcode(status), int(statements or 0)]) + "\n")
        sys.stdout.flush()


def _work(at: int, told: int) -> NoReturn:
    count = 0

    def counting(execute: Callable[..., Any], *arguments: Any) -> Any:
        nonlocal count
        count += 1
        if count == at:
            os.kill(os.getpid(), signal.SIGKILL)
        return execute(*arguments)

    code = 1
    try:
        with connection.execute_wrapper(counting):
            call_command("worker", once=True)
        os.write(told, str(count).encode())
        code = 0
    finally:
        os._exit(code)


if __name__ == "__main__":
    main(sys.argv[1])
