"""A machine's service file, its meters and what was read off them."""

from __future__ import annotations

from typing import ClassVar
from uuid import UUID

from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.editing import body_of, changed_to, created_at, patch_of, shown_at
from catalog.api.machine_schemas import IF_MATCH
from catalog.api.machines import READ_WRITE
from catalog.api.schemas import PAGE
from catalog.models import Machine
from catalog.usecases.machine_writing import Owner, machine_of
from kits.api import record_examples as examples
from kits.api import record_schemas as schemas
from kits.api import record_shapes as shapes
from kits.domain.meters import Review
from kits.usecases import metering, readings, service_files
from kits.usecases.file_reading import file_document
from kits.usecases.metering import By
from service.http.asking import asker_name, asking_dealer
from service.http.pagination import KeysetPagination
from service.http.query import NoParameters, PageParameters


def asking(request: Request) -> By:
    return By(Owner(asking_dealer(request), timezone.now()), asker_name(request))


def asked_machine(request: Request, machine_id: UUID) -> Machine:
    return machine_of(asking_dealer(request), machine_id)


class ServiceFileView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="service_file_read",
        summary="The head of a machine's service record: its plan, since when it runs, whether all work is on file",
        responses={200: schemas.ServiceFileAnswer},
        examples=[OpenApiExample("File", examples.FILE, response_only=True)],
    )
    def get(self, request: Request, machine_id: UUID) -> Response:
        NoParameters.read(request)
        machine = asked_machine(request, machine_id)
        file = service_files.file_of(machine)
        document = file_document(machine, asking_dealer(request), file)
        return shown_at(request, file.version, document, document["holds"])

    @extend_schema(
        operation_id="service_file_change",
        summary="Choose a machine's plan, or say since when it runs and whether all its work is on file",
        parameters=[IF_MATCH],
        request=shapes.ServiceFileShape,
        responses={200: schemas.ServiceFileAnswer},
        examples=[
            OpenApiExample("Change", examples.FILE_BODY, request_only=True),
            OpenApiExample("File", examples.FILE, response_only=True),
        ],
    )
    def patch(self, request: Request, machine_id: UUID) -> Response:
        machine, by = asked_machine(request, machine_id), asking(request)
        version = service_files.file_of(machine).version
        patch = patch_of(request, version, shapes.ServiceFileShape)
        file = service_files.change_file(machine, patch, version, by.owner)
        document = file_document(machine, by.owner.dealer, file)
        return changed_to(request, file.version, document, document["holds"])


