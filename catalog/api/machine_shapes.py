"""The shape of customers, machines, fuel records and as-built positions as they are sent."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from catalog.api import vocabulary
from catalog.api.shapes import (
    CODE_LENGTH,
    LARGEST_QUANTITY,
    MOST_FUELS,
    TEXT_LENGTH,
    FuelRecordShape,
    PartName,
    SpecificationShape,
    Value,
)
from service.http.fields import Choice, Day, Flag, Identifier, Text, Whole
from service.http.serializers import StrictSerializer

NAME_LENGTH = 120
CUSTOMER_NAME_LENGTH = 200
SERIAL_LENGTH = 40
LICENCE_LENGTH = 60
PERSON_LENGTH = 200
CITATION_LENGTH = 400
MOST_PORTS = 10


def fuels(**more: Any) -> serializers.ListField:
    return serializers.ListField(child=Text(max_length=CODE_LENGTH), max_length=MOST_FUELS, **more)


class SourceShape(StrictSerializer):
    """Where a statement comes from."""

    kind = Choice(choices=vocabulary.SOURCE_KINDS)
    citation = Text(max_length=CITATION_LENGTH)


class CustomerShape(StrictSerializer):
    name = Text(max_length=CUSTOMER_NAME_LENGTH)


class CustomerChangeShape(StrictSerializer):
    name = Text(max_length=CUSTOMER_NAME_LENGTH, required=False)
    status = Choice(choices=vocabulary.STATUSES, required=False)


class _MachineFacts(StrictSerializer):
    """What is known of an engine. What is left out is unknown, never a default; null takes a fact away."""

    customer = Identifier(required=False, allow_null=True)
    spec = SpecificationShape(required=False, allow_null=True)
    serial = Text(required=False, allow_null=True, max_length=TEXT_LENGTH, help_text="As typed off the engine plate.")
    plate_fuels = fuels(required=False, allow_null=True)
    place_of_use = Text(required=False, allow_null=True, max_length=CODE_LENGTH)
    dusty = Flag(required=False, allow_null=True)
    certified = Flag(required=False, allow_null=True)
    ecu = Flag(required=False, allow_null=True)


class MachineShape(_MachineFacts):
    name = Text(max_length=NAME_LENGTH)


class MachineChangeShape(_MachineFacts):
    name = Text(max_length=NAME_LENGTH, required=False)
    status = Choice(choices=vocabulary.STATUSES, required=False)


class ConfirmationShape(StrictSerializer):
    """The licensed person who confirmed the equipment, on a day on which the licence was in force."""

    name = Text(max_length=PERSON_LENGTH)
    licence = Text(max_length=LICENCE_LENGTH)
    area = Text(max_length=LICENCE_LENGTH)
    expires = Day()
    on = Day()


class KeptFuelRecordShape(FuelRecordShape):
    by = Text(required=False, allow_null=True, max_length=PERSON_LENGTH)
    confirmed_by = ConfirmationShape(required=False, allow_null=True)


class PortShape(StrictSerializer):
    """The fuel service classes at one port; without the fuel they hold whatever is burned."""

    port = Text(max_length=CODE_LENGTH)
    fuel = Text(max_length=CODE_LENGTH, required=False, allow_null=True)
    classes = fuels(min_length=1)


class MediumShape(StrictSerializer):
    """Something the position's seals touch; without the slot every side touches it."""

    name = Text(max_length=CODE_LENGTH)
    slot = Text(max_length=CODE_LENGTH, required=False, allow_null=True)
    temperature = Value(required=False, allow_null=True)
    dynamic = Flag(required=False, allow_null=True)


class ReadOffShape(StrictSerializer):
    """What somebody read off a part that is not in the catalogue."""

    maker_text = Text(max_length=PERSON_LENGTH, required=False)
    number_text = Text(max_length=PERSON_LENGTH, required=False)


class AsBuiltChangeShape(StrictSerializer):
    """How a position stands on a converted machine: it takes the place of the specification's."""

    category = Text(max_length=CODE_LENGTH, required=False, allow_null=True)
    quantity = Whole(required=False, allow_null=True, min_value=1, max_value=LARGEST_QUANTITY)
    branch = Text(max_length=CODE_LENGTH, required=False, allow_null=True)
    ports: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=PortShape(), required=False, max_length=MOST_PORTS
    )
    media: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=MediumShape(), required=False, max_length=MOST_PORTS
    )
    part = PartName(required=False, allow_null=True)
    described = ReadOffShape(required=False, allow_null=True)
    removed = Flag(required=False)
    source = SourceShape(required=False)  # type: ignore[assignment] # the base's name for where it reads from


class AsBuiltShape(AsBuiltChangeShape):
    position = Text(max_length=CODE_LENGTH)
    source = SourceShape()
