"""Fields of service work: hours with a tenth at most, spans of the calendar, days that come back every year."""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import MAXYEAR, MINYEAR, datetime
from decimal import Decimal
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail, ValidationError

from kits.domain.engine_hours import HOUR
from service.http.fields import DecimalString, Whole
from service.http.serializers import StrictSerializer

MOST_HOURS = Decimal(1_000_000)
MOST_MONTHS, MOST_DAYS = 1_200, 36_600
LEAP_YEAR = 2024  # every day of the year is a day of it
_LOCAL = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt][0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,6})?)?([Zz]|[+-][0-9]{2}:[0-9]{2})?", re.ASCII
)


class Hours(DecimalString):
    """Hours as a decimal string with one digit after the point at most; read as whole tenths."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(places=1, least=Decimal(0), most=kwargs.pop("most", MOST_HOURS), **kwargs)

    def to_internal_value(self, data: Any) -> int:  # type: ignore[override] # tenths are what hours are counted in
        return int(super().to_internal_value(data) * HOUR)


class SpanShape(StrictSerializer):
    """Calendar months and days, together a day at least."""

    months = Whole(required=False, min_value=0, max_value=MOST_MONTHS)
    days = Whole(required=False, min_value=0, max_value=MOST_DAYS)


class DayOfYearShape(StrictSerializer):
    """A day that comes back every year; 29 February is the 28th in other years."""

    month = Whole(min_value=1, max_value=12)
    day = Whole(min_value=1, max_value=31)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        longest = monthrange(LEAP_YEAR, attrs["month"])[1]
        if attrs["day"] > longest:
            words = f"Month {attrs['month']} has at most {longest} days."
            raise ValidationError({"day": [ErrorDetail(words, code="invalid")]})
        return attrs


@extend_schema_field(
    {
        "type": "string",
        "pattern": f"^{_LOCAL.pattern}$",
        "examples": ["2026-03-09T10:15:00+01:00", "2026-03-09T10:15"],
        "description": "An instant with its offset; without one a time of day in the zone of the branch or the dealer.",
    }
)
class LocalInstant(serializers.Field[datetime, Any, str, Any]):
    """A time of day, with its offset or without."""

    default_error_messages = {"invalid": "Expected a time such as 2026-03-09T10:15, or with its offset, +01:00 or Z."}

    def to_internal_value(self, data: Any) -> datetime:
        if not isinstance(data, str) or not _LOCAL.fullmatch(data):
            self.fail("invalid")
        try:
            found = datetime.fromisoformat(data.upper())
        except ValueError:
            self.fail("invalid")
        if not MINYEAR < found.year < MAXYEAR:  # at the calendar's ends there is a zone in which it has no date
            self.fail("invalid")
        return found
