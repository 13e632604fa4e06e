"""What service plans look like in answers, for the API's description alone."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from catalog.api import vocabulary as words
from catalog.api.engine_schemas import ApplicabilityAnswer
from catalog.api.machine_schemas import SpecificationName
from catalog.api.schemas import PageAnswer, PartSummary, SourceAnswer
from kits.api import vocabulary
from kits.domain.plan_documents import TRIGGERS

_SPAN = {
    "type": ["object", "null"],
    "properties": {"months": {"type": "integer"}, "days": {"type": "integer"}},
    "required": ["months", "days"],
}
_LIMITS = {"hours": {"type": ["string", "null"]}, "span": _SPAN}
_TRIGGER = {
    "type": "object",
    "description": "As it was sent, with every member of its kind: hours and span of every, once and first, anchor and "
    "first of every, of and times of every_nth, span and since of age_limit, question of on_condition, event of "
    "after_event.",
    "properties": {
        "kind": {"type": "string", "enum": list(TRIGGERS)},
        **_LIMITS,
        "anchor": {"type": "string", "enum": vocabulary.ANCHORS},
        "first": {"type": ["object", "null"], "properties": _LIMITS},
        "of": {"type": "string"},
        "times": {"type": "integer"},
        "since": {"type": "string", "enum": vocabulary.AGE_CLOCKS},
        "question": {"type": "string"},
        "event": {"type": "string"},
    },
    "required": ["kind"],
}


@extend_schema_field(_TRIGGER)
class TriggerAnswer(serializers.Field[Any, Any, Any, Any]):
    pass


@extend_schema_field({"type": ["integer", "string", "null"], "description": "Pieces, or a volume in its unit."})
class AmountAnswer(serializers.Field[Any, Any, Any, Any]):
    pass


def texts() -> serializers.ListField:
    return serializers.ListField(child=serializers.CharField())


class PlanApplicabilityAnswer(ApplicabilityAnswer):
    spec = SpecificationName(allow_null=True)


class ChoiceAnswer(serializers.Serializer[Any]):
    part = PartSummary()
    applicability = PlanApplicabilityAnswer(allow_null=True)
    nature = serializers.ChoiceField(choices=vocabulary.NATURES)


class TaskNeedAnswer(serializers.Serializer[Any]):
    position = serializers.CharField()
    choices = ChoiceAnswer(many=True)
    quantity = AmountAnswer()
    unit = serializers.CharField()
    per = serializers.ChoiceField(choices=vocabulary.PER)


class ToleranceAnswer(serializers.Serializer[Any]):
    percent = serializers.IntegerField()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class TaskAnswer(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()
    kind = serializers.ChoiceField(choices=vocabulary.TASK_KINDS)
    subject = serializers.CharField()
    trigger = TriggerAnswer()
    applicability = PlanApplicabilityAnswer(allow_null=True)
    who = serializers.ChoiceField(choices=vocabulary.WORKERS)
    severe_percent = serializers.IntegerField(allow_null=True)
    tolerance = ToleranceAnswer(allow_null=True)
    emission = serializers.BooleanField()
    warranty = serializers.BooleanField()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from
    parts = TaskNeedAnswer(many=True)
    opens = texts()


class LevelAnswer(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()
    tasks = texts()
    contains = texts()


class JointAnswer(serializers.Serializer[Any]):
    code = serializers.CharField()
    goods = TaskNeedAnswer(many=True, allow_null=True)


class PlanHead(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    code = serializers.CharField()
    name = serializers.CharField()
    shared = serializers.BooleanField()
    spec = SpecificationName(allow_null=True)
    maker = serializers.CharField(allow_null=True)
    model = serializers.CharField(allow_null=True)
    counts = serializers.ChoiceField(choices=vocabulary.COUNTS)
    status = serializers.ChoiceField(choices=words.STATUSES)
    version = serializers.IntegerField()


class PlanPage(PageAnswer):
    results = PlanHead(many=True)


class PlanAnswer(PlanHead):
    tasks = TaskAnswer(many=True)
    levels = LevelAnswer(many=True)
    joints = JointAnswer(many=True)
