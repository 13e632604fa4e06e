"""The shape of kits and of the steps they go through, as they are sent."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from typing import Any

from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail, ValidationError

from catalog.api.approval_shapes import REASON_LENGTH, PersonName
from catalog.api.shapes import CODE_LENGTH, LARGEST_QUANTITY, PartName
from kits.api.record_shapes import PERSON_LENGTH, ShownShape
from kits.api.service_fields import Hours
from kits.models.kit import WHY_LENGTH
from service.http.fields import Day, DecimalString, Flag, Identifier, Text, Whole
from service.http.plain_reading import PlainReader
from service.http.serializers import StrictSerializer

MOST_TASKS, MOST_EXTRAS, MOST_LINES = 200, 50, 500
MOST_DAYS = 3_650
MOST_LITRES = Decimal(10_000)
ONE_WAY = "Say what the kit is for in one way: level, tasks or due_within."


class DueWithinShape(StrictSerializer):
    """How far ahead: in hours of the engine, or in days. One of the two."""

    hours = DecimalString(required=False, places=1, least=Decimal(0), most=Decimal(100_000))
    days = Whole(required=False, min_value=0, max_value=MOST_DAYS)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if len(attrs) != 1:
            raise ValidationError("Give hours or days, one of the two.", code="hours_or_days")
        return attrs


class ExtraShape(StrictSerializer):
    """Goods put in besides. Without a position they are fitted nowhere, and no check is made."""

    part = PartName()
    quantity = Whole(min_value=1, max_value=LARGEST_QUANTITY)
    position = Text(required=False, allow_null=True, max_length=CODE_LENGTH)
    measured = Flag(required=False, help_text="Whether what decides its size was measured on the engine.")


EXTRAS = "What is put in besides the work; refused at a position where the kit has a part already."


def _extras(**more: Any) -> serializers.ListSerializer[Any]:
    told = {"help_text": EXTRAS, **more}
    return serializers.ListSerializer(child=ExtraShape(), required=False, max_length=MOST_EXTRAS, **told)


def _each_line_once(attrs: dict[str, Any], name: str) -> dict[str, Any]:
    """Two entries for one line would leave it open which of them counts."""
    lines = [entry["line"] for entry in attrs.get(name) or ()]
    faults = [
        {"line": [ErrorDetail(f"Line {line} stands in this list already.", code="twice")]} if line in lines[:at] else {}
        for at, line in enumerate(lines)
    ]
    if any(faults):
        raise ValidationError({name: faults})
    return attrs


class KitShape(StrictSerializer):
    machine = Identifier()
    branch = Text(required=False, max_length=40, help_text="Its code; may be left out where the dealer has one branch.")
    as_of = Day(required=False, help_text="The day the due list is read for; today where it is left out.")
    fitted_on = Day(
        required=False, help_text="The day of the service; that of the work order, else as_of, where it is left out."
    )
    level = Text(required=False, max_length=CODE_LENGTH)
    tasks = serializers.ListField(
        child=Text(max_length=CODE_LENGTH), required=False, min_length=1, max_length=MOST_TASKS
    )
    due_within = DueWithinShape(required=False)
    work_order = Text(required=False, allow_null=True, max_length=CODE_LENGTH, help_text="Its number or id.")
    extras = _extras()
    fitted_by_licensed = Flag(
        required=False, allow_null=True, help_text="Whether who fits it has the licence that some parts take."
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if sum(name in attrs for name in ("level", "tasks", "due_within")) != 1:
            raise ValidationError({"level": [ErrorDetail(ONE_WAY, code="in_one_way")]})
        return attrs


@cache
def kit_reader() -> PlainReader:
    return PlainReader(KitShape())


class LineChangeShape(StrictSerializer):
    """Another quantity for a line (litres for a fluid), or its removal; a reason is kept with it."""

    line = Whole(min_value=1, max_value=LARGEST_QUANTITY)
    remove = Flag(required=False)
    quantity = Whole(required=False, min_value=1, max_value=LARGEST_QUANTITY)
    litres = DecimalString(required=False, places=6, least=Decimal("0.000001"), most=MOST_LITRES)
    reason = Text(max_length=WHY_LENGTH)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if sum(bool(attrs.get(name)) for name in ("remove", "quantity", "litres")) != 1:
            raise ValidationError("Give remove, quantity or litres, one of the three.", code="in_one_way")
        return attrs


class KitChangeShape(StrictSerializer):
    """`extras` takes the place of all that was put in besides; what stays the same keeps what is reserved for it."""

    fitted_on = Day(required=False)
    work_order = Text(required=False, allow_null=True, max_length=CODE_LENGTH)
    extras = _extras()
    lines: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=LineChangeShape(), required=False, max_length=MOST_LINES
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        return _each_line_once(attrs, "lines")


class SettleShape(StrictSerializer):
    line = Whole(min_value=1, max_value=LARGEST_QUANTITY)
    part = PartName()
    person = PersonName(required=False, help_text="Who chose it; may be left out where the key is bound to a person.")


class ShortShape(StrictSerializer):
    line = Whole(min_value=1, max_value=LARGEST_QUANTITY)
    quantity = Whole(min_value=1, max_value=LARGEST_QUANTITY, help_text="Pieces that were not in their bins.")
    reason = Text(max_length=WHY_LENGTH)


class PickShape(StrictSerializer):
    """Everything reserved was taken from its bin but for what is `short`."""

    short: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=ShortShape(), required=False, max_length=MOST_LINES
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        return _each_line_once(attrs, "short")


class FollowShape(StrictSerializer):
    line = Whole(min_value=1, max_value=LARGEST_QUANTITY)
    reason = Text(max_length=WHY_LENGTH)


class RecordServiceShape(StrictSerializer):
    """That the work was done: lifetime hours, or what a meter showed, which is filed as a reading too.

    Neither where nobody wrote it down.
    """

    on = Day()
    by = Text(max_length=PERSON_LENGTH)
    hours = Hours(required=False, allow_null=True)
    reading = ShownShape(required=False, allow_null=True)
    note = Text(required=False, allow_null=True, max_length=REASON_LENGTH)


class FulfilShape(StrictSerializer):
    to_follow: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=FollowShape(), required=False, max_length=MOST_LINES
    )
    record_service = RecordServiceShape(required=False, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        return _each_line_once(attrs, "to_follow")


class CancelShape(StrictSerializer):
    reason = Text(required=False, allow_null=True, max_length=WHY_LENGTH)
