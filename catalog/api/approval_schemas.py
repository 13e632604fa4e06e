"""What answers about approvals, outcomes, holds and work orders look like, for the API's description alone."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from catalog.api import vocabulary
from catalog.api.machine_schemas import SpecificationName
from catalog.api.schemas import PageAnswer, PartSummary


def _texts() -> serializers.ListField:
    return serializers.ListField(child=serializers.CharField())


class PrintedName(serializers.Serializer[Any]):
    maker = serializers.CharField(allow_blank=True)
    number = serializers.CharField(allow_blank=True)


class BoundPartAnswer(PrintedName):
    quantity = serializers.IntegerField(allow_null=True)

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        return {**super().get_fields(), "with": PrintedName(many=True)}


class ApproverAnswer(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    name = serializers.CharField()


class LicenceAnswer(serializers.Serializer[Any]):
    number = serializers.CharField()
    area = serializers.CharField(allow_blank=True)
    expires = serializers.DateField(allow_null=True)


class OrderName(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    number = serializers.CharField()


class ByAnswer(serializers.Serializer[Any]):
    at = serializers.DateTimeField()
    by = serializers.CharField()


class SettledAnswer(ByAnswer):
    reason = serializers.CharField()


class ApprovalAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    check = serializers.UUIDField()
    machine = serializers.UUIDField()
    position = serializers.CharField()
    parts = BoundPartAnswer(many=True)
    conditions = _texts()
    person = ApproverAnswer()
    role = serializers.ChoiceField(choices=vocabulary.APPROVERS)
    licence = LicenceAnswer(allow_null=True, help_text="As it was on file that day.")
    until = serializers.DateField()
    work_order = OrderName(allow_null=True)
    reason = serializers.CharField()
    approved_at = serializers.DateTimeField()
    entered_by = serializers.CharField()
    withdrawn = SettledAnswer(allow_null=True)
    applies = serializers.BooleanField(help_text="At the moment of asking.")
    why_not = serializers.ChoiceField(choices=vocabulary.LAPSES, allow_null=True)

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        return {**super().get_fields(), "from": serializers.DateField()}


class ApprovalPage(PageAnswer):
    results = ApprovalAnswer(many=True)


class HoldAnswer(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    part = PartSummary()
    spec = SpecificationName()
    position = serializers.CharField()
    kind = serializers.ChoiceField(choices=vocabulary.OUTCOME_KINDS)
    reported_on = serializers.DateField()
    note = serializers.CharField(allow_null=True)
    state = serializers.ChoiceField(
        choices=vocabulary.HOLD_STATES, help_text="For the dealer who reported it, for everybody, or closed."
    )
    confirmed = ByAnswer(allow_null=True)
    closed = SettledAnswer(allow_null=True)


class HoldPage(PageAnswer):
    results = HoldAnswer(many=True)


class OutcomeAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    check = serializers.UUIDField()
    kind = serializers.ChoiceField(choices=vocabulary.OUTCOME_KINDS)
    reported_on = serializers.DateField()
    by = serializers.CharField()
    note = serializers.CharField(allow_null=True)
    recorded_at = serializers.DateTimeField()
    holds = HoldAnswer(many=True)


class OutcomePage(PageAnswer):
    results = OutcomeAnswer(many=True)


class WorkOrderAnswer(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    number = serializers.CharField()
    machine = serializers.UUIDField(allow_null=True)
    state = serializers.ChoiceField(choices=vocabulary.WORK_STATES)
    planned_on = serializers.DateField(allow_null=True)


class WorkOrderPage(PageAnswer):
    results = WorkOrderAnswer(many=True)
