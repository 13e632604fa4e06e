"""Parts found by what was measured of the piece in hand."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.examples import PART_HEAD, PROVENANCE, SOURCE
from catalog.api.schemas import AnyValue, PageAnswer, PartHead, Provenance, SourceAnswer
from catalog.api.shapes import CODE_LENGTH
from catalog.usecases.attribute_filters import PREFIX
from catalog.usecases.finding_by_measure import find_by_measure, read_sought
from catalog.usecases.reading import published
from service.http.fields import Choice, Text
from service.http.pagination import DEFAULT_SIZE, LARGEST_SIZE, page_size
from service.http.query import QueryParameters
from service.operations.models import Scope

TOLERANCE_LENGTH = 40
MEASURES = OpenApiParameter(
    "attr__{attribute}",
    str,
    description="What was measured: `attr__ring_inner_diameter=18.6 mm`, `attr__coolant_hose_bore@end_a=32 mm`. Codes, "
    "flags and limits are asked for as in the list of parts, and have to hold exactly.",
)
PAGE_SIZE = OpenApiParameter(
    "page_size",
    {"type": "integer", "minimum": 1, "maximum": LARGEST_SIZE, "default": DEFAULT_SIZE},
    description="How many of the nearest are shown; `more` says that there are others.",
)
FOUND: dict[str, Any] = {
    "results": [
        {
            "part": PART_HEAD,
            "matches": True,
            "largest_difference_percent": "0.053",
            "differences": [
                {
                    "attribute": "reach",
                    "slot": None,
                    "recorded": {"value": "19", "unit": "mm"},
                    "difference": {"value": "-0.01", "unit": "mm"},
                    "text": "reach: 19 mm recorded, 0.01 mm less than measured",
                    "source": SOURCE,
                    "others": [],
                }
            ],
            "not_recorded": [],
            "look_alikes": [],
        }
    ],
    "next": None,
    "previous": None,
    "more": False,
    "measured": [
        {
            "attribute": "reach",
            "slot": None,
            "measured": {"value": "19.01", "unit": "mm"},
            "tolerance": "0.02 mm",
            "tolerance_beyond_limits": "0.02 mm",
            "because": "0.02 mm of the calliper",
            "source": {"kind": "common_practice", "citation": "common practice, no source"},
        }
    ],
    "look_alikes": [],
    **PROVENANCE,
}


class RecordedAnswer(serializers.Serializer[Any]):
    recorded = AnyValue()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class MeasuredDifference(RecordedAnswer):
    attribute = serializers.CharField()
    slot = serializers.CharField(allow_null=True)
    difference = AnyValue(help_text="Recorded less measured; null where there is none.")
    text = serializers.CharField()
    others = RecordedAnswer(many=True, help_text="What other sources record there that is no match.")


class FoundPart(serializers.Serializer[Any]):
    part = PartHead()
    matches = serializers.BooleanField(help_text="False where something measured is not recorded of the part.")
    largest_difference_percent = serializers.CharField(allow_null=True)
    differences = MeasuredDifference(many=True)
    not_recorded = serializers.ListField(child=serializers.CharField())
    look_alikes = serializers.ListField(child=serializers.CharField(), help_text="What its joints are taken for.")


class MeasureAnswer(serializers.Serializer[Any]):
    attribute = serializers.CharField()
    slot = serializers.CharField(allow_null=True)
    measured = AnyValue()
    tolerance = serializers.CharField(help_text="Where one figure is recorded.")
    tolerance_beyond_limits = serializers.CharField(help_text="Where the record states its own limits.")
    because = serializers.CharField()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class FoundParts(PageAnswer, Provenance):
    results = FoundPart(many=True)
    more = serializers.BooleanField()
    measured = MeasureAnswer(many=True)
    look_alikes = serializers.ListField(child=serializers.CharField(), help_text="Sizes that the measure fits alike.")


class FindParameters(QueryParameters):
    also = ("page_size",)
    open_prefixes = (PREFIX,)

    category = Text(max_length=CODE_LENGTH)
    tolerance = Text(required=False, max_length=TOLERANCE_LENGTH, help_text="Widens that of lengths: `0.5 mm`.")
    include = Choice(choices=["unknown"], required=False, help_text="Parts too of which a measure is not recorded.")


class FindPartsView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="parts_find",
        summary="Parts by measurement, nearest first, with the tolerance of a calliper; look-alikes are warned of",
        parameters=[FindParameters, MEASURES, PAGE_SIZE],
        responses={200: FoundParts},
        examples=[OpenApiExample("Found", FOUND, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = FindParameters.read(request)
        now = published()
        sought = read_sought(wanted["category"], wanted["open"], wanted.get("tolerance"), now.rulebook)
        found = find_by_measure(sought, now.rulebook, unknown_too="include" in wanted, most=page_size(request))
        return Response({**found, **now.provenance})
