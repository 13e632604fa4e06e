"""Recorded questions with their answers."""

from __future__ import annotations

import uuid
from functools import cache
from types import NoneType
from typing import Any, NoReturn

from django.db import DEFAULT_DB_ALIAS, connections, models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Q

from catalog.domain.answers import Verdict
from catalog.models.machine import Machine
from catalog.models.rulebook import DIGEST_LENGTH, RulebookVersion
from catalog.models.typed_values import choices
from service.operations.models import Dealer, OwnedQuerySet


class CheckQuerySet(OwnedQuerySet[Any]):
    def update(self, **kwargs: Any) -> NoReturn:
        raise RuntimeError("A recorded check is never changed; ask again and a new one is recorded.")


class RecordedAnswer(models.Model):
    """One question and its answer, never changed afterwards.

    `question`, `facts` and `answer` are JSON kept as text: an answer is given out again byte by byte, and nothing
    searches inside them. `facts` is all that the decision read, so that it can be made again and shown otherwise.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    # Its own index would only repeat the beginning of the one below, and cost every check.
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="%(class)ss", db_index=False)
    asked_by = models.CharField(max_length=250)
    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, null=True, blank=True, related_name="%(class)ss")
    question = models.TextField()
    facts = models.TextField()
    answer = models.TextField()
    verdict = models.CharField(max_length=20, choices=choices(Verdict))
    digest = models.CharField(max_length=DIGEST_LENGTH, db_index=True)
    catalogue_version = models.PositiveBigIntegerField()
    # Nobody asks for the checks of a rulebook; a rulebook that decided any is never deleted.
    rulebook = models.ForeignKey(
        RulebookVersion, on_delete=models.PROTECT, to_field="number", related_name="%(class)ss", db_index=False
    )
    checked_at = models.DateTimeField()

    objects = CheckQuerySet.as_manager()

    class Meta:
        abstract = True
        indexes = [models.Index(fields=["dealer", "checked_at", "id"], name="%(class)s_of_a_dealer")]
        constraints = [
            models.CheckConstraint(condition=Q(verdict__in=list(Verdict)), name="%(class)s_verdict_is_known")
        ]

    def save(self, *args: Any, **kwargs: Any) -> None:
        self._refuse_changes()
        super().save(*args, force_insert=True)

    def record(self) -> None:
        """What `save` does, by a statement that is written once: Django takes longer to write it than to run it."""
        self._insert(_insert_sql(type(self)))

    def record_at(self, stamp: str, machine_version: int | None = None) -> bool:
        """Record it where the catalogue still has this stamp and its machine, if it is of one, this version.

        Both are looked at in the same statement; answers whether they stand. Without a transaction, so only for what
        has nothing else saved with it.
        """
        if machine_version is None:
            return self._insert(_insert_sql(type(self), at=_AT_A_STAMP), stamp)
        machine = type(self).machine.field.get_db_prep_save(self.machine_id, connections[DEFAULT_DB_ALIAS])
        return self._insert(_insert_sql(type(self), at=_AT_A_STAMP + _AND_A_MACHINE), stamp, machine, machine_version)

    def _insert(self, sql: str, *at: Any) -> bool:
        self._refuse_changes()
        database = connections[DEFAULT_DB_ALIAS]  # found once, and not anew for each field
        values = [_prepared(getattr(self, field.attname), field, database) for field in self._meta.concrete_fields]
        with database.cursor() as cursor:
            cursor.execute(sql, [*values, *at])
            recorded: bool = cursor.rowcount == 1
        if recorded:
            self._state.adding, self._state.db = False, database.alias
        return recorded

    def _refuse_changes(self) -> None:
        if not self._state.adding:
            raise RuntimeError("A recorded check is never changed; ask again and a new one is recorded.")


def _prepared(value: Any, field: Any, database: BaseDatabaseWrapper) -> Any:
    """As the database takes it. Texts, whole numbers and nothing go as they are; asking each field takes its time."""
    return value if type(value) in _AS_IT_IS else field.get_db_prep_save(value, database)


_AS_IT_IS = frozenset({str, int, NoneType})
_AT_A_STAMP = 'FROM "catalog_cataloguestate" WHERE stamp = %s'
_AND_A_MACHINE = ' AND EXISTS (SELECT 1 FROM "catalog_machine" WHERE id = %s AND version = %s)'


@cache
def _insert_sql(model: type[RecordedAnswer], *, at: str = "") -> str:
    """`at` is what has to be there for anything to be written, its parameters after those of the values."""
    into = model._meta  # noqa: SLF001 - Django's documented Meta interface
    columns = ", ".join(f'"{field.column}"' for field in into.concrete_fields)
    values = ", ".join("%s" for _ in into.concrete_fields)
    return f'INSERT INTO "{into.db_table}" ({columns}) ' + (f"SELECT {values} {at}" if at else f"VALUES ({values})")


class Check(RecordedAnswer):
    """A question about a part in its place.

    `binding` is the digest of what an approval of it would be for; empty where it is none that can be approved.
    """

    binding = models.CharField(max_length=DIGEST_LENGTH, blank=True, default="", editable=False)

    class Meta(RecordedAnswer.Meta):
        indexes = [
            *RecordedAnswer.Meta.indexes,
            models.Index(
                fields=["dealer", "binding", "checked_at"], name="check_of_a_binding", condition=~Q(binding="")
            ),
            models.Index(fields=["checked_at"], condition=Q(verdict="undetermined"), name="check_left_undetermined"),
        ]


class SupplyCheck(RecordedAnswer):
    """A question about a whole supply line."""
