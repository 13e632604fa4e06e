"""What answers about orders look like, for the API's description alone."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import PolymorphicProxySerializer
from rest_framework import serializers

from catalog.api.schemas import PageAnswer, PartSummary
from kits.api import order_vocabulary as vocabulary
from kits.api.order_plan_schemas import OrderAmount, PartByNumber, texts


class MeantForAnswer(serializers.Serializer[Any]):
    kit = serializers.UUIDField()
    kit_number = serializers.IntegerField()
    line = serializers.IntegerField()
    machine = serializers.CharField()
    pieces = serializers.IntegerField()
    kept = serializers.IntegerField(help_text="Of them here already, and reserved for it.")
    volume = serializers.CharField(allow_null=True, help_text="Litres of containers that several kits share.")


class OrderLineAnswer(serializers.Serializer[Any]):
    line = serializers.IntegerField()
    part = PartSummary()
    content = serializers.CharField(allow_null=True, help_text="Litres in one container; null for pieces.")
    supplier_number = serializers.CharField(allow_null=True)
    packs = serializers.IntegerField()
    pack = serializers.IntegerField()
    pieces = serializers.IntegerField()
    price = OrderAmount(help_text="As it was that day, for price_for pieces.")
    price_for = serializers.IntegerField()
    cost = OrderAmount(help_text="Rounded by line, a half up.")
    core = OrderAmount(allow_null=True, help_text="Refundable, in no total.")
    returnable = serializers.BooleanField(allow_null=True)
    expected = serializers.DateField(allow_null=True, help_text="Null where nobody knows.")
    received = serializers.IntegerField()
    meant_for = MeantForAnswer(many=True)


class OrderSummary(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    number = serializers.IntegerField(help_text="This dealer's own count, without gaps.")
    supplier = serializers.CharField()
    supplier_name = serializers.CharField()
    branch = serializers.CharField()
    state = serializers.ChoiceField(choices=vocabulary.ORDER_STATES)
    plan = serializers.UUIDField(allow_null=True)
    currency = serializers.CharField()
    rounding = serializers.CharField()
    goods = OrderAmount()
    charge = OrderAmount()
    total = OrderAmount(help_text="Goods and charge.")
    core = OrderAmount(allow_null=True)
    expected = serializers.DateField(allow_null=True, help_text="The last of its lines of which it is known.")
    placed_at = serializers.DateTimeField()
    placed_by = serializers.CharField()
    ended_at = serializers.DateTimeField(allow_null=True)
    ended_by = serializers.CharField(allow_null=True)
    note = serializers.CharField(allow_blank=True)


class FreedGoods(serializers.Serializer[Any]):
    line = serializers.IntegerField()
    part = PartByNumber()
    pieces = serializers.IntegerField()
    volume = serializers.CharField(allow_null=True)
    expected = serializers.DateField(allow_null=True)


class FreedKit(serializers.Serializer[Any]):
    kit = serializers.UUIDField()
    goods = FreedGoods(many=True)


class OrderAnswer(OrderSummary):
    lines = OrderLineAnswer(many=True)
    notes = texts()
    freed = FreedKit(many=True, help_text="After it was cancelled: what is meant for those kits no more.")


class OrderPage(PageAnswer):
    results = OrderSummary(many=True)


class OrdersOfPlanAnswer(serializers.Serializer[Any]):
    orders = OrderAnswer(many=True)


OrderOrOrders = PolymorphicProxySerializer(
    component_name="OrderOrOrders", serializers=[OrderAnswer, OrdersOfPlanAnswer], resource_type_field_name=None
)
