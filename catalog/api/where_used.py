"""Where a part is used, and what is offered where it is made no more."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import vocabulary
from catalog.api.engine_examples import EVERYWHERE, SPEC
from catalog.api.engine_schemas import ApplicabilityAnswer
from catalog.api.examples import OTHER_PART, PART, PROVENANCE, SOURCE
from catalog.api.machine_examples import page
from catalog.api.machine_schemas import SpecificationName
from catalog.api.schemas import PAGE, ContentAnswer, PageAnswer, PartSummary, Provenance, SourceAnswer
from catalog.usecases.assemblies import DIFFERENT_JOB, next_higher
from catalog.usecases.part_editing import part_of
from catalog.usecases.reading import published
from catalog.usecases.where_used import held_in, statements_about, use_document
from service.http.pagination import KeysetPagination
from service.http.query import NoParameters, PageParameters
from service.operations.models import Scope

HOLDER = {"part": OTHER_PART, "kind": "kit", "quantity": 4}
USED: dict[str, Any] = {
    **page(
        {
            "statement": 12,
            "kind": "specified",
            "said": "specified here by the engine's maker",
            "by": "TSK",
            "spec": {"id": 9, "maker": "TSK", **SPEC, "name": "genset, two gases"},
            "position": {"code": "spark_plug", "name": "spark plug", "category": "spark_plug", "branch": None},
            "quantity": 6,
            "applies": "where nothing but natural gas is burned",
            "applicability": EVERYWHERE,
            "source": SOURCE,
        }
    ),
    "contained_in": [HOLDER],
    "more_contained_in": False,
    **PROVENANCE,
}
OFFERED: dict[str, Any] = {
    "part": PART,
    "reason": "discontinued",
    "notices": [{"supersession": 4, "spec": None, "applies": "every engine", "source": SOURCE}],
    "replaced_elsewhere": False,
    "text": "TSK 4470 is discontinued with no replacement. What holds it is offered below, each as a different job.",
    "assemblies": [
        {
            **HOLDER,
            "holds": PART,
            "different_job": True,
            "text": DIFFERENT_JOB.format(holder="TSK 4475", quantity=4, piece="TSK 4470"),
        }
    ],
    "more": False,
    **PROVENANCE,
}


class UsedSpecification(SpecificationName):
    id = serializers.IntegerField()
    maker = serializers.CharField()
    name = serializers.CharField(allow_blank=True)


class UsedPosition(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField(allow_blank=True)
    category = serializers.CharField()
    branch = serializers.CharField(allow_null=True)


class UseAtAnswer(serializers.Serializer[Any]):
    statement = serializers.IntegerField()
    kind = serializers.ChoiceField(choices=vocabulary.STATEMENT_KINDS)
    said = serializers.CharField(help_text="The kind in words, and whose word it is.")
    by = serializers.CharField()
    spec = UsedSpecification()
    position = UsedPosition()
    quantity = serializers.IntegerField(allow_null=True)
    applies = serializers.CharField(help_text="When it holds, in words.")
    applicability = ApplicabilityAnswer()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class HolderAnswer(ContentAnswer):
    kind = serializers.ChoiceField(choices=vocabulary.HOLDER_KINDS)


class UsePage(PageAnswer, Provenance):
    results = UseAtAnswer(many=True)
    contained_in = HolderAnswer(many=True)
    more_contained_in = serializers.BooleanField()


class NoticeAnswer(serializers.Serializer[Any]):
    supersession = serializers.IntegerField()
    spec = SpecificationName(allow_null=True)
    applies = serializers.CharField()
    source = SourceAnswer()  # type: ignore[assignment] # the base's name for where it reads from


class AssemblyAnswer(HolderAnswer):
    holds = PartSummary()
    different_job = serializers.BooleanField()
    text = serializers.CharField()


class AssembliesAnswer(Provenance):
    part = PartSummary()
    reason = serializers.RegexField("^(discontinued|withdrawn)$", allow_null=True)
    notices = NoticeAnswer(many=True)
    replaced_elsewhere = serializers.BooleanField(help_text="Another notice names a replacement: look at that first.")
    text = serializers.CharField()
    assemblies = AssemblyAnswer(many=True)
    more = serializers.BooleanField()


class UsedAtView(APIView):
    required_scope = Scope.CATALOGUE_READ
    keyset_order = ("position__specification__model", "position__specification__spec", "position__code", "id")

    @extend_schema(
        operation_id="parts_engines",
        summary="Where a part is used: engines and positions with when it holds, and what the part is found in",
        parameters=[*PAGE],
        responses={200: UsePage},
        examples=[OpenApiExample("Page", USED, response_only=True)],
    )
    def get(self, request: Request, part_id: int) -> Response:
        PageParameters.read(request)
        part, now = part_of(part_id), published()
        pages = KeysetPagination()
        rows = pages.paginate_queryset(statements_about(part), request, self)
        response = pages.get_paginated_response([use_document(row, now.rulebook.fuels) for row in rows])
        response.data |= {**held_in(part, now.rulebook), **now.provenance}
        return response


class AssembliesView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="parts_assemblies",
        summary="The next higher assembly of a part that is made no more, each marked as a different job",
        responses={200: AssembliesAnswer},
        examples=[OpenApiExample("Assemblies", OFFERED, response_only=True)],
    )
    def get(self, request: Request, part_id: int) -> Response:
        NoParameters.read(request)
        part, now = part_of(part_id), published()
        return Response({**next_higher(part, now.rulebook), **now.provenance})
