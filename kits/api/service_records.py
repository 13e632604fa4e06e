"""How a machine is used, what was done to it and what was seen on it."""

from __future__ import annotations

from typing import ClassVar
from uuid import UUID

from django.urls import reverse
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.approval_shapes import ReasonShape
from catalog.api.editing import body_of, created_at
from catalog.api.machines import READ_WRITE
from catalog.api.schemas import PAGE
from kits.api import record_examples as examples
from kits.api import record_schemas as schemas
from kits.api import record_shapes as shapes
from kits.api.meters import asked_machine, asking
from kits.usecases import observations, services_done, use_profiles
from service.http.pagination import KeysetPagination
from service.http.query import NoParameters, PageParameters

MISTAKEN = {"reason": "entered on the wrong machine"}
WITHDRAWN = {"at": "2026-03-10T08:00:00Z", "by": "W. Osk", **MISTAKEN}


class UseProfilesView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("said_on", "id")

    @extend_schema(
        operation_id="use_profiles_list",
        summary="What was said of a machine's use; the latest said on or before the day of asking counts",
        parameters=[*PAGE],
        responses={200: schemas.UseProfilePage},
        examples=[OpenApiExample("Page", examples.PROFILE_PAGE, response_only=True)],
    )
    def get(self, request: Request, machine_id: UUID) -> Response:
        PageParameters.read(request)
        pages = KeysetPagination()
        found = pages.paginate_queryset(asked_machine(request, machine_id).use_profiles.all(), request, self)
        return pages.get_paginated_response([use_profiles.profile_document(row) for row in found])

    @extend_schema(
        operation_id="use_profiles_create",
        summary="Say how a machine is used: seasons, hours a day, severe duty",
        request=shapes.UseProfileShape,
        responses={201: schemas.UseProfileAnswer},
        examples=[
            OpenApiExample("Irrigation", examples.PROFILE_BODY, request_only=True),
            OpenApiExample("Kept", examples.PROFILE, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request, machine_id: UUID) -> Response:
        machine = asked_machine(request, machine_id)
        row, version = use_profiles.add_profile(machine, body_of(request, shapes.UseProfileShape), asking(request))
        address = reverse("use-profiles", args=[machine.pk])
        return created_at(request, version, use_profiles.profile_document(row), address=address)


class ServicesDoneView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("on", "id")

    @extend_schema(
        operation_id="services_done_list",
        summary="Work done on a machine, withdrawn entries among it",
        parameters=[*PAGE],
        responses={200: schemas.ServiceDonePage},
        examples=[OpenApiExample("Page", examples.SERVICE_PAGE, response_only=True)],
    )
    def get(self, request: Request, machine_id: UUID) -> Response:
        PageParameters.read(request)
        rows = asked_machine(request, machine_id).services_done.select_related("plan", "work_order")
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([services_done.service_document(row) for row in found])

    @extend_schema(
        operation_id="services_done_create",
        summary="Put work on file: tasks and levels of the machine's plan, at lifetime hours or a meter's reading",
        description="A meter's reading is filed as one of the machine too, believed or held like any other; where the "
        "service is withdrawn it is rejected with it, unless somebody has confirmed it.",
        request=shapes.ServiceDoneShape,
        responses={201: schemas.ServiceDoneAnswer},
        examples=[
            OpenApiExample("Service", examples.SERVICE_BODY, request_only=True),
            OpenApiExample("Kept", examples.SERVICE, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request, machine_id: UUID) -> Response:
        machine = asked_machine(request, machine_id)
        row, version = services_done.add_service(machine, body_of(request, shapes.ServiceDoneShape), asking(request))
        address = reverse("service-done", args=[machine.pk, row.pk])
        return created_at(request, version, services_done.service_document(row), address=address)


class ServiceDoneView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="services_done_read", summary="One service on file", responses={200: schemas.ServiceDoneAnswer},
        examples=[OpenApiExample("Service", examples.SERVICE, response_only=True)],
    )  # fmt: skip
    def get(self, request: Request, machine_id: UUID, service_id: UUID) -> Response:
        NoParameters.read(request)
        row = services_done.service_of(asked_machine(request, machine_id), service_id)
        return Response(services_done.service_document(row))


class ServiceWithdrawalView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="services_done_withdraw",
        summary="Take back an entry that was a mistake: it counts for nothing and stays readable",
        request=ReasonShape,
        responses={200: schemas.ServiceDoneAnswer},
        examples=[
            OpenApiExample("Reason", MISTAKEN, request_only=True),
            OpenApiExample("Service", {**examples.SERVICE, "withdrawn": WITHDRAWN}, response_only=True),
        ],
    )
    def post(self, request: Request, machine_id: UUID, service_id: UUID) -> Response:
        machine, by = asked_machine(request, machine_id), asking(request)
        row = services_done.withdraw_service(machine, service_id, body_of(request, ReasonShape)["reason"], by)
        return Response(services_done.service_document(row))


class ObservationsView(APIView):
    required_scope: ClassVar = READ_WRITE
    keyset_order = ("on", "entered_at", "id")

    @extend_schema(
        operation_id="observations_list",
        summary="Date codes, conditions and events seen on a machine, withdrawn entries among them",
        parameters=[*PAGE],
        responses={200: schemas.ObservationPage},
        examples=[OpenApiExample("Page", examples.OBSERVATION_PAGE, response_only=True)],
    )
    def get(self, request: Request, machine_id: UUID) -> Response:
        PageParameters.read(request)
        rows, pages = asked_machine(request, machine_id).service_observations.all(), KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([observations.observation_document(row) for row in found])

    @extend_schema(
        operation_id="observations_create",
        summary="Put on file what was seen: a part's date code or fitting, a condition, an event",
        request=shapes.ObservationShape,
        responses={201: schemas.ObservationAnswer},
        examples=[
            OpenApiExample("Date code", examples.OBSERVATION_BODY, request_only=True),
            OpenApiExample("Kept", examples.OBSERVATION, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request, machine_id: UUID) -> Response:
        machine = asked_machine(request, machine_id)
        row, version = observations.add_observation(machine, body_of(request, shapes.ObservationShape), asking(request))
        address = reverse("observation", args=[machine.pk, row.pk])
        return created_at(request, version, observations.observation_document(row), address=address)


class ObservationView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="observations_read", summary="One observation", responses={200: schemas.ObservationAnswer},
        examples=[OpenApiExample("Observation", examples.OBSERVATION, response_only=True)],
    )  # fmt: skip
    def get(self, request: Request, machine_id: UUID, observation_id: UUID) -> Response:
        NoParameters.read(request)
        row = observations.observation_of(asked_machine(request, machine_id), observation_id)
        return Response(observations.observation_document(row))


class ObservationWithdrawalView(APIView):
    required_scope: ClassVar = READ_WRITE

    @extend_schema(
        operation_id="observations_withdraw",
        summary="Take back an observation that was a mistake",
        request=ReasonShape,
        responses={200: schemas.ObservationAnswer},
        examples=[
            OpenApiExample("Reason", MISTAKEN, request_only=True),
            OpenApiExample("Observation", {**examples.OBSERVATION, "withdrawn": WITHDRAWN}, response_only=True),
        ],
    )
    def post(self, request: Request, machine_id: UUID, observation_id: UUID) -> Response:
        machine, by = asked_machine(request, machine_id), asking(request)
        reason = body_of(request, ReasonShape)["reason"]
        row = observations.withdraw_observation(machine, observation_id, reason, by)
        return Response(observations.observation_document(row))
