"""Reading the published tables that answers are decided by, row by row with their sources."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.schemas import PageAnswer, Provenance, SourceAnswer
from catalog.usecases.reading import published
from catalog.usecases.reference_tables import EDITOR, SHIPPED, reference_table, reference_tables
from service.http.conditional import not_modified, shown_as, strong_etag, tagged
from service.http.query import NoParameters
from service.operations.models import Scope

_TABLES: dict[str, Any] = {
    "results": [{"code": "joints", "name": "which joints mate", "section": "mate_tables", "rows": 2}],
    "next": None,
    "previous": None,
    "catalogue_version": 1841,
    "rulebook": 12,
}
_TABLE: dict[str, Any] = {
    "code": "covers",
    "name": "which service class covers which, at wetted parts only",
    "section": "covers",
    "source": None,
    "about": {},
    "results": [
        {
            "recorded": "BIO-20",
            "covers": ["DSL-L"],
            "source": {"kind": "published", "citation": "ISO 19013-1"},
            "origin": "shipped",
        }
    ],
    "next": None,
    "previous": None,
    "catalogue_version": 1841,
    "rulebook": 12,
}


class ReferenceTableHead(serializers.Serializer[Any]):
    code = serializers.CharField()
    name = serializers.CharField()
    section = serializers.CharField(help_text="Where in a rulebook document it stands.")
    rows = serializers.IntegerField()


class ReferenceTableList(PageAnswer, Provenance):
    results = ReferenceTableHead(many=True)


class ReferenceTableRow(serializers.Serializer[Any]):
    """The members of a row are those of its table; these two stand in each."""

    origin = serializers.ChoiceField(
        choices=[(SHIPPED, SHIPPED), (EDITOR, EDITOR)], help_text="An editor's rows differ from what was shipped."
    )
    source = SourceAnswer(allow_null=True, required=False)  # type: ignore[assignment] # where the base reads from


class ReferenceTableAnswer(PageAnswer, Provenance):
    code = serializers.CharField()
    name = serializers.CharField()
    section = serializers.CharField()
    source = SourceAnswer(allow_null=True)  # type: ignore[assignment] # where the base reads from
    about = serializers.DictField(help_text="What the table says of itself beside its rows.")
    results = ReferenceTableRow(many=True)


class ReferenceTablesView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="reference_list",
        summary="Published tables that answers are decided by",
        responses={200: ReferenceTableList},
        examples=[OpenApiExample("Tables", _TABLES, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        NoParameters.read(request)
        heads = [table.head for table in reference_tables()]
        return Response({"results": heads, "next": None, "previous": None, **published().provenance})


class ReferenceTableView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="reference_read",
        summary="One published table: its rows, each with its source and whether an editor changed it",
        responses={200: ReferenceTableAnswer},
        examples=[OpenApiExample("Table", _TABLE, response_only=True)],
    )
    def get(self, request: Request, table: str) -> Response:
        NoParameters.read(request)
        now, found = published(), reference_table(table)
        tag = strong_etag(now.standing.version, now.standing.digest, *shown_as(request, ()))
        document = {
            "code": found.code,
            "name": found.name,
            "section": found.section,
            "source": found.source,
            "about": found.about,
            "results": list(found.rows),
            "next": None,
            "previous": None,
            **now.provenance,
        }
        return not_modified(request, tag) or tagged(Response(document), tag)
