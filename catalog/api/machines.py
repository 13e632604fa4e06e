"""A dealer's customers and machines: the engines as they stand. Another dealer's are not found."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar
from uuid import UUID

from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import machine_examples as examples
from catalog.api import machine_schemas as schemas
from catalog.api import machine_shapes as shapes
from catalog.api.editing import body_of, changed_to, created_at, patch_of, shown_at
from catalog.api.schemas import PAGE
from catalog.models import AsBuilt, Customer, Machine, Status
from catalog.usecases import machine_writing as writing
from catalog.usecases.machine_reading import (
    as_built_document,
    customer_document,
    machine_head,
    machine_page,
    record_document,
)
from service.errors import NotFound
from service.http.asking import asking_dealer
from service.http.fields import Choice, Identifier, Text
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, NoParameters, PageParameters, QueryParameters
from service.operations.models import Scope

READ_WRITE: Mapping[str, Scope] = {
    "GET": Scope.CATALOGUE_READ, "POST": Scope.MACHINES_WRITE, "PATCH": Scope.MACHINES_WRITE,
}  # fmt: skip


def _owner(request: Request) -> writing.Owner:
    return writing.Owner(asking_dealer(request), timezone.now())


class CustomersView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("name", "id")

    @extend_schema(
        operation_id="customers_list",
        summary="This dealer's customers",
        parameters=[*PAGE],
        responses={200: schemas.CustomerPage},
        examples=[OpenApiExample("Page", examples.CUSTOMER_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        PageParameters.read(request)
        pages = KeysetPagination()
        rows = pages.paginate_queryset(Customer.objects.visible_to(asking_dealer(request)), request, self)
        return pages.get_paginated_response([customer_document(row) for row in rows])

    @extend_schema(
        operation_id="customers_create",
        summary="Add a customer",
        request=shapes.CustomerShape,
        responses={201: schemas.CustomerAnswer},
        examples=[
            OpenApiExample("Customer", examples.CUSTOMER_BODY, request_only=True),
            OpenApiExample("Kept", examples.CUSTOMER, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> Response:
        row = writing.add_customer(body_of(request, shapes.CustomerShape), _owner(request))
        return created_at(request, row.version, customer_document(row), address=reverse("customer", args=[row.pk]))


class CustomerView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="customers_read", summary="One customer", responses={200: schemas.CustomerAnswer},
        examples=[OpenApiExample("Customer", examples.CUSTOMER, response_only=True)],
    )  # fmt: skip
    def get(self, request: Request, customer_id: UUID) -> Response:
        NoParameters.read(request)
        row = writing.customer_of(asking_dealer(request), customer_id)
        return shown_at(request, row.version, customer_document(row))

    @extend_schema(
        operation_id="customers_change",
        summary="Rename or withdraw a customer",
        parameters=[schemas.IF_MATCH],
        request=shapes.CustomerChangeShape,
        responses={200: schemas.CustomerAnswer},
        examples=[
            OpenApiExample("Change", {"name": "Cold Ash Ice Hall"}, request_only=True),
            OpenApiExample("Customer", examples.CUSTOMER, response_only=True),
        ],
    )
    def patch(self, request: Request, customer_id: UUID) -> Response:
        owner = _owner(request)
        row = writing.customer_of(owner.dealer, customer_id)
        patch = patch_of(request, row.version, shapes.CustomerChangeShape)
        row = writing.change_customer(row, patch, owner)
        return changed_to(request, row.version, customer_document(row))


class MachineListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    name = Text(required=False, max_length=shapes.NAME_LENGTH)
    customer = Identifier(required=False, help_text="The customer's id.")
    status = Choice(choices=Status.values, required=False)


class MachinesView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("name", "id")

    @extend_schema(
        operation_id="machines_list",
        summary="This dealer's machines",
        parameters=[MachineListParameters, *PAGE],
        responses={200: schemas.MachinePage},
        examples=[OpenApiExample("Page", examples.MACHINE_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = MachineListParameters.read(request)
        rows = Machine.objects.visible_to(asking_dealer(request)).select_related("specification", "customer")
        rows = rows.filter(**{name: wanted[name] for name in ("name", "customer", "status") if name in wanted})
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows.defer("facts"), request, self)
        return pages.get_paginated_response([machine_head(row) for row in found])

    @extend_schema(
        operation_id="machines_create",
        summary="Add a machine: a customer's engine as it stands",
        request=shapes.MachineShape,
        responses={201: schemas.MachineAnswer},
        examples=[
            OpenApiExample("Machine", examples.MACHINE_BODY, request_only=True),
            OpenApiExample("Kept", examples.MACHINE, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> Response:
        row = writing.add_machine(body_of(request, shapes.MachineShape), _owner(request))
        return created_at(request, row.version, machine_page(row), address=reverse("machine", args=[row.pk]))


class MachineView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="machines_read",
        summary="One machine with its fuel records and as-built positions",
        responses={200: schemas.MachineAnswer},
        examples=[OpenApiExample("Machine", examples.MACHINE, response_only=True)],
    )
    def get(self, request: Request, machine_id: UUID) -> Response:
        NoParameters.read(request)
        row = writing.machine_of(asking_dealer(request), machine_id)
        return shown_at(request, row.version, machine_page(row))

    @extend_schema(
        operation_id="machines_change",
        summary="Change what is known of a machine, or withdraw it",
        parameters=[schemas.IF_MATCH],
        request=shapes.MachineChangeShape,
        responses={200: schemas.MachineAnswer},
        examples=[
            OpenApiExample("Change", {"serial": "131077"}, request_only=True),
            OpenApiExample("Machine", examples.MACHINE, response_only=True),
        ],
    )
    def patch(self, request: Request, machine_id: UUID) -> Response:
        owner = _owner(request)
        row = writing.machine_of(owner.dealer, machine_id)
        patch = patch_of(request, row.version, shapes.MachineChangeShape)
        row = writing.change_machine(row, patch, owner)
        return changed_to(request, row.version, machine_page(row))


class FuelRecordsView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("found_on", "id")

    @extend_schema(
        operation_id="fuel_records_list",
        summary="What the machine was found burning, in order of the day",
        parameters=[*PAGE],
        responses={200: schemas.FuelRecordPage},
        examples=[OpenApiExample("Page", examples.FUEL_RECORD_PAGE, response_only=True)],
    )
    def get(self, request: Request, machine_id: UUID) -> Response:
        PageParameters.read(request)
        machine = writing.machine_of(asking_dealer(request), machine_id)
        pages = KeysetPagination()
        rows = pages.paginate_queryset(machine.fuel_records.all(), request, self)
        return pages.get_paginated_response([record_document(row) for row in rows])

    @extend_schema(
        operation_id="fuel_records_create",
        summary="Record what the machine was found burning; a record is never changed, a later one says otherwise",
        request=shapes.KeptFuelRecordShape,
        responses={201: schemas.FuelRecordAnswer},
        examples=[
            OpenApiExample("Record", examples.FUEL_RECORD_BODY, request_only=True),
            OpenApiExample("Kept", examples.FUEL_RECORD, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request, machine_id: UUID) -> Response:
        owner = _owner(request)
        machine = writing.machine_of(owner.dealer, machine_id)
        record = writing.add_fuel_record(machine, body_of(request, shapes.KeptFuelRecordShape), owner)
        address = reverse("fuel-records", args=[machine.pk])
        return created_at(request, machine.version, record_document(record), address=address)


class AsBuiltListView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("position", "id")

    @extend_schema(
        operation_id="as_built_list",
        summary="How the positions of a converted machine stand",
        parameters=[*PAGE],
        responses={200: schemas.AsBuiltPage},
        examples=[OpenApiExample("Page", examples.AS_BUILT_PAGE, response_only=True)],
    )
    def get(self, request: Request, machine_id: UUID) -> Response:
        PageParameters.read(request)
        machine = writing.machine_of(asking_dealer(request), machine_id)
        pages = KeysetPagination()
        rows = pages.paginate_queryset(machine.as_built.select_related("part__maker"), request, self)
        return pages.get_paginated_response([as_built_document(row) for row in rows])

    @extend_schema(
        operation_id="as_built_create",
        summary="Record how a position stands: it takes the place of the specification's",
        request=shapes.AsBuiltShape,
        responses={201: schemas.AsBuiltAnswer},
        examples=[
            OpenApiExample("Position", examples.AS_BUILT_BODY, request_only=True),
            OpenApiExample("Kept", examples.AS_BUILT, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request, machine_id: UUID) -> Response:
        owner = _owner(request)
        machine = writing.machine_of(owner.dealer, machine_id)
        standing = writing.add_as_built(machine, body_of(request, shapes.AsBuiltShape), owner)
        address = reverse("as-built-position", args=[machine.pk, standing.position])
        return created_at(request, machine.version, as_built_document(standing), address=address)


class AsBuiltView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="as_built_read", summary="How one position stands", responses={200: schemas.AsBuiltAnswer},
        examples=[OpenApiExample("Position", examples.AS_BUILT, response_only=True)],
    )  # fmt: skip
    def get(self, request: Request, machine_id: UUID, position: str) -> Response:
        NoParameters.read(request)
        machine = writing.machine_of(asking_dealer(request), machine_id)
        return shown_at(request, machine.version, as_built_document(_standing(machine, position)))

    @extend_schema(
        operation_id="as_built_change",
        summary="Change how a position stands",
        parameters=[schemas.IF_MATCH],
        request=shapes.AsBuiltChangeShape,
        responses={200: schemas.AsBuiltAnswer},
        examples=[
            OpenApiExample("Change", {"removed": True, "part": None, "described": None}, request_only=True),
            OpenApiExample("Position", examples.AS_BUILT, response_only=True),
        ],
    )
    def patch(self, request: Request, machine_id: UUID, position: str) -> Response:
        owner = _owner(request)
        machine = writing.machine_of(owner.dealer, machine_id)
        known = _standing(machine, position)
        patch: dict[str, Any] = patch_of(request, machine.version, shapes.AsBuiltChangeShape)
        standing = writing.change_as_built(machine, known, patch, owner)
        return changed_to(request, machine.version, as_built_document(standing))


def _standing(machine: Machine, position: str) -> AsBuilt:
    found = machine.as_built.select_related("part__maker").filter(position=position).first()
    if found is None:
        raise NotFound(f"How {position[:60]!r} stands on {machine.name} is not recorded.")
    return found
