"""Lists in pages, by the same keys as the lists of the API."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

from django.db.models import QuerySet
from django.http import HttpRequest
from rest_framework.request import Request

from service.http.pagination import KeysetPagination


@dataclass(frozen=True, slots=True)
class _Ordered:
    keyset_order: Sequence[str]


Take = Callable[[QuerySet[Any], int], list[Any]]


class _Pages(KeysetPagination):
    def __init__(self, take: Take | None) -> None:
        self._take = take

    def take(self, rows: QuerySet[Any], count: int) -> list[Any]:
        return super().take(rows, count) if self._take is None else self._take(rows, count)


@dataclass(frozen=True, slots=True)
class Page:
    """Rows with the addresses of their neighbours, None where there are none."""

    rows: list[Any]
    following: str | None
    previous: str | None


def page_of(request: HttpRequest, rows: QuerySet[Any], order: Sequence[str], take: Take | None = None) -> Page:
    """A page; `take` gives the first so many rows where the database cannot tell which belong to the list.

    Raises Invalid for a cursor or a size that nobody was given.
    """
    pages = _Pages(take)
    found = pages.paginate_queryset(rows, Request(request), _Ordered(order))
    return Page(found, _here(pages.next), _here(pages.previous))


def _here(address: str | None) -> str | None:
    """The address without its host, which is whatever the asker's browser calls it."""
    return None if address is None else f"?{urlsplit(address).query}"
