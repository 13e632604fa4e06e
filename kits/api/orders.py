"""Placing, reading, receiving and cancelling orders to suppliers."""

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
from kits.api import order_schemas as schemas
from kits.api import order_vocabulary as vocabulary
from kits.api.order_plans import READ_AND_ORDER
from kits.api.order_shapes import CODE_LENGTH, OrderCancelShape, OrderShape, ReceiptShape
from kits.usecases import order_cancelling, order_documents, order_receiving
from kits.usecases.ordering import Placing, place_orders
from service.http.asking import asker_name, asking_dealer
from service.http.fields import Choice, Text
from service.http.idempotency import answer_once
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, NoParameters, QueryParameters
from service.operations.idempotency import Claim
from service.operations.models import Scope

ORDER_BYTES = 1_000_000
KEY_REQUIRED = OpenApiParameter(
    "Idempotency-Key", str, OpenApiParameter.HEADER, required=True,
    description="Repeat the request with it to get the first answer, so that nothing is ordered or taken in twice.",
)  # fmt: skip


class OrderListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    state = Choice(choices=vocabulary.ORDER_STATES, required=False)
    supplier = Text(max_length=CODE_LENGTH, required=False, help_text="Its code.")


class OrdersView(APIView):
    required_scope: ClassVar = READ_AND_ORDER
    live_keys_only: ClassVar = frozenset({"POST"})
    keyset_order = ("-number", "-id")
    max_body_bytes = ORDER_BYTES

    @extend_schema(
        operation_id="orders_list",
        summary="This dealer's orders, newest first",
        parameters=[OrderListParameters, *PAGE],
        responses={200: schemas.OrderPage},
        examples=[OpenApiExample("Page", examples.ORDER_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = OrderListParameters.read(request)
        rows = order_documents.orders_of(asking_dealer(request))
        if "state" in wanted:
            rows = rows.filter(state=wanted["state"])
        if "supplier" in wanted:
            rows = rows.filter(supplier__code=wanted["supplier"])
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([order_documents.summary(row) for row in found])

    @extend_schema(
        operation_id="orders_create",
        summary="Order from a plan, one order for each supplier, or lines at one supplier",
        description="Prices are those recorded that day and stay on the lines. Pieces that are no whole packs, and "
        "less than a supplier's minimum, are refused with what would do. Test keys are refused.",
        parameters=[KEY_REQUIRED],
        request=OrderShape,
        responses={201: schemas.OrderOrOrders},
        examples=[
            OpenApiExample("From a plan", examples.ORDER_OF_A_PLAN, request_only=True),
            OpenApiExample("Lines", examples.ORDER_BODY, request_only=True),
            OpenApiExample("Order", examples.ORDER, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> HttpResponseBase:
        NoParameters.read(request)
        now, dealer = timezone.now(), asking_dealer(request)

        def act(claim: Claim) -> None:
            body = body_of(request, OrderShape)
            place_orders(body, Placing(dealer, asker_name(request), now, body.get("note", "")), claim)

        return answer_once(request, act, now=now, view=self, required=True)


class OrderView(APIView):
    required_scope: ClassVar = Scope.STOCK_READ

    @extend_schema(
        operation_id="orders_read",
        summary="One order with its lines, what has come, and which kits it is for",
        responses={200: schemas.OrderAnswer},
        examples=[OpenApiExample("Order", examples.ORDER, response_only=True)],
    )
    def get(self, request: Request, order_id: UUID) -> Response:
        NoParameters.read(request)
        row = order_documents.order_of(asking_dealer(request), order_id)
        return shown_at(request, row.version, order_documents.order_document(row))


class OrderReceiptView(APIView):
    required_scope: ClassVar = Scope.ORDERS_WRITE
    live_keys_only: ClassVar = frozenset({"POST"})
    max_body_bytes = ORDER_BYTES

    @extend_schema(
        operation_id="orders_receive",
        summary="Take in what came of an order, in parts if need be, and keep it for the kits it was ordered for",
        parameters=[KEY_REQUIRED],
        request=ReceiptShape,
        responses={200: schemas.OrderAnswer},
        examples=[
            OpenApiExample("Came", examples.RECEIPT_BODY, request_only=True),
            OpenApiExample("Order", examples.ORDER, response_only=True),
        ],
    )
    def post(self, request: Request, order_id: UUID) -> HttpResponseBase:
        NoParameters.read(request)
        now, dealer = timezone.now(), asking_dealer(request)

        def act(claim: Claim) -> None:
            body = body_of(request, ReceiptShape)
            order_receiving.receive(order_id, body, dealer=dealer, by=asker_name(request), now=now, claim=claim)

        return answer_once(request, act, now=now, view=self, required=True)


class OrderCancelView(APIView):
    required_scope: ClassVar = Scope.ORDERS_WRITE
    live_keys_only: ClassVar = frozenset({"POST"})

    @extend_schema(
        operation_id="orders_cancel",
        summary="Call off what has not come of an order, for good; says what the supplier does not take back",
        parameters=[KEY_REQUIRED],
        request=OrderCancelShape,
        responses={200: schemas.OrderAnswer},
        examples=[
            OpenApiExample("Reason", {"reason": "truck 4 was sold"}, request_only=True),
            OpenApiExample("Order", {**examples.ORDER, "state": "cancelled"}, response_only=True),
        ],
    )
    def post(self, request: Request, order_id: UUID) -> HttpResponseBase:
        NoParameters.read(request)
        now, dealer = timezone.now(), asking_dealer(request)

        def act(claim: Claim) -> None:
            reason = body_of(request, OrderCancelShape)["reason"]
            order_cancelling.cancel(order_id, reason, dealer=dealer, by=asker_name(request), now=now, claim=claim)

        return answer_once(request, act, now=now, view=self, required=True)
