"""A dealer's stock items: what lies where, and what of it is free."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.editing import body_of, changed_to, created_at, patch_of, shown_at
from catalog.api.machine_schemas import IF_MATCH
from catalog.api.schemas import PAGE
from catalog.domain.part_numbers import number_key
from kits.api import examples, schemas, shapes
from kits.api.access import READ_WRITE, owner_of
from kits.api.shapes import CODE_LENGTH, NUMBER_LENGTH
from kits.usecases.stock_items import (
    add_item,
    change_item,
    item_document,
    item_of,
    items_of,
    remove_item,
    version_of,
    with_free,
)
from service.http.asking import asking_dealer
from service.http.conditional import require_match
from service.http.fields import Day, Text
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, NoParameters, QueryParameters, WholeParameter

MAKER_LENGTH = 20


class StockItemListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    branch = Text(required=False, max_length=CODE_LENGTH, help_text="The branch's code.")
    part = WholeParameter(required=False, min_value=1, help_text="The part's id.")
    maker = Text(required=False, max_length=MAKER_LENGTH, help_text="The maker's code.")
    number = Text(required=False, max_length=NUMBER_LENGTH, help_text="The maker's number, in whatever punctuation.")
    free__gte = WholeParameter(required=False, min_value=0, help_text="At least so many pieces are free.")
    on = Day(required=False, help_text="The day they are to be fitted, for which free is told; today at the dealer's.")


class OnParameters(QueryParameters):
    on = Day(required=False, help_text="The day they are to be fitted, for which free is told; today at the dealer's.")


def _day(request: Request, given: date | None = None) -> date:
    return given or asking_dealer(request).today(timezone.now())


class StockItemsView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("id",)

    @extend_schema(
        operation_id="stock_items_list",
        summary="This dealer's stock items",
        parameters=[StockItemListParameters, *PAGE],
        responses={200: schemas.StockItemPage},
        examples=[OpenApiExample("Page", examples.ITEM_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = StockItemListParameters.read(request)
        on = _day(request, wanted.pop("on", None))
        columns = {"branch": "branch__code", "part": "part", "maker": "part__maker__code__iexact"}
        filters = {columns[name]: value for name, value in wanted.items() if name in columns}
        if "number" in wanted:
            filters["part__number_key"] = number_key(wanted["number"])
        rows = items_of(asking_dealer(request)).filter(**filters)
        if "free__gte" in wanted:
            rows = with_free(rows, wanted["free__gte"], on)
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([item_document(row, on) for row in found])

    @extend_schema(
        operation_id="stock_items_create",
        summary="Add a stock item",
        request=shapes.StockItemShape,
        responses={201: schemas.StockItemAnswer},
        examples=[
            OpenApiExample("Body", examples.ITEM_BODY, request_only=True),
            OpenApiExample("Kept", examples.ITEM, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> Response:
        on = _day(request)
        row = add_item(body_of(request, shapes.StockItemShape), owner_of(request))
        return created_at(
            request, version_of(row), item_document(row, on), on, address=reverse("stock-item", args=[row.pk])
        )


class StockItemView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="stock_items_read",
        summary="Read a stock item",
        parameters=[OnParameters],
        responses={200: schemas.StockItemAnswer},
        examples=[OpenApiExample("Read", examples.ITEM, response_only=True)],
    )
    def get(self, request: Request, item_id: int) -> Response:
        on = _day(request, OnParameters.read(request).get("on"))
        row = item_of(asking_dealer(request), item_id)
        return shown_at(request, version_of(row), item_document(row, on), on)

    @extend_schema(
        operation_id="stock_items_change",
        summary="Change a stock item",
        parameters=[IF_MATCH],
        request=shapes.StockItemChangeShape,
        responses={200: schemas.StockItemAnswer},
        examples=[
            OpenApiExample("Changed", examples.ITEM, response_only=True),
        ],
    )
    def patch(self, request: Request, item_id: int) -> Response:
        owner = owner_of(request)
        row = item_of(owner.dealer, item_id)
        on = _day(request)
        row = change_item(row, patch_of(request, version_of(row), shapes.StockItemChangeShape), owner)
        return changed_to(request, version_of(row), item_document(row, on), on)

    @extend_schema(
        operation_id="stock_items_remove",
        summary="Take away a stock item",
        parameters=[IF_MATCH],
        responses={204: None},
    )
    def delete(self, request: Request, item_id: int) -> Response:
        NoParameters.read(request)
        owner = owner_of(request)
        row = item_of(owner.dealer, item_id)
        require_match(request, version_of(row))
        remove_item(row, owner)
        return Response(status=204)
