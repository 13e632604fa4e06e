"""What service records look like in answers, for the API's description alone."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from catalog.api.schemas import PageAnswer
from kits.api import vocabulary
from kits.api.plan_schemas import texts


class MachineName(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    name = serializers.CharField()


class PlanName(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    code = serializers.CharField()
    name = serializers.CharField()


class PlanNameAtVersion(PlanName):
    version = serializers.IntegerField()


class MissingFactAnswer(serializers.Serializer[Any]):
    fact = serializers.CharField()
    question = serializers.CharField()


class ServiceFileAnswer(serializers.Serializer[Any]):
    machine = MachineName()
    plan = PlanNameAtVersion(allow_null=True, help_text="The plan chosen for this machine.")
    in_service = serializers.DateField(allow_null=True)
    record_complete = serializers.BooleanField()
    holds = PlanNameAtVersion(allow_null=True, help_text="The plan that holds, chosen or the nearest for its engine.")
    missing = MissingFactAnswer(many=True)


class MeterAnswer(serializers.Serializer[Any]):
    code = serializers.CharField()
    unit = serializers.ChoiceField(choices=vocabulary.METER_UNITS)
    counts = serializers.ChoiceField(choices=vocabulary.COUNTS)
    fitted_on = serializers.DateField(allow_null=True)
    start = serializers.CharField(allow_null=True)
    removed_on = serializers.DateField(allow_null=True)
    removed_at = serializers.CharField(allow_null=True)
    removed_by = serializers.CharField(allow_null=True)


class MeterPage(PageAnswer):
    results = MeterAnswer(many=True)


class HeldAnswer(serializers.Serializer[Any]):
    reason = serializers.ChoiceField(choices=vocabulary.HELD_FOR)
    words = serializers.CharField()


class ReadingAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    meter = serializers.CharField()
    value = serializers.CharField(help_text="As typed off the meter, in its unit.")
    unit = serializers.ChoiceField(choices=vocabulary.METER_UNITS)
    on = serializers.DateField()
    at = serializers.DateTimeField(allow_null=True)
    entered_by = serializers.CharField()
    note = serializers.CharField(allow_null=True)
    review = serializers.ChoiceField(choices=vocabulary.REVIEWS)
    reviewed_by = serializers.CharField(allow_null=True)
    reviewed_at = serializers.DateTimeField(allow_null=True)
    held = HeldAnswer(allow_null=True, help_text="Why it is not believed; it moves no forecast.")


class ReadingPage(PageAnswer):
    results = ReadingAnswer(many=True)


class DayOfYearAnswer(serializers.Serializer[Any]):
    month = serializers.IntegerField()
    day = serializers.IntegerField()


class SeasonAnswer(serializers.Serializer[Any]):
    opens = DayOfYearAnswer()
    closes = DayOfYearAnswer()


class PeriodAnswer(serializers.Serializer[Any]):
    least = serializers.CharField()
    most = serializers.CharField()
    first = serializers.DateField(allow_null=True)
    last = serializers.DateField(allow_null=True)
    season = SeasonAnswer(allow_null=True)
    may_shift = serializers.IntegerField()


class UseProfileAnswer(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    said_on = serializers.DateField()
    said_by = serializers.CharField()
    severe = serializers.BooleanField(allow_null=True)
    periods = PeriodAnswer(many=True)


class UseProfilePage(PageAnswer):
    results = UseProfileAnswer(many=True)


class WithdrawnAnswer(serializers.Serializer[Any]):
    at = serializers.DateTimeField()
    by = serializers.CharField()
    reason = serializers.CharField()


class NumberedOrder(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    number = serializers.CharField()


class NumberName(serializers.Serializer[Any]):
    maker = serializers.CharField()
    number = serializers.CharField()


class UsedPartAnswer(serializers.Serializer[Any]):
    part = NumberName()
    quantity = serializers.IntegerField()
    position = serializers.CharField(allow_null=True)


class ServiceDoneAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    on = serializers.DateField()
    hours = serializers.CharField(allow_null=True, help_text="Lifetime hours.")
    plan = PlanName(allow_null=True)
    tasks = texts()
    levels = texts()
    work_order = NumberedOrder(allow_null=True)
    by = serializers.CharField()
    note = serializers.CharField(allow_null=True)
    parts = UsedPartAnswer(many=True)
    withdrawn = WithdrawnAnswer(allow_null=True)


class ServiceDonePage(PageAnswer):
    results = ServiceDoneAnswer(many=True)


class ObservationAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    kind = serializers.ChoiceField(choices=vocabulary.OBSERVATION_KINDS)
    on = serializers.DateField()
    by = serializers.CharField()
    note = serializers.CharField(allow_null=True)
    subject = serializers.CharField(allow_null=True)
    manufactured = serializers.DateField(allow_null=True)
    fitted = serializers.DateField(allow_null=True)
    task = serializers.CharField(allow_null=True)
    met = serializers.BooleanField(allow_null=True)
    event = serializers.CharField(allow_null=True)
    hours = serializers.CharField(allow_null=True)
    withdrawn = WithdrawnAnswer(allow_null=True)


class ObservationPage(PageAnswer):
    results = ObservationAnswer(many=True)
