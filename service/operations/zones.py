"""IANA zone names, checked where they are written so that no reader has to."""

from __future__ import annotations

from zoneinfo import available_timezones

from django.core.exceptions import ValidationError


def validate_zone(name: str) -> None:
    if name not in available_timezones():
        raise ValidationError(f"{name!r} is no IANA time zone; give one such as Europe/Paris.", code="zone")
