"""The test database put back as it was, from a copy: empty but for its tables, or with the demo world in it.

A test that commits leaves something behind. Emptying a hundred tables and loading the world again takes seconds each
time, putting back a copy none. A copy is made the first time its state is reached, once in each process of tests.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from enum import Enum
from typing import Any

import psycopg
from django.db import connection, connections
from psycopg import sql


class State(Enum):
    EMPTY = "empty"
    WORLD = "world"


class KeptDatabase:
    """The database of this process's tests. While one is kept or put back nobody else may be in it."""

    def __init__(self) -> None:
        self._kept: set[State] = set()
        self._stands: State | None = None

    def keep(self, state: State) -> None:
        """Remember what the database holds now as this state."""
        connections.close_all()
        _copy(_file(), _file(state))
        self._kept.add(state)
        self._stands = state

    def changed(self) -> None:
        """Somebody committed something."""
        self._stands = None

    def before(self, *, commits: bool, world: bool) -> None:
        """Put back what a test may count on: the world where it asks for it, nothing where it commits without it."""
        if world:
            wanted = State.WORLD if State.WORLD in self._kept else State.EMPTY
        elif commits:
            wanted = State.EMPTY
        else:
            wanted = self._stands or (State.WORLD if State.WORLD in self._kept else State.EMPTY)
        if self._stands is not wanted:
            connections.close_all()
            _copy(_file(wanted), _file())
            self._stands = wanted

    def forget(self) -> None:
        """Remove the copies that stand on a server; files go with the folder they are in."""
        if connection.vendor == "postgresql":
            with _server() as run:
                for state in self._kept:
                    run(_DROP, _file(state))


def _file(state: State | None = None) -> str:
    name = str(connection.settings_dict["NAME"])
    return f"{name}_{state.value}" if state else name


def _copy(source: str, target: str) -> None:
    if connection.vendor == "postgresql":
        with _server() as run:
            run(_DROP, target)
            run("CREATE DATABASE {} TEMPLATE {}", target, source)
    else:
        with closing(sqlite3.connect(source)) as one, closing(sqlite3.connect(target)) as other:
            one.backup(other)


_DROP = "DROP DATABASE IF EXISTS {} WITH (FORCE)"


@contextmanager
def _server() -> Iterator[Any]:
    """A connection to the server beside its test databases, as Django itself uses to make them."""
    settings = connection.settings_dict
    address = {"host": settings["HOST"], "port": settings["PORT"] or None}
    with psycopg.connect(
        dbname="postgres", user=settings["USER"], password=settings["PASSWORD"], autocommit=True, **address
    ) as server:
        yield lambda text, *names: server.execute(sql.SQL(text).format(*map(sql.Identifier, names)))
