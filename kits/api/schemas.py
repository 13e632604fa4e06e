"""What answers look like, for the API's description alone: answers are rendered as plain values, not through these."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from catalog.api.schemas import PageAnswer, PartSummary
from catalog.models import Status
from kits.api.shapes import NATURES, TRANSPORT_CLASSES


class MoneyAnswer(serializers.Serializer[Any]):
    amount = serializers.CharField()
    currency = serializers.CharField()


class VolumeAnswer(serializers.Serializer[Any]):
    value = serializers.CharField()
    unit = serializers.CharField()


class PromisedAnswer(serializers.Serializer[Any]):
    earliest = serializers.DateField()
    latest = serializers.DateField()


class CalendarAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    code = serializers.CharField()
    name = serializers.CharField()
    branch = serializers.CharField(allow_null=True, help_text="The branch whose calendar it is.")
    country = serializers.CharField(allow_null=True)
    subdivision = serializers.CharField(allow_null=True)
    worked_weekdays = serializers.ListField(child=serializers.IntegerField(), help_text="1 is Monday.")
    first_year = serializers.IntegerField()
    last_year = serializers.IntegerField()


class CalendarPage(PageAnswer):
    results = CalendarAnswer(many=True)


class CalendarDayAnswer(serializers.Serializer[Any]):
    date = serializers.DateField()
    closed = serializers.BooleanField(help_text="false: a holiday on which work is done all the same.")
    reason = serializers.CharField(allow_blank=True)


class CalendarDayPage(PageAnswer):
    results = CalendarDayAnswer(many=True)


class SupplierAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    code = serializers.CharField()
    name = serializers.CharField()
    zone = serializers.CharField()
    cut_off = serializers.CharField(allow_null=True, help_text="Orders in by then count from that day; in its zone.")
    currency = serializers.CharField()
    order_charge = MoneyAnswer(allow_null=True)
    minimum_value = MoneyAnswer(allow_null=True)
    calendar = serializers.UUIDField(allow_null=True)
    status = serializers.ChoiceField(choices=Status.choices)


class SupplierPage(PageAnswer):
    results = SupplierAnswer(many=True)


class PriceAnswer(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    supplier = serializers.CharField()
    part = PartSummary()
    content = VolumeAnswer(allow_null=True, help_text="What one container holds; null for goods by the piece.")
    supplier_number = serializers.CharField(allow_blank=True)
    price = MoneyAnswer()
    price_for = serializers.IntegerField(help_text="How many pieces the price is for.")
    pack = serializers.IntegerField()
    minimum = serializers.IntegerField()
    lead_days = serializers.IntegerField(allow_null=True, help_text="Days on which both sides work.")
    promised = PromisedAnswer(allow_null=True, help_text="On back-order: when it is promised.")
    core_charge = MoneyAnswer(allow_null=True)
    returnable = serializers.BooleanField(allow_null=True)

    def get_fields(self) -> dict[str, Any]:
        # `import` is a word of Python's and can be no class attribute.
        return {**super().get_fields(), "import": serializers.UUIDField(allow_null=True)}


class PricePage(PageAnswer):
    results = PriceAnswer(many=True)


class CountedBatchAnswer(serializers.Serializer[Any]):
    bin = serializers.CharField(allow_blank=True)
    date_code = serializers.DateField(allow_null=True)
    expires = serializers.DateField(allow_null=True)
    on_hand = serializers.IntegerField()
    reserved = serializers.IntegerField()
    never_free = serializers.CharField(allow_null=True, help_text="Why none of it may be promised: expired, and so on.")
    overpromised = serializers.IntegerField(help_text="Promised beyond what was counted.")


class OnOrderAnswer(serializers.Serializer[Any]):
    quantity = serializers.IntegerField()
    assigned = serializers.IntegerField()
    promised = PromisedAnswer(allow_null=True)
    supplier = serializers.CharField(allow_null=True)


class StockItemAnswer(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    branch = serializers.CharField()
    part = PartSummary()
    content = VolumeAnswer(allow_null=True)
    counter_price = MoneyAnswer(allow_null=True)
    ages = serializers.BooleanField()
    reorder_point = serializers.IntegerField(allow_null=True)
    as_of = serializers.DateField(help_text="The day they would be fitted, for which pieces are called free.")
    on_hand = serializers.IntegerField()
    reserved = serializers.IntegerField()
    free = serializers.IntegerField(help_text="On hand less promised; expired pieces are never counted.")
    incoming = serializers.IntegerField(help_text="On their way and meant for no job yet.")
    batches = CountedBatchAnswer(many=True)
    on_order = OnOrderAnswer(many=True)


class StockItemPage(PageAnswer):
    results = StockItemAnswer(many=True)


class HandlingAnswer(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    part = PartSummary()
    transport = serializers.ChoiceField(choices=TRANSPORT_CLASSES)
    un_number = serializers.CharField(allow_null=True)
    sheet_revision = serializers.CharField(allow_null=True)
    nature = serializers.ChoiceField(choices=NATURES)
    fitted_by_licence = serializers.BooleanField(allow_null=True)


class HandlingPage(PageAnswer):
    results = HandlingAnswer(many=True)