class MetersView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("id",)

    @extend_schema(
        operation_id="meters_list",
        summary="The meters a machine has and had",
        parameters=[*PAGE],
        responses={200: schemas.MeterPage},
        examples=[OpenApiExample("Page", examples.METER_PAGE, response_only=True)],
    )
    def get(self, request: Request, machine_id: UUID) -> Response:
        PageParameters.read(request)
        pages = KeysetPagination()
        found = pages.paginate_queryset(asked_machine(request, machine_id).meters.all(), request, self)
        return pages.get_paginated_response([metering.meter_document(row) for row in found])

    @extend_schema(
        operation_id="meters_create",
        summary="Add a meter, and take off the one it replaces in the same call",
        request=shapes.MeterShape,
        responses={201: schemas.MeterAnswer},
        examples=[
            OpenApiExample("Replacing", examples.METER_BODY, request_only=True),
            OpenApiExample("Kept", examples.METER, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request, machine_id: UUID) -> Response:
        machine = asked_machine(request, machine_id)
        meter, version = metering.add_meter(machine, body_of(request, shapes.MeterShape), asking(request))
        address = reverse("machine-meter", args=[machine.pk, meter.code])
        return created_at(request, version, metering.meter_document(meter), address=address)


class MeterView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="meters_read", summary="One meter", responses={200: schemas.MeterAnswer},
        examples=[OpenApiExample("Meter", examples.METER, response_only=True)],
    )  # fmt: skip
    def get(self, request: Request, machine_id: UUID, meter: str) -> Response:
        NoParameters.read(request)
        machine = asked_machine(request, machine_id)
        found = metering.meter_of(machine, meter)
        return shown_at(request, service_files.file_of(machine).version, metering.meter_document(found))

    @extend_schema(
        operation_id="meters_change",
        summary="Take a meter off with what it showed, when and by whom, or put right what is known of it",
        parameters=[IF_MATCH],
        request=shapes.MeterChangeShape,
        responses={200: schemas.MeterAnswer},
        examples=[
            OpenApiExample("Removal", examples.REMOVAL, request_only=True),
            OpenApiExample("Meter", {**examples.METER, **examples.REMOVAL}, response_only=True),
        ],
    )
    def patch(self, request: Request, machine_id: UUID, meter: str) -> Response:
        machine = asked_machine(request, machine_id)
        found, version = metering.meter_of(machine, meter), service_files.file_of(machine).version
        patch = patch_of(request, version, shapes.MeterChangeShape)
        version = metering.change_meter(machine, found, patch, version, asking(request))
        return changed_to(request, version, metering.meter_document(found))


class ReadingsView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("on", "entered_at", "id")

    @extend_schema(
        operation_id="readings_list",
        summary="What was read off a machine's meters, with why a reading is held",
        parameters=[*PAGE],
        responses={200: schemas.ReadingPage},
        examples=[OpenApiExample("Page", examples.READING_PAGE, response_only=True)],
    )
    def get(self, request: Request, machine_id: UUID) -> Response:
        PageParameters.read(request)
        machine, by = asked_machine(request, machine_id), asking(request)
        pages = KeysetPagination()
        found = pages.paginate_queryset(readings.readings_of(machine), request, self)
        held = readings.held_today(machine, by.owner.dealer.today(by.owner.now))
        return pages.get_paginated_response([readings.reading_document(row, held) for row in found])

    @extend_schema(
        operation_id="readings_create",
        summary="Add a reading as typed off the meter; one that cannot be believed is kept and held",
        description="A time without an offset is read in the zone of the branch or of the dealer. One that comes twice "
        "that day is refused as instant-ambiguous, one that never comes as instant-skipped; both name two offsets.",
        request=shapes.ReadingShape,
        responses={201: schemas.ReadingAnswer},
        examples=[
            OpenApiExample("On a day", examples.READING_BODY, request_only=True),
            OpenApiExample("At a time", examples.READING_AT, request_only=True),
            OpenApiExample("Kept", examples.READING, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request, machine_id: UUID) -> Response:
        machine, by = asked_machine(request, machine_id), asking(request)
        row, version = readings.add_reading(machine, body_of(request, shapes.ReadingShape), by)
        held = readings.held_today(machine, by.owner.dealer.today(by.owner.now))
        address = reverse("machine-reading", args=[machine.pk, row.pk])
        return created_at(request, version, readings.reading_document(row, held), address=address)


class ReadingView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="readings_read", summary="One reading", responses={200: schemas.ReadingAnswer},
        examples=[OpenApiExample("Reading", examples.READING, response_only=True)],
    )  # fmt: skip
    def get(self, request: Request, machine_id: UUID, reading_id: UUID) -> Response:
        NoParameters.read(request)
        machine, by = asked_machine(request, machine_id), asking(request)
        row = readings.reading_of(machine, reading_id)
        held = readings.held_today(machine, by.owner.dealer.today(by.owner.now))
        return Response(readings.reading_document(row, held))


class ReviewView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="readings_review",
        summary="Confirm or reject a reading, once",
        request=shapes.ReviewShape,
        responses={200: schemas.ReadingAnswer},
        examples=[
            OpenApiExample("Review", {"review": "rejected"}, request_only=True),
            OpenApiExample("Reading", examples.READING, response_only=True),
        ],
    )
    def post(self, request: Request, machine_id: UUID, reading_id: UUID) -> Response:
        machine, by = asked_machine(request, machine_id), asking(request)
        verdict = Review(body_of(request, shapes.ReviewShape)["review"])
        row = readings.review_reading(machine, reading_id, verdict, by)
        held = readings.held_today(machine, by.owner.dealer.today(by.owner.now))
        return Response(readings.reading_document(row, held))
