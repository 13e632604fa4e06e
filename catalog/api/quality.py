"""How good the catalogue is: what is missing where it decides, and where sources disagree."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.examples import PART, PROVENANCE, SOURCE
from catalog.api.schemas import AnyValue, PartSummary, Provenance, SourceAnswer
from catalog.api.shapes import CODE_LENGTH
from catalog.usecases.quality import quality
from catalog.usecases.reading import published
from service.http.fields import Text
from service.http.query import QueryParameters
from service.operations.models import Scope

EXAMPLE: dict[str, Any] = {
    "since": "2026-02-07T09:15:00Z",
    "undetermined_checks": 41,
    "undetermined_checks_read": 41,
    "missing": [
        {
            "category": "spark_plug",
            "attribute": "reach",
            "slot": None,
            "name": "reach",
            "rules": ["reach"],
            "parts_lacking": 12,
            "positions": 30,
            "recent_checks": 7,
        }
    ],
    "contradictions": [
        {
            "part": PART,
            "category": "spark_plug",
            "attribute": "reach",
            "slot": None,
            "critical": True,
            "values": [
                {"value": {"value": "19", "unit": "mm"}, "source": SOURCE},
                {"value": {"value": "17.5", "unit": "mm"}, "source": {**SOURCE, "citation": "price list, invented"}},
            ],
        }
    ],
    "more_contradictions": False,
    **PROVENANCE,
}


class MissingAttribute(serializers.Serializer[Any]):
    category = serializers.CharField()
    attribute = serializers.CharField()
    slot = serializers.CharField(allow_null=True)
    name = serializers.CharField()
    rules = serializers.ListField(child=serializers.CharField(), help_text="That ask for it; `gate` is the fuel gate.")
    parts_lacking = serializers.IntegerField(help_text="Parts in use of which nothing is recorded there.")
    positions = serializers.IntegerField(help_text="Positions of specifications in use that ask for it.")
    recent_checks = serializers.IntegerField(help_text="Checks of all dealers left undetermined that asked for it.")


class SaidValue(serializers.Serializer[Any]):
    value = AnyValue()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class ContradictionAnswer(serializers.Serializer[Any]):
    part = PartSummary()
    category = serializers.CharField()
    attribute = serializers.CharField()
    slot = serializers.CharField(allow_null=True)
    critical = serializers.BooleanField()
    values = SaidValue(many=True)


class QualityAnswer(Provenance):
    since = serializers.DateTimeField(help_text="From when on checks are recent.")
    undetermined_checks = serializers.IntegerField(help_text="How many recent ones there are.")
    undetermined_checks_read = serializers.IntegerField(help_text="How many of them, the latest, are counted below.")
    missing = MissingAttribute(many=True)
    contradictions = ContradictionAnswer(many=True)
    more_contradictions = serializers.BooleanField()


class QualityParameters(QueryParameters):
    category = Text(required=False, max_length=CODE_LENGTH)


class QualityView(APIView):
    required_scope = Scope.CATALOGUE_WRITE

    @extend_schema(
        operation_id="quality_read",
        summary="What is missing where it decides, by positions and recent checks, and what sources disagree about",
        parameters=[QualityParameters],
        responses={200: QualityAnswer},
        examples=[OpenApiExample("Quality", EXAMPLE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = QualityParameters.read(request)
        now = published()
        return Response({**quality(now.rulebook, timezone.now(), **wanted), **now.provenance})
