"""Reporting what became of checked parts; and the holds that follow, for a catalogue editor."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.db.models import Prefetch
from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import approval_examples as examples
from catalog.api import approval_schemas as schemas
from catalog.api import vocabulary
from catalog.api.approval_shapes import OutcomeShape, ReasonShape
from catalog.api.checks import IDEMPOTENCY_KEY
from catalog.api.editing import body_of
from catalog.api.schemas import PAGE
from catalog.models import Hold
from catalog.usecases import outcomes
from catalog.usecases.approving import check_of
from service.http.asking import asker_name, asking_dealer
from service.http.fields import Choice
from service.http.idempotency import answer_once
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, NoParameters, PageParameters, QueryParameters
from service.http.serializers import NothingShape
from service.operations.idempotency import Claim
from service.operations.models import Scope

STATES: dict[str, dict[str, Any]] = {
    "own": {"closed_at": None, "confirmed_at": None},
    "all": {"closed_at": None, "confirmed_at__isnull": False},
    "closed": {"closed_at__isnull": False},
}


class OutcomesView(APIView):
    required_scope: ClassVar = {"GET": Scope.CATALOGUE_READ, "POST": Scope.CHECKS_WRITE}
    keyset_order = ("recorded_at", "id")

    @extend_schema(
        operation_id="outcomes_list",
        summary="What was reported of a check, in order",
        parameters=[*PAGE],
        responses={200: schemas.OutcomePage},
        examples=[OpenApiExample("Page", examples.OUTCOME_PAGE, response_only=True)],
    )
    def get(self, request: Request, check_id: UUID) -> Response:
        PageParameters.read(request)
        check = check_of(asking_dealer(request), check_id)
        held = Prefetch("holds", Hold.objects.select_related(*outcomes.RELATED).order_by("pk"))
        pages = KeysetPagination()
        found = pages.paginate_queryset(check.outcomes.prefetch_related(held), request, self)
        return pages.get_paginated_response([outcomes.outcome_document(row, row.holds.all()) for row in found])

    @extend_schema(
        operation_id="outcomes_create",
        summary="Report what became of the part; all but fitted puts it on hold at that position",
        parameters=[IDEMPOTENCY_KEY],
        request=OutcomeShape,
        responses={201: schemas.OutcomeAnswer},
        examples=[
            OpenApiExample("Report", examples.OUTCOME_BODY, request_only=True),
            OpenApiExample("Kept", examples.OUTCOME, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request, check_id: UUID) -> HttpResponseBase:
        NoParameters.read(request)
        now = timezone.now()

        def act(claim: Claim) -> None:
            body = body_of(request, OutcomeShape)
            check = check_of(asking_dealer(request), check_id)
            outcomes.report(check, body, by=asker_name(request), now=now, claim=claim)

        return answer_once(request, act, now=now, view=self)


class HoldListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    state = Choice(choices=vocabulary.HOLD_STATES, required=False)


class HoldsView(APIView):
    required_scope: ClassVar = Scope.CATALOGUE_WRITE
    keyset_order = ("id",)

    @extend_schema(
        operation_id="holds_list",
        summary="What dealers have put on hold, for a catalogue editor",
        parameters=[HoldListParameters, *PAGE],
        responses={200: schemas.HoldPage},
        examples=[OpenApiExample("Page", examples.HOLD_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = HoldListParameters.read(request)
        rows = Hold.objects.filter(**STATES.get(wanted.get("state", ""), {})).select_related(*outcomes.RELATED)
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([outcomes.hold_document(row) for row in found])


class HoldConfirmView(APIView):
    required_scope: ClassVar = Scope.CATALOGUE_WRITE

    @extend_schema(
        operation_id="holds_confirm",
        summary="Let a dealer's hold stand for everybody, for a catalogue editor",
        request=NothingShape,
        responses={200: schemas.HoldAnswer},
        examples=[OpenApiExample("Hold", examples.CONFIRMED, response_only=True)],
    )
    def post(self, request: Request, hold_id: int) -> Response:
        NoParameters.read(request)
        body_of(request, NothingShape)
        row = outcomes.confirm(outcomes.hold_of(hold_id), by=asker_name(request), now=timezone.now())
        return Response(outcomes.hold_document(row))


class HoldCloseView(APIView):
    required_scope: ClassVar = Scope.CATALOGUE_WRITE

    @extend_schema(
        operation_id="holds_close",
        summary="Close a hold: the part is judged as before, for a catalogue editor",
        request=ReasonShape,
        responses={200: schemas.HoldAnswer},
        examples=[
            OpenApiExample("Reason", {"reason": "shroud bent on that engine alone"}, request_only=True),
            OpenApiExample("Hold", examples.CLOSED, response_only=True),
        ],
    )
    def post(self, request: Request, hold_id: int) -> Response:
        NoParameters.read(request)
        reason = body_of(request, ReasonShape)["reason"]
        row = outcomes.close(outcomes.hold_of(hold_id), reason, by=asker_name(request), now=timezone.now())
        return Response(outcomes.hold_document(row))
