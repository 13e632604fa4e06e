"""The base of every body that is read: what is not expected is a problem, and nothing is guessed."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import Any

from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail, ValidationError

# DRF's own fields coerce: a number becomes a string, "yes" becomes true.
STRICT_FOR = {
    serializers.CharField: "Text",
    serializers.IntegerField: "Whole",
    serializers.FloatField: "DecimalString",
    serializers.DecimalField: "DecimalString",
    serializers.BooleanField: "Flag",
    serializers.ChoiceField: "Choice",
    serializers.DateField: "Day",
    serializers.DateTimeField: "Instant",
    serializers.UUIDField: "Identifier",
}


class StrictSerializer(serializers.Serializer[Any]):
    """Reads a body strictly: unknown and read-only members are named one by one, beside all other problems.

    Fields come from ``service.http.fields``; DRF's coercing ones are refused when the class is made. ``validate``
    and ``validate_<field>`` may raise DRF's ``ValidationError`` and see only what is well formed.
    """

    def __init_subclass__(cls, **kwargs: Any) -> None:
        super().__init_subclass__(**kwargs)
        declared: Mapping[str, serializers.Field[Any, Any, Any, Any]] = getattr(cls, "_declared_fields", {})
        for name, field in declared.items():
            lax = STRICT_FOR.get(type(getattr(field, "child", None) or field))
            if lax is not None and not field.read_only:
                raise TypeError(f"{cls.__name__}.{name} would coerce; use {lax} from service.http.fields.")

    def to_internal_value(self, data: Any) -> Any:
        if not isinstance(data, Mapping):
            return super().to_internal_value(data)
        errors: dict[str, Any] = self._not_expected(data)
        try:
            found = super().to_internal_value(data)
        except ValidationError as error:
            detail = error.detail
            errors |= detail if isinstance(detail, dict) else {}
        else:
            if not errors:
                return found
        raise ValidationError(errors)

    def _not_expected(self, data: Mapping[str, Any]) -> dict[str, Any]:
        taken = [name for name, field in self.fields.items() if not field.read_only]
        return {
            name: [_read_only(name) if name in self.fields else _unknown(name, taken)]
            for name in data
            if name not in taken
        }


class NothingShape(StrictSerializer):
    """A body without members: the address says it all."""


def _read_only(name: str) -> ErrorDetail:
    return ErrorDetail(f"{name!r} is set by the service; leave it out.", code="read_only")


def _unknown(name: str, taken: Iterable[str]) -> ErrorDetail:
    near = difflib.get_close_matches(name, taken, n=1)
    hint = f"did you mean {near[0]!r}?" if near else "leave it out."
    return ErrorDetail(f"There is no field {name!r} here; {hint}", code="unknown_field")
