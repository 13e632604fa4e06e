"""A dealer's suppliers and their prices."""

from __future__ import annotations

from typing import ClassVar
from uuid import UUID

from django.urls import reverse
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import vocabulary
from catalog.api.editing import body_of, changed_to, created_at, patch_of, shown_at
from catalog.api.machine_schemas import IF_MATCH
from catalog.api.schemas import PAGE
from catalog.domain.part_numbers import number_key
from kits.api import examples, schemas, shapes
from kits.api.access import READ_WRITE, owner_of
from kits.api.shapes import CODE_LENGTH, NUMBER_LENGTH
from kits.models import Supplier
from kits.usecases.supplier_writing import (
    add_price,
    add_supplier,
    change_price,
    change_supplier,
    price_document,
    price_of,
    prices_of,
    remove_price,
    supplier_document,
    supplier_of,
)
from service.http.asking import asking_dealer
from service.http.conditional import require_match
from service.http.fields import Choice, Text
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, NoParameters, QueryParameters, WholeParameter

MAKER_LENGTH = 20


class SupplierListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    code = Text(required=False, max_length=CODE_LENGTH)
    status = Choice(choices=vocabulary.STATUSES, required=False)


class PriceListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    supplier = Text(required=False, max_length=CODE_LENGTH, help_text="The supplier's code.")
    part = WholeParameter(required=False, min_value=1, help_text="The part's id.")
    maker = Text(required=False, max_length=MAKER_LENGTH, help_text="The maker's code.")
    number = Text(required=False, max_length=NUMBER_LENGTH, help_text="The maker's number, in whatever punctuation.")


class SuppliersView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("code", "id")

    @extend_schema(
        operation_id="suppliers_list",
        summary="This dealer's suppliers",
        parameters=[SupplierListParameters, *PAGE],
        responses={200: schemas.SupplierPage},
        examples=[OpenApiExample("Page", examples.SUPPLIER_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = SupplierListParameters.read(request)
        rows = Supplier.objects.visible_to(asking_dealer(request)).filter(**wanted)
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([supplier_document(row) for row in found])

    @extend_schema(
        operation_id="suppliers_create",
        summary="Add a supplier",
        request=shapes.SupplierShape,
        responses={201: schemas.SupplierAnswer},
        examples=[
            OpenApiExample("Body", examples.SUPPLIER_BODY, request_only=True),
            OpenApiExample("Kept", examples.SUPPLIER, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> Response:
        row = add_supplier(body_of(request, shapes.SupplierShape), owner_of(request))
        return created_at(request, row.version, supplier_document(row), address=reverse("supplier", args=[row.pk]))


class SupplierView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="suppliers_read",
        summary="Read a supplier",
        responses={200: schemas.SupplierAnswer},
        examples=[OpenApiExample("Read", examples.SUPPLIER, response_only=True)],
    )
    def get(self, request: Request, supplier_id: UUID) -> Response:
        NoParameters.read(request)
        row = supplier_of(asking_dealer(request), supplier_id)
        return shown_at(request, row.version, supplier_document(row))

    @extend_schema(
        operation_id="suppliers_change",
        summary="Change a supplier",
        parameters=[IF_MATCH],
        request=shapes.SupplierChangeShape,
        responses={200: schemas.SupplierAnswer},
        examples=[
            OpenApiExample("Changed", examples.SUPPLIER, response_only=True),
        ],
    )
    def patch(self, request: Request, supplier_id: UUID) -> Response:
        owner = owner_of(request)
        row = supplier_of(owner.dealer, supplier_id)
        row = change_supplier(row, patch_of(request, row.version, shapes.SupplierChangeShape), owner)
        return changed_to(request, row.version, supplier_document(row))


class PricesView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("id",)

    @extend_schema(
        operation_id="supplier_prices_list",
        summary="This dealer's prices of suppliers",
        parameters=[PriceListParameters, *PAGE],
        responses={200: schemas.PricePage},
        examples=[OpenApiExample("Page", examples.PRICE_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = PriceListParameters.read(request)
        columns = {"supplier": "supplier__code", "part": "part", "maker": "part__maker__code__iexact"}
        filters = {columns[name]: value for name, value in wanted.items() if name in columns}
        if "number" in wanted:
            filters["part__number_key"] = number_key(wanted["number"])
        rows = prices_of(asking_dealer(request)).filter(**filters)
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([price_document(row) for row in found])

    @extend_schema(
        operation_id="supplier_prices_create",
        summary="Add a supplier's price",
        request=shapes.SupplierPriceShape,
        responses={201: schemas.PriceAnswer},
        examples=[
            OpenApiExample("Body", examples.PRICE_BODY, request_only=True),
            OpenApiExample("Kept", examples.PRICE, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> Response:
        row = add_price(body_of(request, shapes.SupplierPriceShape), owner_of(request))
        return created_at(request, row.version, price_document(row), address=reverse("supplier-price", args=[row.pk]))


class PriceView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="supplier_prices_read",
        summary="Read a supplier's price",
        responses={200: schemas.PriceAnswer},
        examples=[OpenApiExample("Read", examples.PRICE, response_only=True)],
    )
    def get(self, request: Request, price_id: int) -> Response:
        NoParameters.read(request)
        row = price_of(asking_dealer(request), price_id)
        return shown_at(request, row.version, price_document(row))

    @extend_schema(
        operation_id="supplier_prices_change",
        summary="Change a supplier's price",
        parameters=[IF_MATCH],
        request=shapes.PriceChangeShape,
        responses={200: schemas.PriceAnswer},
        examples=[
            OpenApiExample("Changed", examples.PRICE, response_only=True),
        ],
    )
    def patch(self, request: Request, price_id: int) -> Response:
        owner = owner_of(request)
        row = price_of(owner.dealer, price_id)
        row = change_price(row, patch_of(request, row.version, shapes.PriceChangeShape), owner)
        return changed_to(request, row.version, price_document(row))

    @extend_schema(
        operation_id="supplier_prices_remove",
        summary="Take away a supplier's price",
        parameters=[IF_MATCH],
        responses={204: None},
    )
    def delete(self, request: Request, price_id: int) -> Response:
        NoParameters.read(request)
        owner = owner_of(request)
        row = price_of(owner.dealer, price_id)
        require_match(request, row.version)
        remove_price(row, owner)
        return Response(status=204)
