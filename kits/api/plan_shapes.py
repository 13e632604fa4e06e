"""The shape of service plans as they are sent: what is done, when it falls due, and which parts it takes."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.exceptions import ValidationError

from catalog.api.machine_shapes import SourceShape
from catalog.api.part_shapes import ApplicabilityShape
from catalog.api.shapes import CODE_LENGTH, LARGEST_QUANTITY, MAKER_LENGTH, PartName, SpecificationShape
from catalog.api.vocabulary import STATUSES
from kits.api import vocabulary
from kits.api.trigger_shapes import TriggerField
from service.http.fields import DECIMAL, Choice, Flag, Text, Whole
from service.http.serializers import StrictSerializer

NAME_LENGTH = 200
UNIT_LENGTH = 20
MOST_TASKS, MOST_LEVELS, MOST_JOINTS = 200, 40, 100
MOST_NEEDS, MOST_CHOICES = 40, 20


class PlanApplicabilityShape(ApplicabilityShape):
    """When it holds, where the plan is for several builds narrowed to one; what is left out asks nothing."""

    spec = SpecificationShape(required=False, allow_null=True)


class ChoiceShape(StrictSerializer):
    """A part that the position takes where its applicability holds."""

    part = PartName()
    applicability = PlanApplicabilityShape(required=False, allow_null=True)
    nature = Choice(choices=vocabulary.NATURES, required=False)


@extend_schema_field(
    {
        "description": 'Pieces as a whole number with the unit "each", or a volume as a decimal string with its unit.',
        "type": ["integer", "string"],
        "minimum": 1,
        "maximum": LARGEST_QUANTITY,
        "pattern": f"^{DECIMAL.pattern}$",
    }
)
class Amount(serializers.Field[Any, Any, Any, Any]):
    """Whole pieces, or a volume."""

    def to_internal_value(self, data: Any) -> int | str:
        if isinstance(data, str) and DECIMAL.fullmatch(data):
            return data
        if isinstance(data, bool) or not isinstance(data, int) or not 1 <= data <= LARGEST_QUANTITY:
            words = f'Expected whole pieces from 1 to {LARGEST_QUANTITY}, or a volume in quotes such as "4.3".'
            raise ValidationError(words, code="invalid")
        return data


class TaskNeedShape(StrictSerializer):
    """What the work takes at one position: exactly one of the choices. A quantity left out is not recorded."""

    position = Text(max_length=CODE_LENGTH)
    choices: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=ChoiceShape(), min_length=1, max_length=MOST_CHOICES
    )
    quantity = Amount(required=False, allow_null=True)
    unit = Text(
        required=False, max_length=UNIT_LENGTH, help_text="each, or a unit of volume: mL, L, qt_us, gal_us, gal_imp."
    )
    per = Choice(choices=vocabulary.PER, required=False)


class ToleranceShape(StrictSerializer):
    """How much of its interval a task may be late or early, in percent, and who grants it."""

    percent = Whole(min_value=1, max_value=99)
    source = SourceShape()  # type: ignore[assignment] # the base's name for where it reads from


class TaskShape(StrictSerializer):
    """A piece of work. Tasks of one subject can stand in for each other: a replacement does for an inspection.

    `severe_percent` is what severe duty leaves of the interval. `opens` names joints, which take their goods once.
    """

    code = Text(max_length=CODE_LENGTH)
    name = Text(max_length=NAME_LENGTH)
    kind = Choice(choices=vocabulary.TASK_KINDS)
    subject = Text(max_length=CODE_LENGTH, required=False, help_text="What it is done to; else the code.")
    trigger = TriggerField()
    applicability = PlanApplicabilityShape(required=False, allow_null=True)
    who = Choice(choices=vocabulary.WORKERS, required=False)
    severe_percent = Whole(required=False, allow_null=True, min_value=1, max_value=99)
    tolerance = ToleranceShape(required=False, allow_null=True)
    emission = Flag(required=False)
    warranty = Flag(required=False)
    source = SourceShape(required=False)  # type: ignore[assignment] # the base's name for where it reads from
    parts: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=TaskNeedShape(), required=False, max_length=MOST_NEEDS
    )
    opens = serializers.ListField(child=Text(max_length=CODE_LENGTH), required=False, max_length=MOST_NEEDS)


class LevelShape(StrictSerializer):
    """A service by name: its tasks, and the smaller levels it holds."""

    code = Text(max_length=CODE_LENGTH)
    name = Text(max_length=NAME_LENGTH)
    tasks = serializers.ListField(child=Text(max_length=CODE_LENGTH), required=False, max_length=MOST_TASKS)
    contains = serializers.ListField(child=Text(max_length=CODE_LENGTH), required=False, max_length=MOST_LEVELS)


class JointShape(StrictSerializer):
    """What opening a joint takes each time. No goods: it is known to take none; null: nobody knows."""

    code = Text(max_length=CODE_LENGTH)
    goods: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=TaskNeedShape(), allow_null=True, max_length=MOST_NEEDS
    )


class _PlanContents(StrictSerializer):
    """The engine is named by `spec`, or by `maker` with `model`; without one, machines choose the plan themselves."""

    spec = SpecificationShape(required=False, allow_null=True)
    maker = Text(required=False, allow_null=True, max_length=MAKER_LENGTH)
    model = Text(required=False, allow_null=True, max_length=CODE_LENGTH)
    counts = Choice(choices=vocabulary.COUNTS, required=False, help_text="Which hours the intervals are of.")
    levels: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=LevelShape(), required=False, max_length=MOST_LEVELS
    )
    joints: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=JointShape(), required=False, max_length=MOST_JOINTS
    )


class PlanShape(_PlanContents):
    code = Text(max_length=CODE_LENGTH)
    name = Text(max_length=NAME_LENGTH)
    shared = Flag(required=False, help_text="For every dealer; takes the scope catalogue:write.")
    tasks: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=TaskShape(), min_length=1, max_length=MOST_TASKS
    )


class PlanChangeShape(_PlanContents):
    name = Text(max_length=NAME_LENGTH, required=False)
    status = Choice(choices=STATUSES, required=False)
    tasks: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=TaskShape(), required=False, min_length=1, max_length=MOST_TASKS
    )
