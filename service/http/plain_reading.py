"""Bodies that are plainly in order, read without the frame's way round each field.

A shape is read through once, when its reader is made. Whatever is not plainly what a field takes, a fault or only an
unusual form, is left to the shape: it alone refuses, so its words stay the same.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from rest_framework import serializers
from rest_framework.exceptions import ValidationError

from service.http.fields import Choice, Flag, Text
from service.http.serializers import StrictSerializer

Read = Callable[[Any], Any]
Field = serializers.Field[Any, Any, Any, Any]


class NotPlain(Exception):
    """To be read by the shape itself."""


class PlainReader:
    """Reads what a shape reads, and refuses what it refuses in its words."""

    def __init__(self, shape: StrictSerializer) -> None:
        self._shape, self._read = shape, _shape(shape)

    def run_validation(self, data: Any) -> Any:
        """Raises DRF's ValidationError with every fault."""
        try:
            return self._read(data)
        except (NotPlain, ValidationError):
            return self._shape.run_validation(data)


@dataclass(frozen=True, slots=True)
class _Member:
    name: str
    read: Read
    required: bool
    may_be_null: bool


def _shape(shape: StrictSerializer) -> Read:
    fields = {name: field for name, field in shape.fields.items() if not field.read_only}
    if any(hasattr(shape, f"validate_{name}") or field.default is not serializers.empty
           for name, field in fields.items()):  # fmt: skip
        return shape.run_validation
    members = [_Member(name, _reader(field), field.required, field.allow_null) for name, field in fields.items()]

    def read(data: Any) -> Any:
        if type(data) is not dict:
            raise NotPlain
        found = {}
        for member in members:
            if member.name in data:
                value = data[member.name]
                found[member.name] = None if value is None and member.may_be_null else member.read(value)
            elif member.required:
                raise NotPlain
        if len(found) < len(data):
            raise NotPlain
        return shape.validate(found)

    return read


def _reader(field: Field) -> Read:
    if isinstance(field, StrictSerializer):
        return _shape(field)
    if isinstance(field, serializers.ListSerializer | serializers.ListField):
        return _list(field)
    if type(field) is Text and field.min_length is None and not field.lines:
        return _text(field)
    if type(field) is Choice:
        return _choice(field)
    return _flag if type(field) is Flag else field.run_validation


def _list(field: Any) -> Read:
    each, most = _reader(field.child), field.max_length
    least = max(field.min_length or 0, 0 if field.allow_empty else 1)

    def read(data: Any) -> Any:
        if type(data) is not list or len(data) < least or (most is not None and len(data) > most):
            raise NotPlain
        return [each(entry) for entry in data]

    return read


def _text(field: Text) -> Read:
    longest, trimmed = field.max_length, field.trim_whitespace

    def read(data: Any) -> Any:
        text = data.strip() if trimmed and type(data) is str else data
        # What can be printed holds no control character and no half of a surrogate pair.
        if type(text) is not str or not text or not text.isprintable() or (longest and len(text) > longest):
            raise NotPlain
        return text

    return read


def _choice(field: Choice) -> Read:
    known = field.choice_strings_to_values

    def read(data: Any) -> Any:
        if type(data) is not str or data not in known:
            raise NotPlain
        return known[data]

    return read


def _flag(data: Any) -> Any:
    if type(data) is not bool:
        raise NotPlain
    return data
