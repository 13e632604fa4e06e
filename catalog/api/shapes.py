"""The shape of what is sent: members, types and sizes. What the words mean is for the use cases to find."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from drf_spectacular.extensions import OpenApiSerializerFieldExtension
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail, ValidationError

from catalog.api import vocabulary
from catalog.domain.fuels import RecordMode
from catalog.domain.values import How
from catalog.models.part import NUMBER_LENGTH
from catalog.usecases.part_finding import LARGEST_ID
from catalog.usecases.told_facts import ABOUT
from service.http.fields import Choice, Day, Flag, Identifier, Text, Whole
from service.http.plain_reading import PlainReader
from service.http.serializers import StrictSerializer

CODE_LENGTH = 60
MAKER_LENGTH = 20
TEXT_LENGTH = 500
MOST_PARTS = 20
MOST_ADAPTERS = 5
MOST_FACTS = 200
MOST_RECORDS = 50
MOST_FUELS = 12
LARGEST_QUANTITY = 10_000
IN_ONE_WAY = "Name the part in one way: maker and number, or id."

_NAME = {
    "oneOf": [
        {"type": "string", "minLength": 1, "maxLength": NUMBER_LENGTH},
        {
            "type": "object",
            "properties": {
                "maker": {"type": "string", "minLength": 1, "maxLength": MAKER_LENGTH},
                "number": {"type": "string", "minLength": 1, "maxLength": NUMBER_LENGTH},
            },
            "required": ["maker", "number"],
            "additionalProperties": False,
        },
        {
            "type": "object",
            "properties": {"id": {"type": "integer", "minimum": 1, "maximum": LARGEST_ID}},
            "required": ["id"],
            "additionalProperties": False,
        },
    ]
}
_VALUE = {
    "description": "A quantity {value, unit, reference}, a range {min, max, unit, reference}, a text or a list of "
    'texts, true or false, a date, or {"state": "known_none" | "not_applicable"}. Numbers are decimal strings.',
    "type": ["object", "string", "array", "boolean"],
}


@extend_schema_field(_VALUE)
class Value(serializers.Field[Any, Any, Any, Any]):
    """Any JSON but null; it is read against its attribute's definition later."""

    def to_internal_value(self, data: Any) -> Any:
        return data


class NameShape(StrictSerializer):
    id = Whole(required=False, min_value=1, max_value=LARGEST_ID)
    maker = Text(required=False, max_length=MAKER_LENGTH)
    number = Text(required=False, max_length=NUMBER_LENGTH)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if set(attrs) not in ({"id"}, {"maker", "number"}):
            raise ValidationError(IN_ONE_WAY, code="part_not_named")
        return attrs


@cache
def _name() -> PlainReader:
    return PlainReader(NameShape())


@cache
def _bare() -> Text:
    return Text(max_length=NUMBER_LENGTH)


@extend_schema_field(_NAME)
class PartName(serializers.Field[Any, Any, Any, Any]):
    """A part by maker and number or by id; a bare number where only one part answers to it."""

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, str):
            return _bare().run_validation(data)
        if isinstance(data, Mapping):
            return _name().run_validation(data)
        raise ValidationError("Expected a number, or an object with maker and number, or with id.", code="invalid")


class DescribedAttributeShape(StrictSerializer):
    attribute = Text(max_length=CODE_LENGTH)
    slot = Text(max_length=CODE_LENGTH, required=False, allow_null=True)
    value = Value()


class DescribedShape(StrictSerializer):
    """Goods known only by what is written of them: never better than conditional."""

    category = Text(max_length=CODE_LENGTH)
    maker_text = Text(max_length=TEXT_LENGTH, required=False, allow_blank=True)
    number_text = Text(max_length=TEXT_LENGTH, required=False, allow_blank=True)
    supplied_as = Choice(choices=vocabulary.SUPPLIED_AS, required=False, allow_null=True)
    attributes: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=DescribedAttributeShape(), required=False, max_length=MOST_FACTS
    )


class ItemShape(StrictSerializer):
    """One part of a candidate: the part, how many, and the adapters it would be fitted with."""

    id = Whole(required=False, min_value=1, max_value=LARGEST_ID)
    maker = Text(required=False, max_length=MAKER_LENGTH)
    number = Text(required=False, max_length=NUMBER_LENGTH)
    part = PartName(required=False)
    described = DescribedShape(required=False)
    quantity = Whole(required=False, allow_null=True, min_value=1, max_value=LARGEST_QUANTITY)

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        # `with` is a word of Python's and can be no class attribute.
        adapters = serializers.ListField(child=PartName(), required=False, max_length=MOST_ADAPTERS)
        return {**super().get_fields(), "with": adapters}

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        named = set(attrs) - {"quantity", "with"}
        if named not in ({"id"}, {"maker", "number"}, {"part"}, {"described"}):
            raise ValidationError(f"{IN_ONE_WAY} Or describe it.", code="part_not_named")
        return attrs


