"""The shape of approvals, outcomes, holds and work orders as they are sent."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import ValidationError

from catalog.api import vocabulary
from catalog.api.shapes import CODE_LENGTH
from catalog.usecases.part_finding import LARGEST_ID
from service.http.fields import Choice, Day, Identifier, Text
from service.http.serializers import StrictSerializer

LOGIN_LENGTH = 254
REASON_LENGTH = 1_000


@extend_schema_field(
    {
        "description": "A person of the dealer, by user name, address or id.",
        "oneOf": [
            {"type": "string", "minLength": 1, "maxLength": LOGIN_LENGTH},
            {"type": "integer", "minimum": 1, "maximum": LARGEST_ID},
        ],
    }
)
class PersonName(serializers.Field[Any, Any, Any, Any]):
    def to_internal_value(self, data: Any) -> str | int:
        if isinstance(data, int) and not isinstance(data, bool) and 1 <= data <= LARGEST_ID:
            return data
        if not isinstance(data, str):
            raise ValidationError("Expected a user name, or the id as a number.", code="invalid")
        return str(Text(max_length=LOGIN_LENGTH).run_validation(data))


class ApprovalShape(StrictSerializer):
    """A person's yes to a conditional check: for its machine, its position, its parts and its conditions alone."""

    person = PersonName(required=False, help_text="Who approves; may be left out where the key is bound to a person.")
    until = Day(help_text="The last day, in the dealer's zone.")
    work_order = Text(
        max_length=CODE_LENGTH, required=False, allow_null=True,
        help_text="Its number or id; the approval ends with it, if that is before the last day.",
    )  # fmt: skip
    reason = Text(max_length=REASON_LENGTH)
    licence = Text(
        max_length=CODE_LENGTH, required=False, allow_null=True, help_text="The number, to be held against the file."
    )

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        first = Day(required=False, allow_null=True, help_text="The first day; today where it is left out.")
        return {**super().get_fields(), "from": first}  # one of Python's own words


class ReasonShape(StrictSerializer):
    reason = Text(max_length=REASON_LENGTH)


class OutcomeShape(StrictSerializer):
    kind = Choice(choices=vocabulary.OUTCOME_KINDS)
    reported_on = Day(required=False, help_text="Today where it is left out.")
    note = Text(max_length=REASON_LENGTH, required=False, allow_null=True, lines=True)


class WorkOrderShape(StrictSerializer):
    number = Text(max_length=CODE_LENGTH, help_text="The dealer's own.")
    machine = Identifier(required=False, allow_null=True)
    planned_on = Day(required=False, allow_null=True, help_text="In the dealer's zone.")


class WorkOrderChangeShape(StrictSerializer):
    machine = Identifier(required=False, allow_null=True, help_text="Refused while an approval rests on the order.")
    planned_on = Day(required=False, allow_null=True)
    state = Choice(choices=vocabulary.WORK_STATES, required=False, help_text="Closed and cancelled are for good.")
