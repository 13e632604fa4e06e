"""Orders a list can be paged by, and the cursors that say where in it one stands.

A cursor holds the ordered values of one row, so a page starts right after that row however many rows were added
or taken away before it. It is no secret and is not signed: all it can do is ask for another page.
"""

from __future__ import annotations

import base64
import binascii
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.core.exceptions import FieldDoesNotExist, ValidationError
from django.db import models
from django.db.models import Q

from service.errors import Invalid

LONGEST_CURSOR = 4_000


class InvalidCursor(Invalid):
    code = "invalid_cursor"

    def __init__(self) -> None:
        words = "This cursor does not belong to this list and order; follow the addresses given, or start without one."
        super().__init__(words, pointer="?cursor")


@dataclass(frozen=True, slots=True)
class Step:
    """One field of an order. ``path`` may lead over relations: ``maker__code``."""

    path: str
    descending: bool
    field: models.Field[Any, Any]

    def ordering(self, *, reverse: bool) -> str:
        return f"-{self.path}" if self.descending != reverse else self.path

    def beyond(self, *, reverse: bool) -> str:
        return f"{self.path}__{'lt' if self.descending != reverse else 'gt'}"


@dataclass(frozen=True, slots=True)
class Order:
    """Fields that put the rows of a list into one order only: none may be null, the last is unique."""

    steps: tuple[Step, ...]

    def ordering(self, *, reverse: bool) -> tuple[str, ...]:
        return tuple(step.ordering(reverse=reverse) for step in self.steps)

    def after(self, values: Sequence[Any], *, reverse: bool) -> Q:
        """The rows after the one with these values, or before it when reversed."""
        found, equal = Q(), Q()
        for step, value in zip(self.steps, values, strict=True):
            found |= equal & Q((step.beyond(reverse=reverse), value))
            equal &= Q((step.path, value))
        # Says the same once more about the first field alone, so that its index can be entered at the right place.
        first = Q((f"{self.steps[0].beyond(reverse=reverse)}e", values[0]))
        return first & found

    def values_of(self, row: models.Model) -> tuple[Any, ...]:
        return tuple(_value(row, step.path) for step in self.steps)

    @property
    def signature(self) -> str:
        return ",".join(self.ordering(reverse=False))


@dataclass(frozen=True, slots=True)
class Cursor:
    """Where a page starts: after a row, or before it when ``back``; without values, at the very end."""

    back: bool
    values: tuple[Any, ...] | None

    def text(self, order: Order) -> str:
        values = None if self.values is None else [_as_text(value) for value in self.values]
        raw = json.dumps([order.signature, int(self.back), values], separators=(",", ":"))
        return base64.urlsafe_b64encode(raw.encode()).decode().rstrip("=")


def order_of(model: type[models.Model], names: Sequence[str]) -> Order:
    """Read an order such as ``("maker__code", "-number", "id")``. A wrong one is a fault of the program."""
    steps = tuple(_step(model, name) for name in names)
    if not steps or not (steps[-1].field.unique or steps[-1].field.primary_key) or "__" in steps[-1].path:
        raise RuntimeError(f"The order {tuple(names)} of {model.__name__} does not end in a unique field of its own.")
    return Order(steps)


def read_cursor(text: str, order: Order) -> Cursor:
    """Raises ``InvalidCursor`` for whatever this list did not give out itself."""
    if len(text) > LONGEST_CURSOR:
        raise InvalidCursor
    try:
        raw = base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)
        signature, back, values = json.loads(raw.decode())
    except (ValueError, TypeError, binascii.Error, RecursionError) as error:
        raise InvalidCursor from error
    if signature != order.signature or back not in (0, 1) or (values is None and not back):
        raise InvalidCursor
    return Cursor(bool(back), None if values is None else _typed(values, order))


def _typed(values: Any, order: Order) -> tuple[Any, ...]:
    if not isinstance(values, list) or len(values) != len(order.steps):
        raise InvalidCursor
    return tuple(_read_value(value, step.field) for value, step in zip(values, order.steps, strict=True))


def _read_value(text: Any, field: models.Field[Any, Any]) -> Any:
    if not isinstance(text, str) or "\0" in text:
        raise InvalidCursor
    try:
        text.encode()
        value = field.to_python(text)
        field.run_validators(value)
    except (ValidationError, ValueError, OverflowError) as error:
        raise InvalidCursor from error
    if value is None:
        raise InvalidCursor
    return value


def _step(model: type[models.Model], name: str) -> Step:
    path = name.removeprefix("-")
    field: Any = None
    for part in path.split("__"):
        owner = model if field is None else field.related_model
        try:
            field = owner._meta.pk if part == "pk" else owner._meta.get_field(part)  # noqa: SLF001 - Django's own API
        except FieldDoesNotExist as error:
            raise RuntimeError(f"{model.__name__} cannot be ordered by {name!r}.") from error
        if field.null:
            raise RuntimeError(f"{model.__name__} cannot be paged by {name!r}: it may be null.")
    return Step(path, name.startswith("-"), field)


def _value(row: Any, path: str) -> Any:
    for part in path.split("__"):
        row = getattr(row, part)
    return row


def _as_text(value: Any) -> str:
    # str() of an instant would drop nothing either, but isoformat is what to_python is sure to read.
    return value.isoformat() if isinstance(value, date | datetime) else str(value)
