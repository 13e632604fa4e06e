"""Rulebooks: the published ones with their history, what differs between two, and publishing.

A published rulebook is named by its number in addresses, a draft `draft-7`.
"""

from __future__ import annotations

from typing import Any, ClassVar

from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import rulebook_schemas as schemas
from catalog.api.schemas import PAGE
from catalog.domain.rulebook_rows import ROW_SECTIONS
from catalog.models import RulebookDraft, RulebookVersion
from catalog.usecases import rulebook_reading as reading
from catalog.usecases.rulebook_drafting import discard, start_draft
from catalog.usecases.rulebook_publishing import publish
from service.http.asking import asker_name
from service.http.conditional import not_modified, require_match, shown_as, strong_etag, tagged
from service.http.fields import Choice, Text, Whole
from service.http.idempotency import answer_once
from service.http.pagination import KeysetPagination
from service.http.query import NoParameters, PageParameters, QueryParameters
from service.http.serializers import NothingShape, StrictSerializer
from service.operations.idempotency import Claim
from service.operations.models import Scope

IF_MATCH = OpenApiParameter("If-Match", str, OpenApiParameter.HEADER, description="The ETag it was read with.")
IDEMPOTENCY_KEY = OpenApiParameter(
    "Idempotency-Key", str, OpenApiParameter.HEADER, description="Repeat a request with it to get the first answer."
)
NAME_LENGTH = 200
NOTE_LENGTH = 2_000
LARGEST_NUMBER = 999_999_999


class DraftShape(StrictSerializer):
    name = Text(max_length=NAME_LENGTH)
    note = Text(required=False, allow_blank=True, lines=True, max_length=NOTE_LENGTH)
    based_on = Whole(required=False, allow_null=True, min_value=1, max_value=LARGEST_NUMBER)


class SectionParameter(QueryParameters):
    section = Choice(choices=list(ROW_SECTIONS), required=False, help_text="Show the rows of this section too.")


class ToParameter(QueryParameters):
    to = Text(max_length=20, help_text="A number, or a draft such as draft-7.")


class RulebooksView(APIView):
    required_scope: ClassVar = {"GET": Scope.CATALOGUE_READ, "POST": Scope.CATALOGUE_WRITE}
    keyset_order = ("-number",)

    @extend_schema(
        operation_id="rulebooks_list",
        summary="Published rulebooks, newest first, and the drafts that are open",
        parameters=[*PAGE],
        responses={200: schemas.RulebookPage},
        examples=[OpenApiExample("Page", schemas.PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        PageParameters.read(request)
        now, pages = reading.state(), KeysetPagination()
        published = RulebookVersion.objects.select_related("based_on").defer("document", "based_on__document")
        rows = pages.paginate_queryset(published, request, self)
        response = pages.get_paginated_response([reading.version_head(row, now) for row in rows])
        response.data |= {"drafts": reading.open_drafts(), "attention": reading.attention(now)}
        return response

    @extend_schema(
        operation_id="rulebooks_draft",
        summary="Begin a draft as a copy of the rulebook in force, or of the one named",
        parameters=[IDEMPOTENCY_KEY],
        request=DraftShape,
        responses={201: schemas.DraftAnswer},
        examples=[
            OpenApiExample("Draft wanted", schemas.NEW_DRAFT, request_only=True),
            OpenApiExample("Draft", schemas.DRAFT, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> HttpResponseBase:
        NoParameters.read(request)
        now = timezone.now()

        def act(claim: Claim) -> None:
            wanted = DraftShape().run_validation(request.data)
            start_draft(
                name=wanted["name"],
                note=wanted.get("note", ""),
                based_on=wanted.get("based_on"),
                by=asker_name(request),
                now=now,
                idempotency=claim,
            )

        return answer_once(request, act, now=now, view=self)


class RulebookView(APIView):
    required_scope: ClassVar = {"GET": Scope.CATALOGUE_READ, "DELETE": Scope.CATALOGUE_WRITE}

    @extend_schema(
        operation_id="rulebooks_read",
        summary="One rulebook or draft: when, by whom, from what; and the rows of a section",
        parameters=[SectionParameter],
        responses={200: schemas.RulebookAnswer},
        examples=[OpenApiExample("Rulebook", schemas.ONE, response_only=True)],
    )
    def get(self, request: Request, rulebook: str) -> Response:
        section = SectionParameter.read(request).get("section")
        now, found = reading.state(), reading.find(rulebook)
        version = found.revision if isinstance(found, RulebookDraft) else f"{now.in_force.number}.{now.shipped.number}"
        tag = strong_etag(version, rulebook, *shown_as(request, ("section",)))
        return not_modified(request, tag) or tagged(Response(_page(found, now, section)), tag)

    @extend_schema(
        operation_id="rulebooks_discard",
        summary="Close a draft unpublished; its rows stay readable",
        parameters=[IF_MATCH],
        responses={204: None},
    )
    def delete(self, request: Request, rulebook: str) -> Response:
        NoParameters.read(request)
        draft = reading.find_draft(rulebook)
        require_match(request, draft.revision)
        discard(draft, seen=draft.revision, by=asker_name(request), now=timezone.now())
        return Response(status=204)


class DifferencesView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="rulebooks_differences",
        summary="What differs on the way from one rulebook or draft to another, row by row, in sentences",
        parameters=[ToParameter],
        responses={200: schemas.DifferenceList},
        examples=[OpenApiExample("Differences", schemas.DIFFERENCES, response_only=True)],
    )
    def get(self, request: Request, rulebook: str) -> Response:
        to = ToParameter.read(request)["to"]
        return Response({"results": reading.differing(rulebook, to), "next": None, "previous": None})


class PublishView(APIView):
    required_scope: ClassVar = {"POST": Scope.CATALOGUE_WRITE}

    @extend_schema(
        operation_id="rulebooks_publish",
        summary="Publish a draft under the next number, or put a published rulebook in force again",
        description="Refused with 409 and `problems`, each with its path and row, where anything is malformed or "
        "looser at the gate than what was shipped; nothing is published then.",
        parameters=[IDEMPOTENCY_KEY],
        request=None,
        responses={200: schemas.PublishedRulebook, 201: schemas.PublishedRulebook},
        examples=[OpenApiExample("Rulebook", schemas.PUBLISHED, response_only=True)],
    )
    def post(self, request: Request, rulebook: str) -> HttpResponseBase:
        NoParameters.read(request)
        NothingShape().run_validation(request.data)
        now = timezone.now()

        def act(claim: Claim) -> None:
            publish(rulebook, by=asker_name(request), now=now, idempotency=claim)

        return answer_once(request, act, now=now, view=self)


def _page(found: RulebookVersion | RulebookDraft, now: reading.State, section: str | None) -> dict[str, Any]:
    rows = reading.rows_of(found)
    page = reading.draft_head(found) if isinstance(found, RulebookDraft) else reading.version_head(found, now)
    page["sections"] = reading.sections_of(rows)
    if section is not None:
        page["rows"] = [reading.row_document(row) for row in rows if row.section == section]
    return page
