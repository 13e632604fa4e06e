"""The ways in which a task falls due, each with a shape of its own; `kind` says which."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from drf_spectacular.extensions import OpenApiSerializerFieldExtension
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail, ValidationError

from catalog.api.shapes import CODE_LENGTH, TEXT_LENGTH
from kits.api import vocabulary
from kits.api.service_fields import Hours, SpanShape
from service.http.fields import Choice, Text, Whole
from service.http.serializers import StrictSerializer

MOST_TIMES = 1_000


class LimitsShape(StrictSerializer):
    """Lifetime hours, a span of the calendar, or both: whichever comes first."""

    hours = Hours(required=False, allow_null=True)
    span = SpanShape(required=False, allow_null=True)


class EveryShape(LimitsShape):
    """Again and again. `first` is the break-in service; `anchor` says what the next interval is counted from."""

    kind = Choice(choices=["every"])
    anchor = Choice(choices=vocabulary.ANCHORS, required=False)
    first = LimitsShape(required=False, allow_null=True)


class OnceShape(LimitsShape):
    """One time in the engine's life, counted from new."""

    kind = Choice(choices=["once"])


class EveryNthShape(StrictSerializer):
    """With every so-manieth time of another task."""

    kind = Choice(choices=["every_nth"])
    of = Text(max_length=CODE_LENGTH)
    times = Whole(min_value=1, max_value=MOST_TIMES)


class AgeLimitShape(StrictSerializer):
    """So old and no older, since its date code or its fitting."""

    kind = Choice(choices=["age_limit"])
    span = SpanShape()
    since = Choice(choices=vocabulary.AGE_CLOCKS)


class OnConditionShape(StrictSerializer):
    """When something is seen; `question` asks for it at the machine."""

    kind = Choice(choices=["on_condition"])
    question = Text(max_length=TEXT_LENGTH)


class BeforeSeasonShape(StrictSerializer):
    """Before each season of the machine's use profile opens."""

    kind = Choice(choices=["before_season"])


class BeforeStorageShape(StrictSerializer):
    """When each season of the machine's use profile closes."""

    kind = Choice(choices=["before_storage"])


class AfterEventShape(StrictSerializer):
    """After flood, over-speed, a change of fuel and the like."""

    kind = Choice(choices=["after_event"])
    event = Text(max_length=CODE_LENGTH)


SHAPES: Mapping[str, type[StrictSerializer]] = {
    "every": EveryShape,
    "once": OnceShape,
    "every_nth": EveryNthShape,
    "age_limit": AgeLimitShape,
    "on_condition": OnConditionShape,
    "before_season": BeforeSeasonShape,
    "before_storage": BeforeStorageShape,
    "after_event": AfterEventShape,
}


@cache
def _shape(kind: str) -> StrictSerializer:
    return SHAPES[kind]()


class TriggerField(serializers.Field[Any, Any, Any, Any]):
    """One way of falling due, read by the shape of its kind."""

    def to_internal_value(self, data: Any) -> Any:
        if not isinstance(data, Mapping):
            raise ValidationError('Expected an object such as {"kind": "every", "hours": "250"}.', code="invalid")
        kind = data.get("kind")
        if not isinstance(kind, str) or kind not in SHAPES:
            given = "is missing" if kind is None else f"{str(kind)[:40]!r} is none of them"
            words = f"A trigger's kind is one of {', '.join(SHAPES)}; it {given}."
            raise ValidationError({"kind": [ErrorDetail(words, code="invalid_choice")]})
        return _shape(kind).run_validation(data)


class TriggerDescription(OpenApiSerializerFieldExtension):  # type: ignore[no-untyped-call]
    """Describes a trigger as one of its shapes, told apart by their kind."""

    target_class = TriggerField

    def map_serializer_field(self, auto_schema: Any, direction: Any) -> dict[str, Any]:
        shapes = {kind: auto_schema.resolve_serializer(shape, direction).ref for kind, shape in SHAPES.items()}
        mapping = {kind: shape["$ref"] for kind, shape in shapes.items()}
        return {"oneOf": list(shapes.values()), "discriminator": {"propertyName": "kind", "mapping": mapping}}
