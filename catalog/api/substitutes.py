"""Every acceptable part of the catalogue for a position, the best first."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail, ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.application_parameters import ApplicationParameters, engine_of
from catalog.api.schemas import FactAnswer, PartSummary
from catalog.api.shapes import CODE_LENGTH
from catalog.domain.answers import Verdict
from service.http.asking import asking_dealer
from service.http.fields import Text
from service.http.query import WholeParameter
from service.operations.models import Scope

MOST_SHOWN, USUALLY_SHOWN = 100, 50
INCLUDES = ("undetermined", "rejected")


class SubstituteParameters(ApplicationParameters):
    position = Text(required=False, max_length=CODE_LENGTH, help_text="Needed where several could be meant.")
    include = Text(
        required=False, max_length=CODE_LENGTH,
        help_text="undetermined, rejected or both, set apart by a comma: what cannot be told, with what to find out, "
        "and what is nearest to being good, with what blocks it.",
    )  # fmt: skip
    limit = WholeParameter(required=False, min_value=1, max_value=MOST_SHOWN, help_text="50 where it is left out.")

    def validate_include(self, text: str) -> tuple[str, ...]:
        names = tuple(dict.fromkeys(name.strip() for name in text.split(",") if name.strip()))
        strange = [name for name in names if name not in INCLUDES]
        if strange:
            words = f"{strange[0]!r} cannot be included; take {' or '.join(INCLUDES)}."
            raise ValidationError([ErrorDetail(words, code="invalid_choice")])
        return names


class NearestAnswer(serializers.Serializer[Any]):
    attribute = serializers.CharField()
    margin = serializers.CharField(allow_null=True)


class SubstituteAnswer(serializers.Serializer[Any]):
    part = PartSummary()
    verdict = serializers.RegexField(f"^({'|'.join(Verdict)})$")
    headline = serializers.CharField()
    specified = serializers.BooleanField(help_text="Whether the engine's maker names it for this position.")
    conditions = serializers.ListField(child=serializers.CharField())
    nearest = NearestAnswer(allow_null=True, help_text="The rating that has the least to spare.")


class PassedOverAnswer(SubstituteAnswer):
    blocked_by = serializers.ListField(child=serializers.CharField())
    missing = FactAnswer(many=True)


class CountsAnswer(serializers.Serializer[Any]):
    accepted = serializers.IntegerField()
    conditional = serializers.IntegerField()
    undetermined = serializers.IntegerField()
    rejected = serializers.IntegerField()


class SubstitutesAnswer(serializers.Serializer[Any]):
    position = serializers.CharField()
    category = serializers.CharField()
    counts = CountsAnswer(help_text="Of all parts that could be offered in its place.")
    results = SubstituteAnswer(many=True)
    more = serializers.IntegerField(help_text="How many more are good.")
    undetermined = PassedOverAnswer(many=True, required=False)
    rejected = PassedOverAnswer(many=True, required=False)
    catalogue_version = serializers.IntegerField()
    rulebook = serializers.IntegerField()


class SubstitutesView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="parts_substitutes",
        summary="What else may stand where this part stands on an engine, the best first",
        parameters=[SubstituteParameters],
        responses={200: SubstitutesAnswer},
    )
    def get(self, request: Request, part_id: int) -> Response:
        from catalog.usecases.substitutes import Wanted, substitutes  # noqa: PLC0415 # numpy: only where it is asked

        wanted = SubstituteParameters.read(request)
        body = {"candidate": {"id": part_id}, **engine_of(wanted)}
        if "position" in wanted:
            body["position"] = wanted["position"]
        asked = Wanted(body, wanted.get("include", ()), wanted.get("limit", USUALLY_SHOWN))
        return Response(substitutes(asked, dealer=asking_dealer(request), now=timezone.now()))
