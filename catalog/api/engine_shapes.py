"""The shape of engine specifications as an editor sends them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from catalog.api import vocabulary
from catalog.api.machine_shapes import MediumShape, PortShape, fuels
from catalog.api.part_shapes import NAME_LENGTH, RecordedValueShape
from catalog.api.shapes import CODE_LENGTH, LARGEST_QUANTITY, MAKER_LENGTH, MOST_FACTS
from service.http.fields import Choice, Flag, Text, Whole
from service.http.serializers import StrictSerializer

MOST_POSITIONS, MOST_STAGES, MOST_IN_A_PLACE = 200, 60, 20
MOST_CYLINDERS = 64


class DemandShape(RecordedValueShape):
    """What a position asks of one attribute."""

    basis = Choice(choices=vocabulary.DEMAND_BASES, required=False)


class InnerPositionShape(StrictSerializer):
    """A place where one category sits."""

    code = Text(max_length=CODE_LENGTH)
    name = Text(required=False, allow_blank=True, max_length=NAME_LENGTH)
    category = Text(max_length=CODE_LENGTH)
    quantity = Whole(required=False, allow_null=True, min_value=1, max_value=LARGEST_QUANTITY)
    branch = Text(required=False, allow_null=True, max_length=CODE_LENGTH)
    carries_fuel = Flag(required=False)
    adapter_forbidden = Text(required=False, allow_null=True, allow_blank=True, max_length=NAME_LENGTH)
    ports: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=PortShape(), required=False, max_length=MOST_IN_A_PLACE
    )
    media: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=MediumShape(), required=False, max_length=MOST_IN_A_PLACE
    )
    demands: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=DemandShape(), required=False, max_length=MOST_FACTS
    )


class PositionShape(InnerPositionShape):
    inside: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=InnerPositionShape(), required=False, max_length=MOST_IN_A_PLACE
    )


class StageShape(StrictSerializer):
    """One stage of a fuel's way through the engine, in the order given."""

    fuel = Text(max_length=CODE_LENGTH)
    kind = Text(max_length=CODE_LENGTH)
    name = Text(required=False, allow_blank=True, max_length=NAME_LENGTH)
    position = Text(max_length=CODE_LENGTH, required=False, allow_null=True)
    values: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=RecordedValueShape(), required=False, max_length=MOST_IN_A_PLACE
    )


class SpecificationChangeShape(StrictSerializer):
    """What is recorded of a build. It is withdrawn by its status, never deleted."""

    name = Text(required=False, allow_blank=True, max_length=NAME_LENGTH)
    cylinders = Whole(required=False, allow_null=True, min_value=1, max_value=MOST_CYLINDERS)
    heads = Whole(
        required=False,
        allow_null=True,
        min_value=1,
        max_value=MOST_CYLINDERS,
        help_text="Cylinder heads, such as 2 of a V engine.",
    )
    fuels = fuels(required=False)
    serial_prefixes = serializers.ListField(
        child=Text(max_length=20, allow_blank=True), required=False, max_length=MOST_IN_A_PLACE
    )
    status = Choice(choices=vocabulary.STATUSES, required=False)
    positions: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=PositionShape(), required=False, max_length=MOST_POSITIONS
    )
    supply_stages: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=StageShape(), required=False, max_length=MOST_STAGES
    )


class NewSpecificationShape(SpecificationChangeShape):
    maker = Text(max_length=MAKER_LENGTH)
    maker_name = Text(required=False, max_length=NAME_LENGTH, help_text="Needed where the maker is new.")
    model = Text(max_length=CODE_LENGTH)
    spec = Text(max_length=CODE_LENGTH)
