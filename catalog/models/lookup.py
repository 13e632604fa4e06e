"""What parts are found by, derived from their rows, and what was looked for in vain."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from django.db import connection, models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import F, Func, Q, UniqueConstraint
from django.db.models.sql.compiler import SQLCompiler

from catalog.domain.lookup.pieces import LONGEST_PIECE, endings_of, slips_of, words_kept
from catalog.domain.lookup.reading import LONGEST_QUERY
from catalog.models.part import Part
from service.operations.models import Dealer, OwnedQuerySet


class ByCodePoint(Func):
    """A text in the order of its code points: what SQLite does anyway, and collation C on PostgreSQL."""

    template = "%(expressions)s"
    arity = 1

    def as_postgresql(
        self, compiler: SQLCompiler, connection: BaseDatabaseWrapper, **extra: Any
    ) -> tuple[str, list[Any]]:
        sql, parameters = self.as_sql(compiler, connection, template='%(expressions)s COLLATE "C"', **extra)
        return sql, list(parameters)


class PieceKind(models.TextChoices):
    ENDING = "ending"
    WORD = "word"
    SLIP = "slip"


_EACH_PIECE = "INSERT INTO catalog_partpiece (part_id, kind, text) VALUES (%s, %s, %s)"
_ALL_PIECES = """
INSERT INTO catalog_partpiece (part_id, kind, text) SELECT * FROM unnest(%s::bigint[], %s::varchar[], %s::varchar[])
"""


class PieceQuerySet(models.QuerySet["PartPiece"]):
    def write_for(self, parts: Iterable[Part]) -> None:
        """The pieces of parts whose keys are derived and which have none yet.

        A part has a score of them, so that they go by without being made instances of the model.
        """
        rows = [(part.pk, kind.value, text) for part in parts for kind, text in pieces_of(part)]
        with connection.cursor() as cursor:
            if connection.vendor == "postgresql":
                cursor.execute(_ALL_PIECES, [[*column] for column in zip(*rows, strict=True)] or [[], [], []])
            else:
                cursor.executemany(_EACH_PIECE, rows)


class PartPiece(models.Model):
    """An ending of a part's key, a word of its name, or its key less a character.

    Derived, and written with the part. `text` is compared by code points (see the migration that made it), so that
    one index answers what begins with a text on both databases.
    """

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="pieces")
    kind = models.CharField(max_length=6, choices=PieceKind.choices)
    text = models.CharField(max_length=LONGEST_PIECE)

    objects = PieceQuerySet.as_manager()

    class Meta:
        constraints = [
            UniqueConstraint("kind", "text", "part", name="partpiece_once_a_part"),
            models.CheckConstraint(condition=Q(kind__in=PieceKind.values) & ~Q(text=""), name="partpiece_says_what"),
        ]


def pieces_of(part: Part) -> Iterator[tuple[PieceKind, str]]:
    """The pieces of a part whose keys are derived."""
    found = (
        (PieceKind.ENDING, endings_of(part.number_key)),
        (PieceKind.WORD, words_kept(part.name)),
        (PieceKind.SLIP, slips_of(part.number_key)),
    )
    return ((kind, text) for kind, texts in found for text in dict.fromkeys(texts))


class LookupMiss(models.Model):
    """What a dealer looked for and nothing answered to, once in whatever spelling; the best source of new data."""

    dealer = models.ForeignKey(Dealer, on_delete=models.CASCADE, related_name="lookup_misses")
    key = models.CharField(max_length=LONGEST_QUERY)
    text = models.CharField(max_length=LONGEST_QUERY)
    count = models.PositiveBigIntegerField(default=0)
    first_seen = models.DateTimeField()
    last_seen = models.DateTimeField()

    objects = OwnedQuerySet["LookupMiss"].as_manager()

    class Meta:
        constraints = [
            UniqueConstraint("dealer", "key", name="lookupmiss_once_a_dealer"),
            models.CheckConstraint(condition=~Q(key="") & ~Q(text=""), name="lookupmiss_has_a_text"),
            models.CheckConstraint(condition=Q(last_seen__gte=F("first_seen")), name="lookupmiss_in_order_of_time"),
        ]
        indexes = [models.Index(fields=["last_seen", "id"], name="lookupmiss_by_day")]
