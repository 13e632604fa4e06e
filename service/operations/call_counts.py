"""Where calls and tries are counted: one row a key, changed by one statement, which all processes share.

A count is worth nothing after its window, and nothing else rests on it, so it is kept apart from what must last: on
PostgreSQL in an unlogged table, on SQLite in a file of its own. In the main file every read would have to wait for the
write lock, and with it for whatever an import is writing.
"""

from __future__ import annotations

import os
import re
import secrets
import sqlite3
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection

MINUTE = timedelta(minutes=1)
LONGEST_WINDOW = timedelta(minutes=10)
MICROSECOND = timedelta(microseconds=1)
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
LOCK_SECONDS = 5

# The same table as migration call_counts makes on PostgreSQL. Instants are microseconds since 1970.
TABLE = """
CREATE TABLE operations_callcount (
    key varchar(8) NOT NULL PRIMARY KEY CHECK (length(key) = 8),
    began bigint NOT NULL,
    spent integer NOT NULL CHECK (spent > 0)
)
"""
# A window that begins in the future was begun by a clock that was wrong; it must not bind the key until then.
SPENT = """CASE WHEN kept.began > excluded.began - %(window)s AND kept.began <= excluded.began + %(window)s
           THEN kept.spent ELSE 0 END + excluded.spent"""
SPEND = f"""
INSERT INTO operations_callcount AS kept (key, began, spent) VALUES (%(key)s, %(now)s, %(cost)s)
ON CONFLICT (key) DO UPDATE SET
    began = CASE WHEN kept.began > excluded.began - %(window)s AND kept.began <= excluded.began + %(window)s
            THEN kept.began ELSE excluded.began END,
    spent = {SPENT}
WHERE {SPENT} <= %(limit)s
RETURNING began, spent
"""  # noqa: S608 - put together from constants
READ = "SELECT began, spent FROM operations_callcount WHERE key = %(key)s"
# Of the last of a key's tries nothing is left, since a count is above nothing.
GIVE_BACK = "UPDATE operations_callcount SET spent = spent - 1 WHERE key = %(key)s AND spent > 1 RETURNING began, spent"
FORGET = "DELETE FROM operations_callcount WHERE key = %(key)s AND spent = 1"
CLEAR = "DELETE FROM operations_callcount WHERE began <= %(now)s - %(window)s"
PLACE = re.compile(r"%\((\w+)\)s")


@dataclass(frozen=True, slots=True)
class Count:
    """What a key has spent since its window began."""

    began: datetime
    spent: int


def spend(key: str, *, cost: int, limit: int, now: datetime, window: timedelta = MINUTE) -> Count | None:
    """Add a cost no higher than the limit to the key's window, or to a new one; none, and nothing, above the limit.

    A key has eight characters and always the same window.
    """
    given = {"key": key, "now": _number(now), "cost": cost, "limit": limit, "window": window // MICROSECOND}
    return _count(_run(SPEND, given))


def counted(key: str) -> Count | None:
    """The last count of a key, which may be of a window that is over."""
    return _count(_run(READ, {"key": key}))


def give_back(key: str) -> None:
    """Take 1 off what a key has spent."""
    if _run(GIVE_BACK, {"key": key}) is None:
        _run(FORGET, {"key": key})


def clear_over(now: datetime) -> None:
    """Forget the windows that are over, whichever length they have."""
    _run(CLEAR, {"now": _number(now), "window": LONGEST_WINDOW // MICROSECOND})


def _count(row: tuple[int, int] | None) -> Count | None:
    return None if row is None else Count(EPOCH + row[0] * MICROSECOND, row[1])


def _number(instant: datetime) -> int:
    return (instant - EPOCH) // MICROSECOND


def _run(sql: str, values: Mapping[str, Any]) -> tuple[int, int] | None:
    """The row that the statement gives, if any."""
    if connection.vendor == "sqlite":
        return _file.run(_for_sqlite(sql), values)
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        return cursor.fetchone() if cursor.description else None


@cache
def _for_sqlite(sql: str) -> str:
    return PLACE.sub(r":\1", sql)


class CountFile:
    """A small SQLite file beside the main one. One connection serves all threads of a process, in turn."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._opened: sqlite3.Connection | None = None
        self._process = 0

    def run(self, sql: str, values: Mapping[str, Any]) -> tuple[int, int] | None:
        with self._turn:
            row: tuple[int, int] | None = self._connection().execute(sql, values).fetchone()
            return row

    def _connection(self) -> sqlite3.Connection:
        # A connection must not be used across a fork.
        if self._opened is None or self._process != os.getpid():
            self._opened, self._process = _open(Path(settings.CALL_COUNTS_FILE)), os.getpid()
        return self._opened


_file = CountFile()


def _open(path: Path) -> sqlite3.Connection:
    if not path.exists():
        _make(path)
    return _connect(path)


def _connect(path: Path) -> sqlite3.Connection:
    opened = sqlite3.connect(path, timeout=LOCK_SECONDS, isolation_level=None, check_same_thread=False)
    opened.execute("PRAGMA synchronous=NORMAL")
    return opened


def _make(path: Path) -> None:
    """Made whole beside and then linked into place: of two processes that start together, SQLite lets one fail."""
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    making = _connect(fresh)
    try:
        making.execute("PRAGMA journal_mode=WAL")
        making.execute(TABLE)
    finally:
        making.close()
    try:
        os.link(fresh, path)
    except FileExistsError:
        pass
    finally:
        fresh.unlink()
