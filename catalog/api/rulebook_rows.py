"""Rows of a draft: read, written, changed and deleted one at a time; what stands against publishing; rebasing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import rulebook_schemas as schemas
from catalog.api.rulebooks import IF_MATCH, LARGEST_NUMBER
from catalog.api.schemas import PAGE
from catalog.domain.rulebook_rows import ROW_SECTIONS
from catalog.models import DraftRow, RulebookDraft
from catalog.usecases import rulebook_reading as reading
from catalog.usecases.rulebook_drafting import Edit, delete_row, find_row, patch_row, put_row, row_if_there
from catalog.usecases.rulebook_publishing import rebase
from service.errors import Invalid
from service.http.asking import asker_name
from service.http.conditional import not_modified, require_match, shown_as, strong_etag, tagged
from service.http.fields import Choice, Text, Whole
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, NoParameters, QueryParameters
from service.http.serializers import StrictSerializer
from service.operations.models import Scope


class RowListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    section = Choice(choices=list(ROW_SECTIONS), required=False)
    within = Text(required=False, max_length=60, help_text="Only rules of this category, or rows of this table.")


class RebaseShape(StrictSerializer):
    onto = Whole(required=False, allow_null=True, min_value=1, max_value=LARGEST_NUMBER)
    prefer = Choice(choices=["draft", "rulebook"], required=False)


class RowsView(APIView):
    required_scope = Scope.CATALOGUE_READ
    keyset_order = ("section", "position", "id")

    @extend_schema(
        operation_id="rulebooks_rows",
        summary="Rows of a draft, in pages",
        parameters=[RowListParameters, *PAGE],
        responses={200: schemas.RowPage},
        examples=[OpenApiExample("Rows", schemas.ROWS, response_only=True)],
    )
    def get(self, request: Request, rulebook: str) -> Response:
        wanted = RowListParameters.read(request)
        rows = DraftRow.objects.filter(draft=reading.find_draft(rulebook))
        if "section" in wanted:
            rows = rows.filter(section=wanted["section"])
        if "within" in wanted:
            rows = rows.filter(key__startswith=f"{wanted['within']}.")
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([reading.stored_row(row) for row in found])


class RowView(APIView):
    required_scope: ClassVar = {
        "GET": Scope.CATALOGUE_READ,
        **dict.fromkeys(("PUT", "PATCH", "DELETE"), Scope.CATALOGUE_WRITE),
    }

    @extend_schema(
        operation_id="rulebooks_row_read",
        summary="One row of a draft",
        responses={200: schemas.RowAnswer},
        examples=[OpenApiExample("Row", schemas.ROW, response_only=True)],
    )
    def get(self, request: Request, rulebook: str, section: str, key: str) -> Response:
        NoParameters.read(request)
        row = find_row(reading.find_draft(rulebook), reading.known_section(section), key)
        tag = _tag(request, row)
        return not_modified(request, tag) or tagged(Response(reading.stored_row(row)), tag)

    @extend_schema(
        operation_id="rulebooks_row_write",
        summary="Write one row of a draft whole; a row that is there needs If-Match",
        parameters=[IF_MATCH],
        request=schemas.ROW_BODY,
        responses={200: schemas.RowAnswer, 201: schemas.RowAnswer},
        examples=[
            OpenApiExample("Content", schemas.CAUTION, request_only=True),
            OpenApiExample("Row", schemas.ROW, response_only=True),
        ],
    )
    def put(self, request: Request, rulebook: str, section: str, key: str) -> Response:
        draft, there = _draft_and_row(request, rulebook, section, key)
        if there is not None:
            require_match(request, there.changed_in)
        row = put_row(_edit(request, draft, section, key, there), _object(request))
        return tagged(Response(reading.stored_row(row), status=200 if there else 201), _tag(request, row))

    @extend_schema(
        operation_id="rulebooks_row_change",
        summary="Change members of one row of a draft; null takes a member away",
        parameters=[IF_MATCH],
        request=schemas.ROW_BODY,
        responses={200: schemas.RowAnswer},
        examples=[
            OpenApiExample("Change", {"text": "Let the exhaust cool for an hour."}, request_only=True),
            OpenApiExample("Row", schemas.ROW, response_only=True),
        ],
    )
    def patch(self, request: Request, rulebook: str, section: str, key: str) -> Response:
        draft, _ = _draft_and_row(request, rulebook, section, key)
        there = find_row(draft, section, key)
        require_match(request, there.changed_in)
        row = patch_row(_edit(request, draft, section, key, there), _object(request))
        return tagged(Response(reading.stored_row(row)), _tag(request, row))

    @extend_schema(
        operation_id="rulebooks_row_delete",
        summary="Take one row out of a draft",
        parameters=[IF_MATCH],
        responses={204: None},
    )
    def delete(self, request: Request, rulebook: str, section: str, key: str) -> Response:
        draft, _ = _draft_and_row(request, rulebook, section, key)
        there = find_row(draft, section, key)
        require_match(request, there.changed_in)
        delete_row(_edit(request, draft, section, key, there))
        return Response(status=204)


class DraftProblemsView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="rulebooks_problems",
        summary="All that would refuse a draft's publication today, each with its path and row",
        responses={200: schemas.DraftProblemList},
        examples=[OpenApiExample("Problems", schemas.PROBLEMS, response_only=True)],
    )
    def get(self, request: Request, rulebook: str) -> Response:
        NoParameters.read(request)
        found = reading.problems_of(reading.find_draft(rulebook))
        return Response({"results": found, "next": None, "previous": None})


class RebaseView(APIView):
    required_scope: ClassVar = {"POST": Scope.CATALOGUE_WRITE}

    @extend_schema(
        operation_id="rulebooks_rebase",
        summary="Take over into a draft what the rulebook in force, or a newer shipped one, brought",
        description="Rows that both changed are named in `rows` of a 409 and nothing is done; `prefer` settles them.",
        request=RebaseShape,
        responses={200: schemas.DraftAnswer},
        examples=[
            OpenApiExample("Wanted", {"onto": 12, "prefer": "draft"}, request_only=True),
            OpenApiExample("Draft", schemas.DRAFT, response_only=True),
        ],
    )
    def post(self, request: Request, rulebook: str) -> Response:
        NoParameters.read(request)
        wanted = RebaseShape().run_validation(request.data)
        head = rebase(
            reading.find_draft(rulebook),
            onto=wanted.get("onto"),
            prefer=wanted.get("prefer", ""),
            by=asker_name(request),
            now=timezone.now(),
        )
        return Response(head)


def _draft_and_row(request: Request, rulebook: str, section: str, key: str) -> tuple[RulebookDraft, DraftRow | None]:
    NoParameters.read(request)
    draft = reading.find_draft(rulebook)
    return draft, row_if_there(draft, reading.known_section(section), key)


def _edit(request: Request, draft: RulebookDraft, section: str, key: str, there: DraftRow | None) -> Edit:
    seen = there.changed_in if there else None
    return Edit(draft, section, key, by=asker_name(request), now=timezone.now(), seen=seen)


def _object(request: Request) -> Mapping[str, Any]:
    if not isinstance(request.data, Mapping):
        raise Invalid("A row is an object of its members.", pointer="", code="not_an_object")
    return request.data


def _tag(request: Request, row: DraftRow) -> str:
    return strong_etag(row.changed_in, *shown_as(request, ()))
