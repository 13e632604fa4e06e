"""One work order, shown, moved and ended together with the kits that were built for it."""

from __future__ import annotations

from typing import ClassVar
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import approval_examples as examples
from catalog.api.approval_schemas import WorkOrderAnswer
from catalog.api.approval_shapes import WorkOrderChangeShape
from catalog.api.editing import changed_to, patch_of, shown_at
from catalog.api.machine_schemas import IF_MATCH
from catalog.api.machines import READ_WRITE
from catalog.usecases.one_version import Asking
from catalog.usecases.work_orders import order_document, order_of
from kits.api import kit_examples
from kits.api.kit_schemas import ChangedWorkOrderAnswer
from kits.usecases.kit_work_orders import change_work_order
from service.http.asking import asker_name, asking_dealer
from service.http.query import NoParameters


class WorkOrderView(APIView):
    required_scope: ClassVar = READ_WRITE
    live_keys_only: ClassVar = frozenset({"PATCH"})  # its kits let go of pieces on a real shelf

    @extend_schema(
        operation_id="work_orders_read",
        summary="One work order",
        responses={200: WorkOrderAnswer},
        examples=[OpenApiExample("Work order", examples.ORDER, response_only=True)],
    )
    def get(self, request: Request, order_id: UUID) -> Response:
        NoParameters.read(request)
        row = order_of(asking_dealer(request), order_id)
        return shown_at(request, row.version, order_document(row))

    @extend_schema(
        operation_id="work_orders_change",
        summary="Move a work order to another day or machine, or close or cancel it for good; its kits let go",
        parameters=[IF_MATCH],
        request=WorkOrderChangeShape,
        responses={200: ChangedWorkOrderAnswer},
        examples=[
            OpenApiExample("Cancel", {"state": "cancelled"}, request_only=True),
            OpenApiExample(
                "Work order",
                {**examples.ORDER, "state": "cancelled", "released": [kit_examples.LET_GO]},
                response_only=True,
            ),
        ],
    )
    def patch(self, request: Request, order_id: UUID) -> Response:
        asking = Asking(asking_dealer(request), asker_name(request), timezone.now())
        row = order_of(asking.dealer, order_id)
        patch = patch_of(request, row.version, WorkOrderChangeShape)
        row, released = change_work_order(row, patch, asking)
        return changed_to(request, row.version, {**order_document(row), "released": released})
