"""What due lists look like in answers, for the API's description alone."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from catalog.api.schemas import PageAnswer, SourceAnswer
from kits.api import vocabulary
from kits.api.plan_schemas import texts
from kits.api.record_schemas import MachineName, MissingFactAnswer, PlanNameAtVersion


class LifetimeReadingAnswer(serializers.Serializer[Any]):
    on = serializers.DateField()
    hours = serializers.CharField()


class LifetimeAnswer(LifetimeReadingAnswer):
    age_days = serializers.IntegerField()


class WindowAnswer(serializers.Serializer[Any]):
    earliest = serializers.DateField(allow_null=True)
    likely = serializers.DateField(allow_null=True)
    latest = serializers.DateField(allow_null=True)


class LateAnswer(serializers.Serializer[Any]):
    hours = serializers.CharField()
    days = serializers.IntegerField()


class DuePointAnswer(serializers.Serializer[Any]):
    due_at_hours = serializers.CharField(allow_null=True)
    due_on = serializers.DateField(allow_null=True)
    open = serializers.ListField(
        child=serializers.RegexField("^(hours|date)$"),
        help_text="Limits that are the earliest there can be, or not known, until what is missing is told.",
    )
    may_be_late = LateAnswer()
    counted_from = serializers.CharField(allow_null=True)
    limits = serializers.CharField(allow_null=True)
    settled = serializers.BooleanField(help_text="Never due again, or not before something that has not happened.")


class DueTaskName(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()
    kind = serializers.ChoiceField(choices=vocabulary.TASK_KINDS)
    subject = serializers.CharField()
    who = serializers.ChoiceField(choices=vocabulary.WORKERS)
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class DueTaskAnswer(DuePointAnswer):
    task = DueTaskName()
    state = serializers.ChoiceField(choices=vocabulary.DUE_STATES)
    window = WindowAnswer(allow_null=True)
    decided_by = serializers.ChoiceField(choices=vocabulary.DECIDED_BY, allow_null=True)
    readings_used = LifetimeReadingAnswer(many=True)
    last_reading_age_days = serializers.IntegerField(allow_null=True)
    forecast_from = serializers.ChoiceField(choices=vocabulary.FORECAST_FROM, allow_null=True)
    if_severe = DuePointAnswer(allow_null=True, help_text="The point under severe duty, where nobody has told of it.")
    missing = MissingFactAnswer(many=True)
    words = serializers.CharField()


class HeldReadingAnswer(serializers.Serializer[Any]):
    meter = serializers.CharField()
    on = serializers.DateField()
    value = serializers.CharField()
    reason = serializers.ChoiceField(choices=vocabulary.HELD_FOR)
    words = serializers.CharField()


class HoursReachedAnswer(WindowAnswer):
    hours = serializers.CharField()


class HoursSeriesAnswer(serializers.Serializer[Any]):
    readings = LifetimeReadingAnswer(many=True)
    forecast = HoursReachedAnswer(many=True, help_text="Between which days the engine comes to so many hours.")


class DueCautionAnswer(serializers.Serializer[Any]):
    code = serializers.CharField()
    text = serializers.CharField()


class DueHead(serializers.Serializer[Any]):
    machine = MachineName()
    as_of = serializers.DateField()
    plan = PlanNameAtVersion(allow_null=True)
    lifetime = LifetimeAnswer(allow_null=True)
    missing = MissingFactAnswer(many=True)


class DueAnswer(DueHead):
    horizon_days = serializers.IntegerField(allow_null=True)
    held = HeldReadingAnswer(many=True)
    tasks = DueTaskAnswer(many=True)
    levels = texts()
    series = HoursSeriesAnswer()
    cautions = DueCautionAnswer(many=True)


class DueCustomer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    name = serializers.CharField()


class FleetDueAnswer(DueHead):
    customer = DueCustomer(allow_null=True)
    tasks = DueTaskAnswer(many=True)


class FleetDuePage(PageAnswer):
    results = FleetDueAnswer(many=True)
