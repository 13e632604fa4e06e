"""Lists kept in one column, and the constraint that keeps anything else out of it."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import F, Func
from django.db.models.lookups import Exact


class JsonType(Func):
    """What a JSON column holds, in the database's own word: `array`, `object` and so on."""

    function = "JSON_TYPE"
    arity = 1
    output_field = models.CharField()

    def as_postgresql(self, compiler: Any, connection: Any, **context: Any) -> Any:
        return self.as_sql(compiler, connection, function="JSONB_TYPEOF", **context)


def holds_a_list(field: str, *, name: str) -> models.CheckConstraint:
    return models.CheckConstraint(condition=Exact(JsonType(F(field)), "array"), name=name)
