"""Rows that are added to and never changed, so that what was decided from them can be followed later."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any, ClassVar, NoReturn

from django.db import models
from django.db.models import Q


class AppendOnlyQuerySet(models.QuerySet[Any]):
    def update(self, **kwargs: Any) -> NoReturn:
        raise RuntimeError(self._never())

    def delete(self) -> NoReturn:
        raise RuntimeError(self._never())

    def _never(self) -> str:
        never: str = self.model.never_changed
        return never

    def _settle(self, number: Any, only_where: Mapping[str, Any], columns: Mapping[str, Any]) -> bool:
        """Fill the columns that are filled once, where they still are empty; answers whether it was this that did."""
        rows = self.filter(pk=number, **only_where)
        return bool(super(AppendOnlyQuerySet, rows).update(**columns))


class WithdrawableQuerySet(AppendOnlyQuerySet):
    def standing(self) -> WithdrawableQuerySet:
        return self.filter(withdrawn_at=None)

    def withdraw(self, number: Any, *, at: datetime, by: str, reason: str) -> bool:
        """Withdraw one that is not withdrawn yet; answers whether it was this that did it."""
        columns = {"withdrawn_at": at, "withdrawn_by": by, "withdrawn_reason": reason}
        return self._settle(number, {"withdrawn_at": None}, columns)


class AppendOnly(models.Model):
    """`never_changed` says to a programmer what to do instead. Give it an `objects` made from `AppendOnlyQuerySet`."""

    never_changed: ClassVar[str] = "This row is never changed; add another."

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise RuntimeError(self.never_changed)
        super().save(*args, force_insert=True)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise RuntimeError(self.never_changed)


class Withdrawable(AppendOnly):
    """A row that was a mistake is withdrawn by somebody for a reason, and then counts for nothing."""

    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.CharField(max_length=250, blank=True, default="")
    withdrawn_reason = models.CharField(max_length=1000, blank=True, default="")

    objects = WithdrawableQuerySet.as_manager()

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=Q(withdrawn_at=None, withdrawn_by="", withdrawn_reason="")
                | (Q(withdrawn_at__isnull=False) & ~Q(withdrawn_by="") & ~Q(withdrawn_reason="")),
                name="%(class)s_withdrawn_by_somebody_for_a_reason",
            )
        ]
