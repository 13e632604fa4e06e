"""The shape of parts and makers' statements as an editor sends them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from catalog.api import vocabulary
from catalog.api.machine_shapes import SourceShape, fuels
from catalog.api.shapes import (
    CODE_LENGTH,
    LARGEST_QUANTITY,
    MAKER_LENGTH,
    MOST_FACTS,
    PartName,
    SpecificationShape,
    Value,
)
from catalog.models.part import NUMBER_LENGTH
from service.http.fields import Choice, Flag, Text, Whole
from service.http.serializers import StrictSerializer

NAME_LENGTH = 200
MOST_BARCODES, MOST_CONTENTS, MOST_RANGES, MOST_PLACES = 50, 200, 50, 10
LARGEST_SERIAL = 10**18


class BarcodeShape(StrictSerializer):
    code = Text(max_length=40)
    pack_quantity = Whole(required=False, min_value=1, max_value=LARGEST_QUANTITY)


class RecordedValueShape(StrictSerializer):
    """One value from one source; several sources may disagree about one place."""

    attribute = Text(max_length=CODE_LENGTH)
    slot = Text(max_length=CODE_LENGTH, required=False, allow_null=True)
    value = Value()
    source = SourceShape()  # type: ignore[assignment] # the base's name for where it reads from


class ContentShape(StrictSerializer):
    part = PartName()
    quantity = Whole(required=False, min_value=1, max_value=LARGEST_QUANTITY)


class NeedShape(ContentShape):
    reason = Text(required=False, allow_null=True, max_length=NAME_LENGTH)


class PartChangeShape(StrictSerializer):
    """What is recorded of a part. A part is withdrawn by its status, never deleted."""

    name = Text(required=False, allow_blank=True, max_length=NAME_LENGTH)
    category = Text(required=False, max_length=CODE_LENGTH)
    status = Choice(choices=vocabulary.STATUSES, required=False)
    supplied_as = Choice(choices=vocabulary.SUPPLIED_AS, required=False, allow_null=True)
    condition = Choice(choices=vocabulary.CONDITIONS, required=False)
    matched_set = Flag(required=False, help_text="What it contains is only ever fitted together.")
    barcodes: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=BarcodeShape(), required=False, max_length=MOST_BARCODES
    )
    attributes: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=RecordedValueShape(), required=False, max_length=MOST_FACTS
    )
    contains: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=ContentShape(), required=False, max_length=MOST_CONTENTS
    )
    needs: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=NeedShape(), required=False, max_length=MOST_CONTENTS
    )


class PartShape(PartChangeShape):
    maker = Text(max_length=MAKER_LENGTH)
    maker_name = Text(required=False, max_length=NAME_LENGTH, help_text="Needed where the maker is new.")
    number = Text(max_length=NUMBER_LENGTH)
    category = Text(max_length=CODE_LENGTH)


class SerialRangeShape(StrictSerializer):
    """Serials of one block, both ends included; an end left out is open."""

    first = Whole(required=False, allow_null=True, min_value=0, max_value=LARGEST_SERIAL)
    last = Whole(required=False, allow_null=True, min_value=0, max_value=LARGEST_SERIAL)
    prefix = Text(required=False, allow_null=True, allow_blank=True, max_length=20)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        first, last = attrs.get("first"), attrs.get("last")
        if first is None and last is None:
            raise serializers.ValidationError("Give the first serial, the last, or both.", code="empty_range")
        if first is not None and last is not None and first > last:
            raise serializers.ValidationError("It ends before it starts; the smaller serial comes first.", code="order")
        return attrs


class ApplicabilityShape(StrictSerializer):
    """When it holds; what is left out asks nothing."""

    serials: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=SerialRangeShape(), required=False, max_length=MOST_RANGES
    )
    any_fuel = fuels(required=False)
    all_fuels = fuels(required=False)
    places = serializers.ListField(child=Text(max_length=CODE_LENGTH), required=False, max_length=MOST_PLACES)


class StatementShape(StrictSerializer):
    """What a maker says of a part at a position."""

    kind = Choice(choices=vocabulary.STATEMENT_KINDS)
    part = PartName()
    spec = SpecificationShape()
    position = Text(max_length=CODE_LENGTH)
    by = Text(max_length=MAKER_LENGTH, help_text="The maker who says it.")
    applicability = ApplicabilityShape(required=False)
    source = SourceShape()  # type: ignore[assignment] # the base's name for where it reads from


class StatementChangeShape(StrictSerializer):
    """A statement is said or withdrawn; one that says something else is another statement."""

    status = Choice(choices=vocabulary.STATUSES)
