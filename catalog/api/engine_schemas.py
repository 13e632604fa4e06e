"""What answers about specifications, statements and supersessions look like, for the API's description alone."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from catalog.api import vocabulary
from catalog.api.machine_schemas import MediumAnswer, PortAnswer, SpecificationName
from catalog.api.schemas import AnyValue, ContentAnswer, PageAnswer, PartSummary, Provenance, SourceAnswer
from catalog.domain.answers import Basis
from catalog.domain.supply.stages import StageKind


def _texts() -> serializers.ListField:
    return serializers.ListField(child=serializers.CharField())


class SerialRangeAnswer(serializers.Serializer[Any]):
    first = serializers.IntegerField(allow_null=True)
    last = serializers.IntegerField(allow_null=True)
    prefix = serializers.CharField(allow_blank=True)


class ApplicabilityAnswer(serializers.Serializer[Any]):
    serials = SerialRangeAnswer(many=True)
    any_fuel = _texts()
    all_fuels = _texts()
    places = _texts()


class StatementAnswer(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    kind = serializers.ChoiceField(choices=vocabulary.STATEMENT_KINDS)
    part = PartSummary()
    spec = SpecificationName()
    position = serializers.CharField()
    by = serializers.CharField()
    applicability = ApplicabilityAnswer()
    status = serializers.ChoiceField(choices=vocabulary.STATUSES)
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class StatementPage(PageAnswer):
    results = StatementAnswer(many=True)


class SupersessionAnswer(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    kind = serializers.ChoiceField(choices=vocabulary.SUPERSESSION_KINDS)
    to = ContentAnswer(many=True)
    both_ways = serializers.BooleanField()
    spec = SpecificationName(allow_null=True)
    applicability = ApplicabilityAnswer()
    status = serializers.ChoiceField(choices=vocabulary.STATUSES)
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        # `from` is a word of Python's and can be no class attribute.
        return {**super().get_fields(), "from": ContentAnswer(many=True)}


class SupersessionPage(PageAnswer):
    results = SupersessionAnswer(many=True)


class StageValueAnswer(serializers.Serializer[Any]):
    attribute = serializers.CharField()
    slot = serializers.CharField(allow_null=True)
    value = AnyValue()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class PositionDemandAnswer(StageValueAnswer):
    basis = serializers.RegexField(f"^({'|'.join(Basis)})$")


class InnerPositionAnswer(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField(allow_blank=True)
    category = serializers.CharField()
    quantity = serializers.IntegerField(allow_null=True)
    branch = serializers.CharField(allow_null=True)
    carries_fuel = serializers.BooleanField()
    adapter_forbidden = serializers.CharField(allow_blank=True)
    ports = PortAnswer(many=True)
    media = MediumAnswer(many=True)
    demands = PositionDemandAnswer(many=True)
    parts = StatementAnswer(many=True)


class PositionAnswer(InnerPositionAnswer):
    inside = InnerPositionAnswer(many=True)


class StageAnswer(serializers.Serializer[Any]):
    fuel = serializers.CharField()
    kind = serializers.RegexField(f"^({'|'.join(StageKind)})$")
    name = serializers.CharField(allow_blank=True)
    position = serializers.CharField(allow_null=True)
    values = StageValueAnswer(many=True)


class SpecificationHead(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    maker = serializers.CharField()
    model = serializers.CharField()
    spec = serializers.CharField()
    name = serializers.CharField(allow_blank=True)
    cylinders = serializers.IntegerField(allow_null=True)
    heads = serializers.IntegerField(allow_null=True)
    fuels = _texts()
    serial_prefixes = _texts()
    status = serializers.ChoiceField(choices=vocabulary.STATUSES)


class SpecificationPage(PageAnswer, Provenance):
    results = SpecificationHead(many=True)


class SpecificationAnswer(SpecificationHead, Provenance):
    positions = PositionAnswer(many=True)
    supply_stages = StageAnswer(many=True)
