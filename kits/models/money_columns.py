"""Columns with money: whole ten-thousandths beside a currency of three capitals, which the domain knows or not."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Length, Upper
from django.db.models.lookups import Exact

CURRENCY_LENGTH = 3


def currency(**options: Any) -> models.CharField[Any, Any]:
    return models.CharField(max_length=CURRENCY_LENGTH, **options)


def is_currency(field: str = "currency") -> Q:
    """What a constraint asks of a column with a currency."""
    return Q(Exact(Length(field), CURRENCY_LENGTH)) & Q(**{field: Upper(F(field))})


def never_below_zero(*fields: str) -> Q:
    """What a constraint asks of amounts that may be missing."""
    asked = Q()
    for field in fields:
        asked &= Q(**{field: None}) | Q(**{f"{field}__gte": 0})
    return asked
