"""Planning what to order for kits, and reading plans."""

from __future__ import annotations

from typing import ClassVar
from uuid import UUID

from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.editing import body_of, shown_at
from catalog.api.schemas import PAGE
from kits.api import order_examples as examples
from kits.api import order_plan_schemas as schemas
from kits.api.order_shapes import OrderPlanShape
from kits.models import OrderPlan
from kits.usecases import order_plan_reading as reading
from kits.usecases.order_planning import make_plan
from service.http.asking import asker_name, asking_dealer
from service.http.idempotency import answer_once
from service.http.pagination import KeysetPagination
from service.http.query import NoParameters, PageParameters
from service.operations.idempotency import Claim
from service.operations.models import Scope

READ_AND_ORDER = {"GET": Scope.STOCK_READ, "POST": Scope.ORDERS_WRITE}
KEY_OPTIONAL = OpenApiParameter(
    "Idempotency-Key", str, OpenApiParameter.HEADER, description="Repeat a request with it to get the first answer."
)


class OrderPlansView(APIView):
    required_scope: ClassVar = READ_AND_ORDER
    keyset_order = ("-made_at", "-id")

    @extend_schema(
        operation_id="order_plans_list",
        summary="This dealer's order plans, newest first",
        parameters=[*PAGE],
        responses={200: schemas.OrderPlanPage},
        examples=[OpenApiExample("Page", examples.PLAN_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        PageParameters.read(request)
        rows = OrderPlan.objects.visible_to(asking_dealer(request)).select_related("job")
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([reading.summary(row) for row in found])

    @extend_schema(
        operation_id="order_plans_create",
        summary="Plan what to order for some kits: whole packs, suppliers, last safe days, cost and proven gap",
        description="Answered at once with a plan and a bound that is proven. Where something could still be saved a "
        "job looks for a better plan; read the plan again. Nothing is ordered by it, and nothing swapped in a kit.",
        parameters=[KEY_OPTIONAL],
        request=OrderPlanShape,
        responses={201: schemas.OrderPlanAnswer},
        examples=[
            OpenApiExample("Kits", examples.PLAN_BODY, request_only=True),
            OpenApiExample("Plan", examples.PLAN, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> HttpResponseBase:
        NoParameters.read(request)
        now, dealer = timezone.now(), asking_dealer(request)

        def act(claim: Claim) -> None:
            body = body_of(request, OrderPlanShape)
            make_plan(body, dealer=dealer, asked_by=asker_name(request), now=now, claim=claim)

        return answer_once(request, act, now=now, view=self)


class OrderPlanView(APIView):
    required_scope: ClassVar = Scope.STOCK_READ

    @extend_schema(
        operation_id="order_plans_read",
        summary="One order plan, how far its improvement is, and whether what it was made from still stands",
        responses={200: schemas.OrderPlanAnswer},
        examples=[OpenApiExample("Plan", examples.PLAN, response_only=True)],
    )
    def get(self, request: Request, plan_id: UUID) -> Response:
        NoParameters.read(request)
        row = reading.plan_of(asking_dealer(request), plan_id)
        outdated = reading.is_outdated(row, timezone.now())
        return shown_at(request, row.version, reading.shown_plan(row, outdated=outdated), reading.state_of(row),
                        outdated)  # fmt: skip
