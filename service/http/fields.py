"""Fields that take a value in one form only. DRF's own would take 5 for "5" and "yes" for true."""

from __future__ import annotations

import re
import unicodedata
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

TEXT_SHOWN = 80
DECIMAL = re.compile(r"-?[0-9]{1,18}(\.[0-9]{1,18})?", re.ASCII)
DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
INSTANT = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt][0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,6})?([Zz]|[+-][0-9]{2}:[0-9]{2})", re.ASCII
)


class Text(serializers.CharField):
    """A string. Space around it is dropped unless ``trim_whitespace=False``; control characters are refused.

    ``lines=True`` takes line breaks and tabs.
    """

    default_error_messages = {
        "invalid": "Expected a string.",
        "control_character": "Holds the control character U+{code:04X}; leave it out.",
    }

    def __init__(self, *, lines: bool = False, **kwargs: Any) -> None:
        self.lines = lines
        super().__init__(**kwargs)

    def run_validation(self, data: Any = serializers.empty) -> Any:
        if data is not serializers.empty and data is not None and not isinstance(data, str):
            self.fail("invalid")
        return super().run_validation(data)

    def to_internal_value(self, data: Any) -> str:
        text = super().to_internal_value(data)
        allowed = "\n\r\t" if self.lines else ""
        for character in text:
            if unicodedata.category(character) == "Cc" and character not in allowed:
                self.fail("control_character", code=ord(character))
        return text


class Whole(serializers.IntegerField):
    """A whole number, as a number."""

    default_error_messages = {"invalid": "Expected a whole number, not in quotes."}

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, bool) or not isinstance(data, int):
            self.fail("invalid")
        return super().to_internal_value(data)


class Flag(serializers.BooleanField):
    """true or false and nothing that might mean either."""

    default_error_messages = {"invalid": "Expected true or false, not in quotes."}

    def to_internal_value(self, data: Any) -> bool:
        if not isinstance(data, bool):
            self.fail("invalid")
        return data


class Choice(serializers.ChoiceField):
    """One of the words listed."""

    default_error_messages = {"invalid_choice": "{input!r} is not among {known}."}

    def to_internal_value(self, data: Any) -> Any:
        known = self.choice_strings_to_values
        if not isinstance(data, str) or data not in known:
            self.fail("invalid_choice", input=str(data)[:TEXT_SHOWN], known=", ".join(known))
        return known[data]


@extend_schema_field({"type": "string", "format": "decimal", "pattern": f"^{DECIMAL.pattern}$"})
class DecimalString(serializers.Field[Decimal, Any, str, Any]):
    """A decimal number as a string, so that no digit is lost: ``"12.30"``. No exponent, no sign but minus."""

    default_error_messages = {
        "invalid": 'Expected a decimal number in quotes, such as "12.30".',
        "max_places": "At most {places} digits may follow the point.",
        "min_value": "At least {least} is expected.",
        "max_value": "At most {most} is expected.",
    }

    def __init__(
        self, *, places: int | None = None, least: Decimal | None = None, most: Decimal | None = None, **kwargs: Any
    ) -> None:
        self.places, self.least, self.most = places, least, most
        super().__init__(**kwargs)

    def to_internal_value(self, data: Any) -> Decimal:
        if not isinstance(data, str) or not DECIMAL.fullmatch(data):
            self.fail("invalid")
        value = Decimal(data)
        if self.places is not None and len(data.partition(".")[2]) > self.places:
            self.fail("max_places", places=self.places)
        if self.least is not None and value < self.least:
            self.fail("min_value", least=self.least)
        if self.most is not None and value > self.most:
            self.fail("max_value", most=self.most)
        return value

    def to_representation(self, value: Decimal) -> str:
        return f"{value:f}"


class Day(serializers.DateField):
    """A date as ``2026-03-09``."""

    default_error_messages = {"invalid": "Expected a date such as 2026-03-09."}

    def to_internal_value(self, value: Any) -> date:
        if not isinstance(value, str) or not DAY.fullmatch(value):
            self.fail("invalid")
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail("invalid")


class Instant(serializers.DateTimeField):
    """An instant with its offset, as RFC 3339 has it; a time without one could be two instants, or none."""

    default_error_messages = {
        "invalid": "Expected an instant such as 2026-03-09T09:15:00Z.",
        "no_offset": "The time needs an offset from UTC: Z, or one such as +01:00.",
    }

    def to_internal_value(self, value: Any) -> datetime:
        if not isinstance(value, str) or not INSTANT.fullmatch(value):
            self.fail("no_offset" if isinstance(value, str) and INSTANT.fullmatch(f"{value}Z") else "invalid")
        try:
            return self.enforce_timezone(datetime.fromisoformat(value.upper()))
        except (ValueError, OverflowError):
            self.fail("invalid")


class Identifier(serializers.UUIDField):
    """A UUID in its usual form."""

    default_error_messages = {"invalid": "Expected a UUID such as 123e4567-e89b-12d3-a456-426614174000."}

    def to_internal_value(self, data: Any) -> UUID:
        if not isinstance(data, str):
            self.fail("invalid")
        try:
            found = UUID(data)
        except ValueError:
            self.fail("invalid")
        if str(found) != data.lower():
            self.fail("invalid")
        return found
