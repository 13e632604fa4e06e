"""The shape of service files, meters, readings, use profiles, services done and observations as they are sent."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail, ValidationError

from catalog.api.shapes import CODE_LENGTH, LARGEST_QUANTITY, MOST_FACTS, TEXT_LENGTH, PartName
from kits.api import vocabulary
from kits.api.service_fields import DayOfYearShape, Hours, LocalInstant
from kits.usecases.observations import MEMBERS
from service.http.fields import Choice, Day, Flag, Identifier, Text, Whole
from service.http.serializers import StrictSerializer

METER_LENGTH, TYPED_LENGTH = 40, 20
PERSON_LENGTH = 200
MOST_PERIODS, MOST_CODES = 24, 200
MOST_SHIFT = 180
A_DAY = Decimal(24)


def codes() -> serializers.ListField:
    return serializers.ListField(child=Text(max_length=CODE_LENGTH), required=False, max_length=MOST_CODES)


def typed(**more: Any) -> Text:
    return Text(max_length=TYPED_LENGTH, help_text="As typed off the meter, in its unit.", **more)


class ServiceFileShape(StrictSerializer):
    """`record_complete` says that everything done since new is on file; only then is work not on file not done."""

    plan = Identifier(required=False, allow_null=True)
    in_service = Day(required=False, allow_null=True)
    record_complete = Flag(required=False)


class _RemovalShape(StrictSerializer):
    removed_on = Day(required=False, allow_null=True)
    removed_at = typed(required=False, allow_null=True)
    removed_by = Text(required=False, max_length=PERSON_LENGTH)


class ReplacedShape(_RemovalShape):
    """The meter taken off: what it showed, when (else the day the new one was fitted) and who took it off."""

    meter = Text(max_length=METER_LENGTH)


class MeterShape(StrictSerializer):
    """`start` is what it showed when it was fitted; left out it is unknown, and so are lifetime hours."""

    code = Text(max_length=METER_LENGTH)
    unit = Choice(choices=vocabulary.METER_UNITS)
    counts = Choice(choices=vocabulary.COUNTS)
    fitted_on = Day(required=False, allow_null=True)
    start = typed(required=False, allow_null=True)
    replaces = ReplacedShape(required=False, allow_null=True)

    def validate_code(self, code: str) -> str:
        if "/" in code:
            raise ValidationError("A slash cannot stand in a meter's code: it is part of its address.", code="invalid")
        return code


class MeterChangeShape(_RemovalShape):
    unit = Choice(choices=vocabulary.METER_UNITS, required=False)
    counts = Choice(choices=vocabulary.COUNTS, required=False)
    fitted_on = Day(required=False, allow_null=True)
    start = typed(required=False, allow_null=True)


class ReadingShape(StrictSerializer):
    """What a meter showed, on a day or at an instant. The meter may be left out where only one is on the machine."""

    meter = Text(required=False, max_length=METER_LENGTH)
    value = typed()
    on = Day(required=False)
    at = LocalInstant(required=False)
    branch = Text(required=False, max_length=CODE_LENGTH, help_text="In whose zone `at` is read; else the dealer's.")
    note = Text(required=False, allow_null=True, max_length=TEXT_LENGTH)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if ("on" in attrs) == ("at" in attrs):
            words = "Give the day in on, or the instant in at, and not both."
            raise ValidationError({"on": [ErrorDetail(words, code="day_or_instant")]})
        if "branch" in attrs and "at" not in attrs:
            words = "A branch says in whose zone an instant is read; give the instant in at, or leave the branch out."
            raise ValidationError({"branch": [ErrorDetail(words, code="day_or_instant")]})
        return attrs


class ReviewShape(StrictSerializer):
    """What a person says of a reading, once."""

    review = Choice(choices=vocabulary.VERDICTS_ON_READINGS)


class SeasonShape(StrictSerializer):
    """Comes back every year, both days in; one that closes before it opens runs over the new year."""

    opens = DayOfYearShape()
    closes = DayOfYearShape()


class PeriodShape(StrictSerializer):
    """Hours a day from the least to the most, within dates or a season; outside every period the machine stands."""

    least = Hours(most=A_DAY)
    most = Hours(most=A_DAY)
    first = Day(required=False, allow_null=True)
    last = Day(required=False, allow_null=True)
    season = SeasonShape(required=False, allow_null=True)
    may_shift = Whole(required=False, min_value=0, max_value=MOST_SHIFT, help_text="Days it moves from year to year.")


class UseProfileShape(StrictSerializer):
    """How a machine is used; `severe` left out is not known, and then both duties are reckoned with."""

    said_on = Day(required=False)
    said_by = Text(required=False, max_length=PERSON_LENGTH)
    severe = Flag(required=False, allow_null=True)
    periods: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=PeriodShape(), required=False, max_length=MOST_PERIODS
    )


class ShownShape(StrictSerializer):
    meter = Text(max_length=METER_LENGTH)
    value = typed()


class UsedPartShape(StrictSerializer):
    part = PartName()
    quantity = Whole(min_value=1, max_value=LARGEST_QUANTITY)
    position = Text(required=False, allow_null=True, max_length=CODE_LENGTH)


class ServiceDoneShape(StrictSerializer):
    """Tasks, levels or both of the plan that holds for the machine, or of the plan named.

    Hours are lifetime hours, or worked out from what a meter showed, which is filed as a reading too; left out they
    were not written down.
    """

    on = Day()
    hours = Hours(required=False, allow_null=True)
    reading = ShownShape(required=False, allow_null=True)
    plan = Identifier(required=False, allow_null=True)
    tasks = codes()
    levels = codes()
    work_order = Text(required=False, allow_null=True, max_length=CODE_LENGTH, help_text="Its number or id.")
    by = Text(required=False, max_length=PERSON_LENGTH)
    note = Text(required=False, allow_null=True, max_length=1000)
    parts: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=UsedPartShape(), required=False, max_length=MOST_FACTS
    )


class ObservationShape(StrictSerializer):
    """`part_fitted` takes subject with manufactured or fitted, `condition` task and met, `event` event and hours."""

    kind = Choice(choices=vocabulary.OBSERVATION_KINDS)
    on = Day(required=False)
    by = Text(required=False, max_length=PERSON_LENGTH)
    note = Text(required=False, allow_null=True, max_length=TEXT_LENGTH)
    subject = Text(required=False, max_length=CODE_LENGTH)
    manufactured = Day(required=False)
    fitted = Day(required=False)
    task = Text(required=False, max_length=CODE_LENGTH)
    met = Flag(required=False)
    event = Text(required=False, max_length=CODE_LENGTH)
    hours = Hours(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        kind, faults = attrs["kind"], dict[str, Any]()
        for name in ("subject", "manufactured", "fitted", "task", "met", "event", "hours"):
            if name in attrs and name not in MEMBERS[kind]:
                faults[name] = [ErrorDetail(f"A {kind} observation takes no {name}; leave it out.", code="not_of_kind")]
        for name in NEEDED[kind]:
            if name not in attrs:
                faults[name] = [ErrorDetail(f"A {kind} observation needs {name}.", code="required")]
        if kind == "part_fitted" and not {"manufactured", "fitted"} & set(attrs):
            words = "Give its date code in manufactured, the day it was fitted in fitted, or both."
            faults["manufactured"] = [ErrorDetail(words, code="required")]
        if faults:
            raise ValidationError(faults)
        return attrs


NEEDED = {"part_fitted": ("subject",), "condition": ("task", "met"), "event": ("event",)}