@cache
def _item() -> PlainReader:
    return PlainReader(ItemShape())


class Candidate(serializers.Field[Any, Any, Any, Any]):
    """One part, or several that are offered together."""

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, str):
            return _bare().run_validation(data)
        if isinstance(data, Mapping):
            return _item().run_validation(data)
        if not isinstance(data, list) or not 1 <= len(data) <= MOST_PARTS:
            words = f"Expected a part, or a list of 1 to {MOST_PARTS} of {{part, quantity}}."
            raise ValidationError(words, code="invalid")
        return _each(data)


class CandidateDescription(OpenApiSerializerFieldExtension):  # type: ignore[no-untyped-call]
    """Describes a candidate by way of the generator, so that the shape it refers to is described as well."""

    target_class = Candidate

    def map_serializer_field(self, auto_schema: Any, direction: Any) -> dict[str, Any]:
        item = auto_schema.resolve_serializer(ItemShape, direction).ref
        bare = {"type": "string", "minLength": 1, "maxLength": NUMBER_LENGTH}
        return {"oneOf": [bare, item, {"type": "array", "items": item, "minItems": 1, "maxItems": MOST_PARTS}]}


def _each(entries: list[Any]) -> list[Any]:
    found: list[Any] = []
    faults: list[Any] = []
    for entry in entries:
        try:
            found.append(_item().run_validation(entry))
            faults.append({})
        except ValidationError as error:
            faults.append(error.detail)
    if any(faults):
        raise ValidationError(faults)
    return found


class SpecificationShape(StrictSerializer):
    model = Text(max_length=CODE_LENGTH)
    spec = Text(max_length=CODE_LENGTH)


def _fuels(**more: Any) -> serializers.ListField:
    return serializers.ListField(child=Text(max_length=CODE_LENGTH), max_length=MOST_FUELS, **more)


class FuelRecordShape(StrictSerializer):
    """What the engine was found burning. Only `only_fuel` takes the plate's place."""

    fuels = _fuels(min_length=1)
    mode = Choice(choices=[mode.value for mode in RecordMode])
    found_on = Day()
    conversion_paper = Flag(required=False, allow_null=True)
    by = Text(required=False, allow_null=True, max_length=TEXT_LENGTH)
    evidence = Text(required=False, allow_null=True, max_length=TEXT_LENGTH)


class ApplicationShape(StrictSerializer):
    """An engine as it stands. What is left out is unknown, never a default."""

    spec = SpecificationShape(required=False, allow_null=True)
    serial = Text(required=False, allow_null=True, max_length=TEXT_LENGTH)
    plate_fuels = _fuels(required=False)
    fuel_records: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=FuelRecordShape(), required=False, max_length=MOST_RECORDS
    )
    place_of_use = Text(required=False, allow_null=True, max_length=CODE_LENGTH)
    dusty = Flag(required=False, allow_null=True)
    certified = Flag(required=False, allow_null=True)
    ecu = Flag(required=False, allow_null=True)
    date = Day(required=False, allow_null=True)


class FactShape(StrictSerializer):
    about = Choice(choices=list(ABOUT))
    attribute = Text(max_length=CODE_LENGTH)
    slot = Text(max_length=CODE_LENGTH, required=False, allow_null=True)
    value = Value()
    how = Choice(choices=[how.value for how in How])


class OnAnEngine(StrictSerializer):
    """The engine a question is about: a machine of the dealer's, or its facts one by one."""

    machine = Identifier(required=False, allow_null=True, help_text="A machine of yours, instead of application.")
    application = ApplicationShape(required=False, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs.get("machine") is not None and attrs.get("application") is not None:
            words = "The machine stands for the application; give one of the two."
            raise ValidationError({"application": [ErrorDetail(words, code="machine_and_application")]})
        return attrs


class CheckShape(OnAnEngine):
    """One question: may this candidate stand at this position of this engine?"""

    candidate = Candidate()
    replaces = PartName(required=False, allow_null=True)
    position = Text(required=False, allow_null=True, max_length=CODE_LENGTH)
    facts: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=FactShape(), required=False, max_length=MOST_FACTS
    )


@cache
def _check() -> PlainReader:
    """One reader for every request: making the nested fields anew costs more than reading a body with them.

    Reading keeps nothing on the reader, so requests can share it.
    """
    return PlainReader(CheckShape())


def read_check(data: Any) -> dict[str, Any]:
    """The body, its shape checked. Raises DRF's ValidationError with every fault."""
    found: dict[str, Any] = _check().run_validation(data)
    return found
