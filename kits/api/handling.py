"""What a dealer knows of shipping and fitting parts."""

from __future__ import annotations

from typing import ClassVar

from django.urls import reverse
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.editing import body_of, changed_to, created_at, patch_of, shown_at
from catalog.api.machine_schemas import IF_MATCH
from catalog.api.schemas import PAGE
from kits.api import examples, schemas, shapes
from kits.api.access import READ_WRITE, owner_of
from kits.api.shapes import TRANSPORT_CLASSES
from kits.usecases.handling_writing import (
    add_handling,
    change_handling,
    handling_document,
    handling_of,
    one_handling,
    remove_handling,
)
from service.http.asking import asking_dealer
from service.http.conditional import require_match
from service.http.fields import Choice
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, NoParameters, QueryParameters, WholeParameter


class HandlingListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    part = WholeParameter(required=False, min_value=1, help_text="The part's id.")
    transport = Choice(choices=TRANSPORT_CLASSES, required=False)


class HandlingsView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("id",)

    @extend_schema(
        operation_id="handling_list",
        summary="This dealer's records of handling",
        parameters=[HandlingListParameters, *PAGE],
        responses={200: schemas.HandlingPage},
        examples=[OpenApiExample("Page", examples.HANDLING_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = HandlingListParameters.read(request)
        rows = handling_of(asking_dealer(request)).filter(**wanted)
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([handling_document(row) for row in found])

    @extend_schema(
        operation_id="handling_create",
        summary="Add how a part is handled",
        request=shapes.HandlingShape,
        responses={201: schemas.HandlingAnswer},
        examples=[
            OpenApiExample("Body", examples.HANDLING_BODY, request_only=True),
            OpenApiExample("Kept", examples.HANDLING, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> Response:
        row = add_handling(body_of(request, shapes.HandlingShape), owner_of(request))
        return created_at(request, row.version, handling_document(row), address=reverse("handling", args=[row.pk]))


class HandlingView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="handling_read",
        summary="Read how a part is handled",
        responses={200: schemas.HandlingAnswer},
        examples=[OpenApiExample("Read", examples.HANDLING, response_only=True)],
    )
    def get(self, request: Request, handling_id: int) -> Response:
        NoParameters.read(request)
        row = one_handling(asking_dealer(request), handling_id)
        return shown_at(request, row.version, handling_document(row))

    @extend_schema(
        operation_id="handling_change",
        summary="Change how a part is handled",
        parameters=[IF_MATCH],
        request=shapes.HandlingChangeShape,
        responses={200: schemas.HandlingAnswer},
        examples=[
            OpenApiExample("Changed", examples.HANDLING, response_only=True),
        ],
    )
    def patch(self, request: Request, handling_id: int) -> Response:
        owner = owner_of(request)
        row = one_handling(owner.dealer, handling_id)
        row = change_handling(row, patch_of(request, row.version, shapes.HandlingChangeShape), owner)
        return changed_to(request, row.version, handling_document(row))

    @extend_schema(
        operation_id="handling_remove",
        summary="Take away how a part is handled",
        parameters=[IF_MATCH],
        responses={204: None},
    )
    def delete(self, request: Request, handling_id: int) -> Response:
        NoParameters.read(request)
        owner = owner_of(request)
        row = one_handling(owner.dealer, handling_id)
        require_match(request, row.version)
        remove_handling(row, owner)
        return Response(status=204)
