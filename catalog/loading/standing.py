"""What holds now: the catalogue's version, and the rulebook in force."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from django.db import connection

from catalog.domain.rulebook_document import rulebook_from_document
from catalog.domain.rules import Rulebook
from catalog.models import CatalogueState, RulebookVersion

RULEBOOKS_KEPT = 4


@dataclass(frozen=True, slots=True)
class Standing:
    """`stamp` is new with every version and never comes back; `rulebook` is 0 while none is published."""

    version: int = 0
    stamp: str = ""
    rulebook: int = 0
    digest: str = ""


def standing() -> Standing:
    """One statement."""
    sql, parameters = _standing_sql()
    with connection.cursor() as cursor:
        cursor.execute(sql, parameters)
        row = cursor.fetchone()
    found = Standing() if row is None else Standing(row[0], row[1], row[2] or 0, row[3] or "")
    _last_seen.found = found
    return found


class _LastSeen:
    found: Standing | None = None


_last_seen = _LastSeen()


def standing_last_seen() -> Standing | None:
    """What this process last saw standing: a guess, for whoever looks again before it counts."""
    return _last_seen.found


def forget_standing() -> None:
    _last_seen.found = None


@cache
def _standing_sql() -> tuple[str, tuple[Any, ...]]:
    """Written by Django once: nearly every request runs it, and writing it takes longer than running it."""
    columns = ("version", "stamp", "rulebook__number", "rulebook__digest")
    sql, parameters = CatalogueState.objects.values_list(*columns).query.sql_with_params()
    return sql, tuple(parameters)


def load_rulebook(number: int, digest: str) -> Rulebook:
    """The compiled rulebook; one statement the first time a process asks for it. Raises DoesNotExist."""
    return _rulebook(number, digest)


def load_rulebook_numbered(number: int) -> Rulebook:
    """The rulebook an old check was decided by: one statement more than `load_rulebook`."""
    return _rulebook(number, RulebookVersion.objects.values_list("digest", flat=True).get(number=number))


# The digest is part of the key: a number alone says too little where a database was replaced under a running process.
@lru_cache(maxsize=RULEBOOKS_KEPT)
def _rulebook(number: int, digest: str) -> Rulebook:
    row = RulebookVersion.objects.only("document").get(number=number, digest=digest)
    return rulebook_from_document(row.document, number=number, digest=digest)
