"""Statements that Django writes once, since writing one takes longer than running it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar
from uuid import UUID

from django.db import connection
from django.db.models import Model, QuerySet

STATEMENTS_KEPT = 32  # of each kind, one for every number of parameters it was asked with

Convert = Callable[[Any, Any, Any], Any]
M = TypeVar("M", bound=Model)


@dataclass(frozen=True, slots=True)
class Written:
    """A list of values. `rest` are the parameters that never change and follow those given each time.

    `converters` are by column Django's own, for what a database keeps otherwise than Python has it.
    """

    sql: str
    rest: tuple[Any, ...]
    converters: Mapping[int, tuple[Sequence[Convert], Any]]

    def rows(self, *parameters: str | int | UUID) -> list[list[Any]]:
        """What the list has with these parameters, which are in the order of the statement."""
        with connection.cursor() as cursor:
            cursor.execute(self.sql, (*map(_as_kept, parameters), *self.rest))
            found = [list(row) for row in cursor.fetchall()]
        for at, (converters, expression) in self.converters.items():
            for convert in converters:
                for row in found:
                    row[at] = convert(row[at], expression, connection)
        return found


def written(rows: QuerySet[Any, Any], given: int) -> Written:
    """The statement of a list of values; its first `given` parameters stand for those given each time."""
    compiler = rows.query.get_compiler(connection=connection)
    sql, parameters = compiler.as_sql()
    return Written(sql, tuple(parameters[given:]), compiler.get_converters([column[0] for column in compiler.select]))


@dataclass(frozen=True, slots=True)
class WrittenRows(Generic[M]):
    """The same of whole rows of one model."""

    model: type[M]
    columns: tuple[str, ...]
    values: Written

    def rows(self, *parameters: str | int | UUID) -> list[M]:
        return [self.model.from_db(connection.alias, self.columns, row) for row in self.values.rows(*parameters)]


def written_rows(rows: QuerySet[M], given: int) -> WrittenRows[M]:
    """The statement of a list of rows, as `written` has it of values."""
    columns = columns_of(rows.model)
    return WrittenRows(rows.model, columns, written(rows.values_list(*columns), given))


def columns_of(model: type[Model]) -> tuple[str, ...]:
    """The columns of a whole row, as `Model.from_db` takes them."""
    return tuple(field.attname for field in model._meta.concrete_fields)  # noqa: SLF001 - Django's documented interface


def _as_kept(parameter: str | int | UUID) -> str | int | UUID:
    return parameter.hex if isinstance(parameter, UUID) and not connection.features.has_native_uuid_field else parameter
