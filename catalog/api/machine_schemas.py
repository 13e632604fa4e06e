"""What answers about customers and machines look like, for the API's description alone."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter
from rest_framework import serializers

from catalog.api import vocabulary
from catalog.api.schemas import AnyValue, PageAnswer, PartSummary, SourceAnswer

IF_MATCH = OpenApiParameter(
    "If-Match", str, OpenApiParameter.HEADER, description="The ETag of what was read, so that no change is lost."
)


def _texts() -> serializers.ListField:
    return serializers.ListField(child=serializers.CharField())


class CustomerAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    name = serializers.CharField()
    status = serializers.ChoiceField(choices=vocabulary.STATUSES)


class CustomerPage(PageAnswer):
    results = CustomerAnswer(many=True)


class SpecificationName(serializers.Serializer[Any]):
    model = serializers.CharField()
    spec = serializers.CharField()


class MachineHead(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    name = serializers.CharField()
    customer = CustomerAnswer(allow_null=True)
    spec = SpecificationName(allow_null=True)
    serial = serializers.CharField(allow_null=True)
    plate_fuels = _texts()
    place_of_use = serializers.CharField(allow_null=True)
    dusty = serializers.BooleanField(allow_null=True)
    certified = serializers.BooleanField(allow_null=True)
    ecu = serializers.BooleanField(allow_null=True)
    status = serializers.ChoiceField(choices=vocabulary.STATUSES)


class MachinePage(PageAnswer):
    results = MachineHead(many=True)


class ConfirmationAnswer(serializers.Serializer[Any]):
    name = serializers.CharField()
    licence = serializers.CharField()
    area = serializers.CharField()
    expires = serializers.DateField()
    on = serializers.DateField()


class FuelRecordAnswer(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    fuels = _texts()
    mode = serializers.ChoiceField(choices=vocabulary.RECORD_MODES)
    found_on = serializers.DateField()
    by = serializers.CharField(allow_null=True)
    evidence = serializers.CharField(allow_null=True)
    conversion_paper = serializers.BooleanField()
    confirmed_by = ConfirmationAnswer(allow_null=True)


class FuelRecordPage(PageAnswer):
    results = FuelRecordAnswer(many=True)


class PortAnswer(serializers.Serializer[Any]):
    port = serializers.CharField()
    fuel = serializers.CharField(allow_null=True)
    classes = _texts()


class MediumAnswer(serializers.Serializer[Any]):
    name = serializers.CharField()
    slot = serializers.CharField(allow_null=True)
    temperature = AnyValue()
    dynamic = serializers.BooleanField(allow_null=True)


class ReadOffAnswer(serializers.Serializer[Any]):
    maker_text = serializers.CharField(allow_blank=True)
    number_text = serializers.CharField(allow_blank=True)


class AsBuiltAnswer(serializers.Serializer[Any]):
    position = serializers.CharField()
    category = serializers.CharField(allow_null=True)
    quantity = serializers.IntegerField(allow_null=True)
    branch = serializers.CharField(allow_null=True)
    ports = PortAnswer(many=True)
    media = MediumAnswer(many=True)
    part = PartSummary(allow_null=True)
    described = ReadOffAnswer(allow_null=True)
    removed = serializers.BooleanField()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class AsBuiltPage(PageAnswer):
    results = AsBuiltAnswer(many=True)


class MachineAnswer(MachineHead):
    fuel_records = FuelRecordAnswer(many=True)
    as_built = AsBuiltAnswer(many=True)
