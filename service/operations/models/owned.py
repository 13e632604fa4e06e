"""Rows that belong to one dealer."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self, TypeVar

from django.db import models

if TYPE_CHECKING:
    from service.operations.models.dealer import Dealer

Row_co = TypeVar("Row_co", bound=models.Model, covariant=True)


class OwnedQuerySet(models.QuerySet[Row_co]):
    """For models with a ``dealer`` field; every read on behalf of a dealer goes through ``visible_to``."""

    def visible_to(self, dealer: Dealer | None) -> Self:
        """Only this dealer's own rows; without a dealer, none."""
        return self.none() if dealer is None else self.filter(dealer=dealer)
