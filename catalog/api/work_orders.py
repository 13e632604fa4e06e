"""A dealer's work orders: shop work on a machine, by the dealer's own number.

One of them is shown and changed in `kits.api.work_orders`, since its kits are let go with it.
"""

from __future__ import annotations

from typing import ClassVar

from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import approval_examples as examples
from catalog.api import approval_schemas as schemas
from catalog.api import vocabulary
from catalog.api.approval_shapes import WorkOrderShape
from catalog.api.editing import body_of, created_at
from catalog.api.machines import READ_WRITE
from catalog.api.schemas import PAGE
from catalog.api.shapes import CODE_LENGTH
from catalog.models import WorkOrder
from catalog.usecases import work_orders
from catalog.usecases.machine_writing import Owner
from service.http.asking import asking_dealer
from service.http.fields import Choice, Identifier, Text
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, QueryParameters


class WorkOrderListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    number = Text(required=False, max_length=CODE_LENGTH)
    machine = Identifier(required=False, help_text="The machine's id.")
    state = Choice(choices=vocabulary.WORK_STATES, required=False)


class WorkOrdersView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("number", "id")

    @extend_schema(
        operation_id="work_orders_list",
        summary="This dealer's work orders",
        parameters=[WorkOrderListParameters, *PAGE],
        responses={200: schemas.WorkOrderPage},
        examples=[OpenApiExample("Page", examples.ORDER_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = WorkOrderListParameters.read(request)
        rows = WorkOrder.objects.visible_to(asking_dealer(request)).filter(**wanted)
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([work_orders.order_document(row) for row in found])

    @extend_schema(
        operation_id="work_orders_create",
        summary="Open a work order",
        request=WorkOrderShape,
        responses={201: schemas.WorkOrderAnswer},
        examples=[
            OpenApiExample("Work order", examples.ORDER_BODY, request_only=True),
            OpenApiExample("Kept", examples.ORDER, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> Response:
        owner = Owner(asking_dealer(request), timezone.now())
        row = work_orders.open_order(body_of(request, WorkOrderShape), owner)
        document = work_orders.order_document(row)
        return created_at(request, row.version, document, address=reverse("work-order", args=[row.pk]))
