"""The shape of a question about a supply line, and of its answer."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail, ValidationError

from catalog.api.schemas import CautionAnswer, FindingAnswer, MissingAnswer, SourceAnswer
from catalog.api.shapes import CODE_LENGTH, MOST_FACTS, ApplicationShape, PartName, Value
from catalog.domain.answers import Basis, Verdict
from catalog.domain.supply.stages import StageKind
from catalog.domain.values import How
from catalog.usecases.supply_asked import SHARES
from service.http.fields import Choice, DecimalString, Identifier, Text
from service.http.serializers import StrictSerializer

MOST_CANDIDATES = 20
# What is only told settles no pressure and no phase, and a supply line is nothing else.
SEEN = tuple(how.value for how in How if how is not How.TOLD)


class StandInShape(StrictSerializer):
    """A part tried at a position of the line."""

    position = Text(max_length=CODE_LENGTH)
    part = PartName()


class StageFactShape(StrictSerializer):
    """Something measured on a stage, or read from its label; `stage` is its position, or the name it is recorded by."""

    stage = Text(max_length=CODE_LENGTH)
    attribute = Text(max_length=CODE_LENGTH)
    slot = Text(max_length=CODE_LENGTH, required=False, allow_null=True)
    value = Value()
    how = Choice(choices=SEEN)


class LoadShape(StrictSerializer):
    """What is asked of the engine, in one of three ways; full load where it is left out."""

    brake = Value(required=False, allow_null=True, help_text="Power at the shaft.")
    electrical = Value(required=False, allow_null=True, help_text="Power of the generator's load.")
    share = Value(required=False, allow_null=True, help_text="Share of full load.")


class CompositionShape(StrictSerializer):
    """What the fuel is made of, in per cent, by an analysis or a delivery note."""

    counted = Choice(choices=list(SHARES))
    parts = serializers.DictField(child=DecimalString(), allow_empty=False)


class SupplyCheckShape(StrictSerializer):
    """One question: does this engine's supply line give its fuel as it is needed, over these air temperatures?"""

    machine = Identifier(required=False, allow_null=True, help_text="A machine of yours, instead of application.")
    application = ApplicationShape(required=False, allow_null=True)
    fuel = Text(
        required=False, allow_null=True, max_length=CODE_LENGTH, help_text="Which line, where there are several."
    )
    air = Value(help_text="Coldest and hottest air, as a range of temperatures.")
    altitude = Value(required=False, allow_null=True, help_text="Sea level where it is left out.")
    air_pressure = Value(required=False, allow_null=True, help_text="Absolute, instead of the altitude.")
    fill = Value(required=False, allow_null=True, help_text="Share of the container that is liquid.")
    load = LoadShape(required=False, allow_null=True)
    composition = CompositionShape(required=False, allow_null=True)
    candidates: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=StandInShape(), required=False, max_length=MOST_CANDIDATES
    )
    facts: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=StageFactShape(), required=False, max_length=MOST_FACTS
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        for one, other in (("machine", "application"), ("altitude", "air_pressure")):
            if attrs.get(one) is not None and attrs.get(other) is not None:
                words = f"{one} and {other} say the same thing; give one of the two."
                raise ValidationError({other: [ErrorDetail(words, code="one_of_two")]})
        return attrs


class LineAnswer(serializers.Serializer[Any]):
    engine = serializers.CharField()
    fuel = serializers.CharField()


class KnownAnswer(serializers.Serializer[Any]):
    attribute = serializers.CharField()
    slot = serializers.CharField(allow_null=True)
    basis = serializers.RegexField(f"^({'|'.join(Basis)})$")
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class LineStageAnswer(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    stage = serializers.CharField()
    name = serializers.CharField()
    kind = serializers.RegexField(f"^({'|'.join(StageKind)})$")
    position = serializers.CharField(allow_null=True)
    part = serializers.CharField(allow_null=True)
    made_for = serializers.ListField(child=serializers.CharField())
    known = KnownAnswer(many=True)


class AxisAnswer(serializers.Serializer[Any]):
    unit = serializers.CharField()
    values = serializers.ListField(child=serializers.FloatField())


class PressureAxisAnswer(serializers.Serializer[Any]):
    unit = serializers.CharField()
    reference = serializers.CharField()


class SeriesAnswer(serializers.Serializer[Any]):
    stage = serializers.CharField()
    phase = serializers.CharField(allow_null=True)
    values = serializers.ListField(child=serializers.FloatField(allow_null=True))


class PlotAnswer(serializers.Serializer[Any]):
    """The pressure that reaches each stage, over the temperatures."""

    temperature = AxisAnswer()
    pressure = PressureAxisAnswer()
    series = SeriesAnswer(many=True)


class SupplyCheckAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    verdict = serializers.ChoiceField(choices=[(verdict.value, verdict.value) for verdict in Verdict])
    headline = serializers.CharField()
    machine = serializers.UUIDField(allow_null=True)
    line = LineAnswer()
    governing = serializers.CharField(allow_null=True, help_text="The stage that decides.")
    findings = FindingAnswer(many=True)
    conditions = serializers.ListField(child=serializers.CharField())
    missing = MissingAnswer(many=True)
    conflicts = serializers.ListField(child=serializers.CharField())
    cautions = CautionAnswer(many=True)
    assumptions = serializers.ListField(child=serializers.CharField())
    stages = LineStageAnswer(many=True)
    plot = PlotAnswer(allow_null=True)
    digest = serializers.CharField()
    catalogue_version = serializers.IntegerField()
    rulebook = serializers.IntegerField()
    checked_at = serializers.DateTimeField()
    checked_by = serializers.CharField()
