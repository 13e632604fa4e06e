"""What else is needed with the parts of a recorded check."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.examples import OTHER_PART, PART, PROVENANCE, SUMMARY
from catalog.api.schemas import MissingAnswer, PartSummary, ProblemAnswer, Provenance, UseAnswer
from catalog.domain.answers import Verdict
from catalog.models import Check
from catalog.usecases.also_needed import also_needed
from service.errors import DomainError, NotFound
from service.http.asking import asker_name, asking_dealer
from service.http.problems import problem_of
from service.http.query import NoParameters
from service.operations.models import Scope

EXAMPLE: dict[str, Any] = {
    "check": SUMMARY["id"],
    "verdict": "conditional",
    "checked_at_version": 1841,
    "text": "Each is decided now, by a check of its own that is not recorded.",
    "results": [
        {
            "part": OTHER_PART,
            "with_part": PART,
            "quantity": 6,
            "reason": "the gasket is crushed once",
            "verdict": "accepted",
            "position": "spark_plug_gasket",
            "use": [{"part": OTHER_PART, "quantity": 1, "why": ""}],
            "headline": "TSK 4475: all that the gasket asks is met.",
            "conditions": [],
            "missing": [],
            "catalogue_errors": [],
            "problem": None,
        }
    ],
    **PROVENANCE,
}
VERDICTS = [(verdict.value, verdict.value) for verdict in Verdict]


class NeededAnswer(serializers.Serializer[Any]):
    """A part that is needed as well with its verdict, or the problem that kept it from being decided."""

    part = PartSummary()
    with_part = PartSummary()
    quantity = serializers.IntegerField(allow_null=True)
    reason = serializers.CharField(allow_null=True)
    verdict = serializers.ChoiceField(choices=VERDICTS, allow_null=True)
    position = serializers.CharField(allow_null=True)
    use = UseAnswer(many=True, help_text="What the needed number is here today; quantities are its position's.")
    headline = serializers.CharField(allow_null=True)
    conditions = serializers.ListField(child=serializers.CharField(), allow_null=True)
    missing = MissingAnswer(many=True, allow_null=True)
    catalogue_errors = serializers.ListField(child=serializers.CharField(), allow_null=True)
    problem = ProblemAnswer(allow_null=True)


class AlsoNeededAnswer(Provenance):
    check = serializers.UUIDField()
    verdict = serializers.ChoiceField(choices=VERDICTS)
    checked_at_version = serializers.IntegerField(help_text="The version the check itself was decided at.")
    text = serializers.CharField()
    results = NeededAnswer(many=True)


class AlsoNeededView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="checks_also_needed",
        summary="Parts needed with those of a check, each decided as the catalogue stands now; nothing is recorded",
        responses={200: AlsoNeededAnswer},
        examples=[OpenApiExample("Needed", EXAMPLE, response_only=True)],
    )
    def get(self, request: Request, check_id: UUID) -> Response:
        NoParameters.read(request)
        dealer = asking_dealer(request)
        check = Check.objects.visible_to(dealer).filter(pk=check_id).first()
        if check is None:
            raise NotFound("There is no such check of yours.")
        now = timezone.now()
        return Response(also_needed(check, dealer=dealer, asked_by=asker_name(request), now=now, tell=_problem))


def _problem(error: DomainError, _index: int) -> dict[str, Any]:
    """Without pointers: there is no body that they could point into."""
    told = problem_of(error)
    document = told.document() if told else {}
    return {name: found for name, found in document.items() if name != "errors"}
