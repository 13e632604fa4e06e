"""Asking checks, one or many, and reading the recorded ones."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar
from uuid import UUID

from django.db.models import QuerySet
from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import examples, schemas
from catalog.api.rendering import KeptAnswerRenderer
from catalog.api.shapes import CheckShape, read_check
from catalog.api.slips import slip_response
from catalog.api.units import UnitsParameter, units_of
from catalog.domain.answers import Verdict
from catalog.models import Check
from catalog.usecases.approval_reading import approvals_applying
from catalog.usecases.approving import check_of
from catalog.usecases.checking import MOST_IN_A_BATCH, check_batch, check_part
from catalog.usecases.showing import shown, summary
from service.errors import DomainError, FieldProblem, Problems
from service.http.asking import asker_name, asking_dealer
from service.http.conditional import not_modified, shown_as, strong_etag, tagged
from service.http.downloads import PDF, PaperRenderer
from service.http.faults import flatten
from service.http.fields import Choice, Identifier, Instant
from service.http.idempotency import answer_once
from service.http.pagination import KeysetPagination
from service.http.problems import problem_of
from service.http.query import PAGE_PARAMETERS, QueryParameters
from service.operations.call_limits import cost_of_checks
from service.operations.idempotency import Claim
from service.operations.models import Dealer, Scope

# Far more than a question needs: a field of ten megabytes is read and refused by its name, and not only by its size.
BODY_BYTES = 16_000_000
IDEMPOTENCY_KEY = OpenApiParameter(
    "Idempotency-Key", str, OpenApiParameter.HEADER, description="Repeat a request with it to get the first answer."
)


class CheckListParameters(QueryParameters):
    also: ClassVar[tuple[str, ...]] = PAGE_PARAMETERS

    verdict = Choice(choices=[verdict.value for verdict in Verdict], required=False)
    machine = Identifier(required=False, help_text="Only checks of this machine.")
    since = Instant(required=False, help_text="Only checks made at this instant or later.")


def wanted_checks(wanted: Mapping[str, Any], dealer: Dealer) -> QuerySet[Check]:
    """This dealer's checks that answer to the parameters of a list."""
    members = {"verdict": "verdict", "machine": "machine", "since": "checked_at__gte"}
    asked = {member: wanted[name] for name, member in members.items() if name in wanted}
    checks: QuerySet[Check] = Check.objects.visible_to(dealer).defer("facts", "question").filter(**asked)
    return checks


