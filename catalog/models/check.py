"""Recorded questions with their answers."""

from __future__ import annotations

import uuid
from functools import cache
from typing import Any, NoReturn

from django.db import connection, models
from django.db.models import Q
from django.db.models.sql import InsertQuery

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
    dealer = models.ForeignKey(Dealer, on_delete=models.PROTECT, related_name="%(class)ss")
    asked_by = models.CharField(max_length=250)
    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, null=True, blank=True, related_name="%(class)ss")
    question = models.TextField()
    facts = models.TextField()
    answer = models.TextField()
    verdict = models.CharField(max_length=20, choices=choices(Verdict))
    digest = models.CharField(max_length=DIGEST_LENGTH, db_index=True)
    catalogue_version = models.PositiveBigIntegerField()
    rulebook = models.ForeignKey(
        RulebookVersion, on_delete=models.PROTECT, to_field="number", related_name="%(class)ss"
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
        """What `save` does, by a statement that Django writes once: writing it takes longer than running it."""
        self._refuse_changes()
        sql = _insert_sql(type(self))
        fields = self._meta.concrete_fields
        with connection.cursor() as cursor:
            cursor.execute(sql, [field.get_db_prep_save(getattr(self, field.attname), connection) for field in fields])
        self._state.adding, self._state.db = False, connection.alias

    def _refuse_changes(self) -> None:
        if not self._state.adding:
            raise RuntimeError("A recorded check is never changed; ask again and a new one is recorded.")


@cache
def _insert_sql(model: type[RecordedAnswer]) -> str:
    query = InsertQuery(model)
    query.insert_values(model._meta.concrete_fields, [model()])  # noqa: SLF001 - Django's documented Meta interface
    ((sql, _),) = query.get_compiler(connection=connection).as_sql()
    return str(sql)


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
