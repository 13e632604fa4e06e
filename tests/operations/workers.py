"""Running the same work in several threads, each with a database connection of its own."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from django.db import connection

Found = TypeVar("Found")


def at_once(count: int, work: Callable[[int], Found]) -> list[Found]:
    """What ``work(0)`` to ``work(count - 1)`` gave; the first exception of any is raised."""

    def alone(number: int) -> Found:
        try:
            return work(number)
        finally:
            connection.close()

    with ThreadPoolExecutor(count) as pool:
        return list(pool.map(alone, range(count)))
