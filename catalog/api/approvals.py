"""Approving conditional checks, withdrawing approvals, and finding who relied on one."""

from __future__ import annotations

from typing import ClassVar
from uuid import UUID

from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import approval_examples as examples
from catalog.api import approval_schemas as schemas
from catalog.api.approval_shapes import ApprovalShape, ReasonShape
from catalog.api.editing import body_of
from catalog.api.examples import CHECK_PAGE
from catalog.api.schemas import PAGE, CheckPage
from catalog.models import Approval
from catalog.usecases import approval_reading as reading
from catalog.usecases import approving
from catalog.usecases.showing import summary
from service.http.asking import asker_name, asking_dealer, person_of
from service.http.fields import Identifier
from service.http.idempotency import answer_once
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, FlagParameter, NoParameters, PageParameters, QueryParameters
from service.operations.idempotency import Claim
from service.operations.models import Scope

NEWEST_FIRST = ("-approved_at", "-id")
KEY_REQUIRED = OpenApiParameter(
    "Idempotency-Key", str, OpenApiParameter.HEADER, required=True,
    description="Repeat a request with it to get the first answer.",
)  # fmt: skip


def signing(request: Request) -> approving.Signing:
    return approving.Signing(asking_dealer(request), asker_name(request), timezone.now(), person_of(request))


class CheckApprovalsView(APIView):
    required_scope: ClassVar = {"GET": Scope.CATALOGUE_READ, "POST": Scope.APPROVALS_WRITE}
    keyset_order = NEWEST_FIRST

    @extend_schema(
        operation_id="check_approvals_list",
        summary="The approvals given on a check, and whether each applies now",
        parameters=[*PAGE],
        responses={200: schemas.ApprovalPage},
        examples=[OpenApiExample("Page", examples.APPROVAL_PAGE, response_only=True)],
    )
    def get(self, request: Request, check_id: UUID) -> Response:
        PageParameters.read(request)
        dealer = asking_dealer(request)
        check = approving.check_of(dealer, check_id)
        rows = Approval.objects.visible_to(dealer).filter(approved_check=check).select_related(*reading.RELATED)
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response(reading.shown_now(found, dealer, timezone.now()))

    @extend_schema(
        operation_id="check_approvals_create",
        summary="Approve a conditional check, for a person with the role it names in approvable_by",
        parameters=[KEY_REQUIRED],
        request=ApprovalShape,
        responses={201: schemas.ApprovalAnswer},
        examples=[
            OpenApiExample("Approval", examples.APPROVAL_BODY, request_only=True),
            OpenApiExample("Kept", examples.APPROVAL, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request, check_id: UUID) -> HttpResponseBase:
        NoParameters.read(request)
        signed = signing(request)

        def act(claim: Claim) -> None:
            body = body_of(request, ApprovalShape)
            approving.approve(approving.check_of(signed.dealer, check_id), body, signed, claim)

        return answer_once(request, act, now=signed.now, view=self, required=True)


class ApprovalListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    withdrawn = FlagParameter(required=False, help_text="Only those that are withdrawn, or only those that are not.")
    machine = Identifier(required=False, help_text="Only those for this machine.")


class ApprovalsView(APIView):
    required_scope: ClassVar = Scope.CATALOGUE_READ
    keyset_order = NEWEST_FIRST

    @extend_schema(
        operation_id="approvals_list",
        summary="This dealer's approvals, newest first, and whether each applies now",
        parameters=[ApprovalListParameters, *PAGE],
        responses={200: schemas.ApprovalPage},
        examples=[OpenApiExample("Page", examples.APPROVAL_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted, dealer = ApprovalListParameters.read(request), asking_dealer(request)
        rows = Approval.objects.visible_to(dealer).select_related(*reading.RELATED)
        if "withdrawn" in wanted:
            rows = rows.filter(withdrawn_at__isnull=not wanted["withdrawn"])
        if "machine" in wanted:
            rows = rows.filter(machine=wanted["machine"])
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response(reading.shown_now(found, dealer, timezone.now()))


class ApprovalView(APIView):
    required_scope: ClassVar = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="approvals_read",
        summary="One approval, and whether it applies now",
        responses={200: schemas.ApprovalAnswer},
        examples=[OpenApiExample("Approval", examples.APPROVAL, response_only=True)],
    )
    def get(self, request: Request, approval_id: UUID) -> Response:
        NoParameters.read(request)
        dealer = asking_dealer(request)
        found = reading.approval_of(dealer, approval_id)
        return Response(reading.shown_now([found], dealer, timezone.now())[0])


class WithdrawalView(APIView):
    required_scope: ClassVar = Scope.APPROVALS_WRITE

    @extend_schema(
        operation_id="approvals_withdraw",
        summary="Withdraw an approval, for good",
        request=ReasonShape,
        responses={200: schemas.ApprovalAnswer},
        examples=[
            OpenApiExample("Reason", {"reason": "regulator found leaking"}, request_only=True),
            OpenApiExample("Withdrawn", examples.WITHDRAWN, response_only=True),
        ],
    )
    def post(self, request: Request, approval_id: UUID) -> Response:
        NoParameters.read(request)
        signed = signing(request)
        found = reading.approval_of(signed.dealer, approval_id)
        return Response(approving.withdraw(found, body_of(request, ReasonShape)["reason"], signed))


class ReliedOnView(APIView):
    required_scope: ClassVar = Scope.CATALOGUE_READ
    keyset_order = ("-checked_at", "-id")

    @extend_schema(
        operation_id="approvals_checks",
        summary="The checks it was for that were asked while it applied: who relied on it",
        parameters=[*PAGE],
        responses={200: CheckPage},
        examples=[OpenApiExample("Page", CHECK_PAGE, response_only=True)],
    )
    def get(self, request: Request, approval_id: UUID) -> Response:
        PageParameters.read(request)
        dealer = asking_dealer(request)
        rows = reading.relied_on(reading.approval_of(dealer, approval_id), dealer).defer("facts", "question")
        pages = KeysetPagination()
        return pages.get_paginated_response([summary(row) for row in pages.paginate_queryset(rows, request, self)])