class ChecksView(APIView):
    required_scope: ClassVar = {"GET": Scope.CATALOGUE_READ, "POST": Scope.CHECKS_WRITE}
    renderer_classes = (KeptAnswerRenderer,)
    keyset_order = ("-checked_at", "-id")
    max_body_bytes = BODY_BYTES

    @extend_schema(
        operation_id="checks_create",
        summary="Ask whether a part may take another's place",
        parameters=[UnitsParameter, IDEMPOTENCY_KEY],
        request=CheckShape,
        responses={201: schemas.CheckAnswer},
        examples=[
            OpenApiExample("Question", examples.QUESTION, request_only=True),
            OpenApiExample("Answer", examples.ANSWER, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> HttpResponseBase:
        units = units_of(request)
        now = timezone.now()

        def act(claim: Claim) -> None:
            check_part(
                read_check(request.data),
                dealer=asking_dealer(request),
                asked_by=asker_name(request),
                now=now,
                idempotency=claim,
                units=units,
            )

        return answer_once(request, act, now=now, view=self)

    @extend_schema(
        operation_id="checks_list",
        summary="Recorded checks of this dealer, newest first",
        parameters=[CheckListParameters, *schemas.PAGE],
        responses={200: schemas.CheckPage},
        examples=[OpenApiExample("Page", examples.CHECK_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        checks = wanted_checks(CheckListParameters.read(request), asking_dealer(request))
        pages = KeysetPagination()
        return pages.get_paginated_response([summary(row) for row in pages.paginate_queryset(checks, request, self)])


class CheckView(APIView):
    required_scope = Scope.CATALOGUE_READ
    renderer_classes = (KeptAnswerRenderer, PaperRenderer)

    @extend_schema(
        operation_id="checks_read",
        summary="One recorded check, as it was answered, with the approval that applies to it now",
        parameters=[UnitsParameter],
        responses={(200, "application/json"): schemas.CheckAnswer, (200, PDF): OpenApiTypes.BINARY},
        examples=[OpenApiExample("Answer", examples.ANSWER, response_only=True)],
    )
    def get(self, request: Request, check_id: UUID) -> Response:
        units = units_of(request)
        check = check_of(asking_dealer(request), check_id)
        if request.accepted_renderer.media_type == PDF:
            return slip_response(request, check, units)
        approval = approvals_applying([check], check.dealer, timezone.now()).get(check.pk)
        tag = strong_etag(check.digest[:16], approval and approval["id"], *shown_as(request, ("units",)))
        return not_modified(request, tag) or tagged(Response(shown(check, units, approval)), tag)


class BatchShape(serializers.Serializer[Any]):
    """Described here, read by `_items`: each question is read by itself, so that one cannot spoil the others."""

    items: serializers.ListSerializer[Any] = serializers.ListSerializer(
        child=CheckShape(), min_length=1, max_length=MOST_IN_A_BATCH
    )


class BatchView(APIView):
    required_scope = Scope.CHECKS_WRITE
    max_body_bytes = BODY_BYTES

    @staticmethod
    def cost_of_call(body: Any) -> int:
        """A tenth of the questions, rounded up; 1 where there is no list of questions to go through."""
        items = body.get("items") if isinstance(body, Mapping) else None
        return cost_of_checks(len(items)) if isinstance(items, list) and len(items) <= MOST_IN_A_BATCH else 1

    @extend_schema(
        operation_id="checks_batch",
        summary="Ask up to a thousand checks; each gets its answer or its problem, in order",
        description="Costs a tenth of its checks, rounded up, of the key's calls of a minute. A batch that costs more "
        "than is left is refused whole (429); one that costs more than a whole minute has is told so (400).",
        parameters=[UnitsParameter, IDEMPOTENCY_KEY],
        request=BatchShape,
        responses={200: schemas.BatchAnswer},
        examples=[
            OpenApiExample("Questions", {"items": [examples.QUESTION]}, request_only=True),
            OpenApiExample("Answers", examples.BATCH, response_only=True),
        ],
    )
    def post(self, request: Request) -> HttpResponseBase:
        units = units_of(request)
        now = timezone.now()

        def act(claim: Claim) -> None:
            check_batch(
                _items(request.data),
                dealer=asking_dealer(request),
                asked_by=asker_name(request),
                now=now,
                tell=_problem_document,
                idempotency=claim,
                units=units,
            )

        return answer_once(request, act, now=now, view=self)


def _items(data: Any) -> list[dict[str, Any] | DomainError]:
    """Each question read, or its problems. Raises Problems where there is no list of questions to go through."""
    if not isinstance(data, Mapping):
        raise Problems([FieldProblem("", "invalid", "Expected an object with the member items.")])
    strange = [FieldProblem(f"/{name}", "unknown_field", f"There is no field {name!r} here.") for name in data
               if name != "items"]  # fmt: skip
    items = data.get("items")
    if not isinstance(items, list) or not 1 <= len(items) <= MOST_IN_A_BATCH:
        strange.append(FieldProblem("/items", "invalid", f"Expected a list of 1 to {MOST_IN_A_BATCH} questions."))
    if strange or not isinstance(items, list):
        raise Problems(strange)
    return [_read(entry) for entry in items]


def _read(entry: Any) -> dict[str, Any] | DomainError:
    try:
        return read_check(entry)
    except ValidationError as error:
        faults = flatten(error.detail)
        return Problems(FieldProblem(fault.pointer or "", fault.code, fault.detail) for fault in faults)


def _problem_document(error: DomainError, index: int) -> dict[str, Any]:
    """The problem of one question, with pointers into the body as it was sent."""
    told = problem_of(error)
    document = told.document() if told else {}
    for fault in document.get("errors", ()):
        if "pointer" in fault:
            fault["pointer"] = f"#/items/{index}{fault['pointer'].removeprefix('#')}"
    return document
