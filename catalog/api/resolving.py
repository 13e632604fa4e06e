"""Asking what the numbers of several lines are today on one engine."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.views import APIView

from catalog.api.checks import BODY_BYTES, IDEMPOTENCY_KEY
from catalog.api.schemas import ChainAnswer, FactAnswer, PartSummary, UseAnswer
from catalog.api.shapes import LARGEST_QUANTITY, OnAnEngine, PartName
from catalog.usecases.resolving_lines import MOST_LINES, resolve_lines
from service.http.asking import asking_dealer
from service.http.fields import Whole
from service.http.idempotency import answer_once
from service.http.query import NoParameters
from service.http.serializers import StrictSerializer
from service.operations.idempotency import Claim
from service.operations.models import Scope

QUESTION: dict[str, Any] = {
    "lines": [
        {"part": {"maker": "VRD", "number": "0021-440"}, "quantity": 1},
        {"part": {"maker": "OLM", "number": "7701"}, "quantity": 1},
    ],
    "application": {"spec": {"model": "VRD-H40", "spec": "S-131"}, "serial": "131077"},
}


class LineShape(StrictSerializer):
    part = PartName()
    quantity = Whole(required=False, min_value=1, max_value=LARGEST_QUANTITY, help_text="One where it is left out.")


class ResolveShape(OnAnEngine):
    """Numbers as somebody has them on a list, and the engine they are for."""

    lines: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=LineShape(), min_length=1, max_length=MOST_LINES
    )


class AskedLineAnswer(serializers.Serializer[Any]):
    part = PartSummary()
    quantity = serializers.IntegerField()


class OldStockAnswer(serializers.Serializer[Any]):
    part = PartSummary()
    instead_of = PartSummary()
    why = serializers.CharField()


class ResolvedLineAnswer(serializers.Serializer[Any]):
    """`use` is empty where nothing may be picked: `missing`, `catalogue_errors` or `discontinued` says why."""

    asked = AskedLineAnswer()
    use = UseAnswer(many=True)
    old_stock = OldStockAnswer(many=True, help_text="Earlier numbers that may be used up here, oldest first.")
    chain = ChainAnswer(many=True)
    discontinued = PartSummary(many=True)
    missing = FactAnswer(many=True)
    catalogue_errors = serializers.ListField(child=serializers.CharField())
    together_with = serializers.ListField(
        child=serializers.IntegerField(), help_text="Other lines, counted from 0, that become one thing with this one."
    )


class ResolveAnswer(serializers.Serializer[Any]):
    lines = ResolvedLineAnswer(many=True)
    catalogue_version = serializers.IntegerField()
    rulebook = serializers.IntegerField()


class ResolveView(APIView):
    required_scope = Scope.CATALOGUE_READ
    max_body_bytes = BODY_BYTES

    @extend_schema(
        operation_id="supersessions_resolve",
        summary="What the numbers of several lines are today on one engine",
        parameters=[IDEMPOTENCY_KEY],
        request=ResolveShape,
        responses={200: ResolveAnswer},
        examples=[OpenApiExample("Question", QUESTION, request_only=True)],
    )
    def post(self, request: Request) -> HttpResponseBase:
        NoParameters.read(request)
        now = timezone.now()

        def act(claim: Claim) -> None:
            body = ResolveShape().run_validation(request.data)
            resolve_lines(body, dealer=asking_dealer(request), now=now, idempotency=claim)

        return answer_once(request, act, now=now, view=self)
