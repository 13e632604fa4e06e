"""The shape of what is sent about calendars, suppliers, prices, stock and handling: members, types and sizes."""

from __future__ import annotations

import re
from datetime import time
from decimal import Decimal
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from catalog.api import vocabulary
from catalog.api.shapes import PartName
from kits.domain.packing import Nature, TransportClass
from kits.models.calendar import FIRST_YEAR, LAST_YEAR
from kits.models.handling import REVISION_LENGTH
from kits.models.stock import BIN_LENGTH
from service.http.fields import Choice, Day, DecimalString, Flag, Identifier, Text, Whole
from service.http.serializers import StrictSerializer

CODE_LENGTH, NAME_LENGTH, ZONE_LENGTH, UNIT_LENGTH, NUMBER_LENGTH = 40, 200, 64, 20, 80
LARGEST_COUNT, LARGEST_LEAD, MOST_BATCHES = 10_000_000, 1_000, 200
CURRENCY_LENGTH = 3
_CODE = re.compile(r"[A-Za-z0-9_-]+", re.ASCII)
_TIME = re.compile(r"([01]\d|2[0-3]):[0-5]\d", re.ASCII)
TRANSPORT_CLASSES = [word.value for word in TransportClass]
NATURES = [word.value for word in Nature]


class Code(Text):
    """A short name in addresses and files."""

    default_error_messages = {"not_a_code": "Use letters, digits, - and _ alone."}

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=CODE_LENGTH, **kwargs)

    def to_internal_value(self, data: Any) -> str:
        text = super().to_internal_value(data)
        if not _CODE.fullmatch(text):
            self.fail("not_a_code")
        return text


@extend_schema_field({"type": "string", "pattern": f"^{_TIME.pattern}$"})
class ClockTime(serializers.Field[time, Any, str, Any]):
    """A time of day as `15:00`, in a zone that stands beside it."""

    default_error_messages = {"invalid": "Expected a time of day such as 15:00."}

    def to_internal_value(self, data: Any) -> time:
        if not isinstance(data, str) or not _TIME.fullmatch(data):
            self.fail("invalid")
        return time.fromisoformat(data)

    def to_representation(self, value: time) -> str:
        return value.isoformat("minutes")


class MoneyShape(StrictSerializer):
    amount = DecimalString(places=4, least=Decimal(0), most=Decimal(10**10))
    currency = Text(min_length=CURRENCY_LENGTH, max_length=CURRENCY_LENGTH)


class ContainerSizeShape(StrictSerializer):
    value = DecimalString(least=Decimal(0), most=Decimal(10**6))
    unit = Text(max_length=UNIT_LENGTH)


class PromiseShape(StrictSerializer):
    earliest = Day()
    latest = Day()


class CalendarChangeShape(StrictSerializer):
    code = Code(required=False)
    name = Text(required=False, max_length=NAME_LENGTH)
    branch = Text(required=False, allow_null=True, max_length=CODE_LENGTH)
    country = Text(required=False, allow_null=True, min_length=2, max_length=2)
    subdivision = Text(required=False, allow_null=True, max_length=6)
    worked_weekdays = serializers.ListField(
        child=Whole(min_value=1, max_value=7), required=False, min_length=1, max_length=7
    )
    first_year = Whole(required=False, min_value=FIRST_YEAR, max_value=LAST_YEAR)
    last_year = Whole(required=False, min_value=FIRST_YEAR, max_value=LAST_YEAR)


class CalendarShape(CalendarChangeShape):
    code = Code()
    name = Text(max_length=NAME_LENGTH)
    first_year = Whole(min_value=FIRST_YEAR, max_value=LAST_YEAR)
    last_year = Whole(min_value=FIRST_YEAR, max_value=LAST_YEAR)


class CalendarDayShape(StrictSerializer):
    date = Day()
    closed = Flag(default=True)
    reason = Text(required=False, allow_blank=True, max_length=NAME_LENGTH)


class SupplierChangeShape(StrictSerializer):
    code = Code(required=False)
    name = Text(required=False, max_length=NAME_LENGTH)
    zone = Text(required=False, max_length=ZONE_LENGTH)
    cut_off = ClockTime(required=False, allow_null=True)
    currency = Text(required=False, max_length=CURRENCY_LENGTH)
    order_charge = MoneyShape(required=False, allow_null=True)
    minimum_value = MoneyShape(required=False, allow_null=True)
    calendar = Identifier(required=False, allow_null=True)
    status = Choice(choices=vocabulary.STATUSES, required=False)


class SupplierShape(SupplierChangeShape):
    code = Code()
    name = Text(max_length=NAME_LENGTH)
    zone = Text(max_length=ZONE_LENGTH)
    currency = Text(max_length=CURRENCY_LENGTH)


class PriceChangeShape(StrictSerializer):
    supplier_number = Text(required=False, allow_blank=True, max_length=NUMBER_LENGTH)
    price = MoneyShape(required=False)
    price_for = Whole(required=False, min_value=1, max_value=LARGEST_COUNT)
    pack = Whole(required=False, min_value=1, max_value=LARGEST_COUNT)
    minimum = Whole(required=False, min_value=0, max_value=LARGEST_COUNT)
    lead_days = Whole(required=False, allow_null=True, min_value=0, max_value=LARGEST_LEAD)
    promised = PromiseShape(required=False, allow_null=True)
    core_charge = MoneyShape(required=False, allow_null=True)
    returnable = Flag(required=False, allow_null=True)


class SupplierPriceShape(PriceChangeShape):
    supplier = Text(max_length=CODE_LENGTH)
    part = PartName()
    content = ContainerSizeShape(required=False, allow_null=True)
    price = MoneyShape()
    pack = Whole(min_value=1, max_value=LARGEST_COUNT)
    minimum = Whole(min_value=0, max_value=LARGEST_COUNT)


class CountedBatchShape(StrictSerializer):
    bin = Text(required=False, allow_blank=True, max_length=BIN_LENGTH)
    date_code = Day(required=False, allow_null=True)
    expires = Day(required=False, allow_null=True)
    on_hand = Whole(min_value=0, max_value=LARGEST_COUNT)


class StockItemChangeShape(StrictSerializer):
    counter_price = MoneyShape(required=False, allow_null=True)
    ages = Flag(required=False)
    reorder_point = Whole(required=False, allow_null=True, min_value=0, max_value=LARGEST_COUNT)
    batches: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=CountedBatchShape(), required=False, max_length=MOST_BATCHES
    )


class StockItemShape(StockItemChangeShape):
    branch = Text(max_length=CODE_LENGTH)
    part = PartName()
    content = ContainerSizeShape(required=False, allow_null=True)


class HandlingChangeShape(StrictSerializer):
    transport = Choice(choices=TRANSPORT_CLASSES, required=False)
    un_number = Text(required=False, allow_null=True, max_length=10)
    sheet_revision = Text(required=False, allow_null=True, max_length=REVISION_LENGTH)
    nature = Choice(choices=NATURES, required=False)
    fitted_by_licence = Flag(required=False, allow_null=True)


class HandlingShape(HandlingChangeShape):
    part = PartName()
