"""Service plans: shared by all dealers, or a dealer's own."""

from __future__ import annotations

from collections.abc import Mapping
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
from catalog.api.schemas import PAGE
from catalog.api.shapes import CODE_LENGTH, MAKER_LENGTH
from kits.api import plan_examples as examples
from kits.api import plan_schemas as schemas
from kits.api.plan_shapes import PlanChangeShape, PlanShape
from kits.models import ServicePlan
from kits.usecases import plan_writing as writing
from kits.usecases.plan_reading import plan_head, plan_page
from service.http.asking import asking_dealer, dealer_of
from service.http.fields import Text
from service.http.pagination import KeysetPagination
from service.http.permissions import MissingScope, may
from service.http.query import PAGE_PARAMETERS, NoParameters, QueryParameters
from service.operations.models import Scope

FILTERS: Mapping[str, str] = {
    "maker": "maker__code", "model": "model", "spec": "specification__spec", "code": "code",
}  # fmt: skip


class PlanListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    maker = Text(required=False, max_length=MAKER_LENGTH)
    model = Text(required=False, max_length=CODE_LENGTH)
    spec = Text(required=False, max_length=CODE_LENGTH, help_text="The specification number.")
    code = Text(required=False, max_length=CODE_LENGTH)


class ServicePlansView(APIView):
    required_scope: ClassVar = {"GET": Scope.CATALOGUE_READ}  # who may write depends on whose plan it is
    keyset_order = ("code", "id")

    @extend_schema(
        operation_id="service_plans_list",
        summary="The shared service plans and this dealer's own",
        parameters=[PlanListParameters, *PAGE],
        responses={200: schemas.PlanPage},
        examples=[OpenApiExample("Page", examples.PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = PlanListParameters.read(request)
        rows = ServicePlan.objects.visible_to(dealer_of(request)).select_related("maker", "specification")
        rows = rows.filter(**{path: wanted[name] for name, path in FILTERS.items() if name in wanted})
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows.defer("document"), request, self)
        return pages.get_paginated_response([plan_head(row) for row in found])

    @extend_schema(
        operation_id="service_plans_create",
        summary="Add a service plan: tasks with what makes them fall due and the parts they take",
        description="A shared plan takes the scope catalogue:write, a dealer's own machines:write.",
        request=PlanShape,
        responses={201: schemas.PlanAnswer},
        examples=[
            OpenApiExample("Plan", examples.PLAN_BODY, request_only=True),
            *(OpenApiExample(name, body, request_only=True) for name, body in examples.TRIGGER_BODIES.items()),
            OpenApiExample("Kept", examples.PLAN, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> Response:
        body = body_of(request, PlanShape)
        shared = bool(body.get("shared"))
        refuse_writing(request, shared=shared)
        row = writing.add_plan(body, None if shared else asking_dealer(request), timezone.now())
        return created_at(request, row.version, plan_page(row), address=reverse("service-plan", args=[row.pk]))


class ServicePlanView(APIView):
    required_scope: ClassVar = {"GET": Scope.CATALOGUE_READ}

    @extend_schema(
        operation_id="service_plans_read",
        summary="One service plan with its tasks, levels and joints",
        responses={200: schemas.PlanAnswer},
        examples=[OpenApiExample("Plan", examples.PLAN, response_only=True)],
    )
    def get(self, request: Request, plan_id: UUID) -> Response:
        NoParameters.read(request)
        row = writing.plan_of(dealer_of(request), plan_id)
        return shown_at(request, row.version, plan_page(row))

    @extend_schema(
        operation_id="service_plans_change",
        summary="Change a service plan, or withdraw it; a list takes the place of the whole list",
        parameters=[IF_MATCH],
        request=PlanChangeShape,
        responses={200: schemas.PlanAnswer},
        examples=[
            OpenApiExample("Change", {"name": "VRD-H40, our own, since 2026"}, request_only=True),
            OpenApiExample("Plan", examples.PLAN, response_only=True),
        ],
    )
    def patch(self, request: Request, plan_id: UUID) -> Response:
        row = writing.plan_of(dealer_of(request), plan_id)
        refuse_writing(request, shared=row.dealer_id is None)
        patch = patch_of(request, row.version, PlanChangeShape)
        row = writing.change_plan(row, patch, timezone.now())
        return changed_to(request, row.version, plan_page(row))


def refuse_writing(request: Request, *, shared: bool) -> None:
    """Raises MissingScope: a shared plan is the catalogue's, a dealer's own goes with its machines."""
    scope = Scope.CATALOGUE_WRITE if shared else Scope.MACHINES_WRITE
    if not may(request, scope):
        whose = "A plan shared by all dealers" if shared else "A dealer's own plan"
        raise MissingScope(f"{whose} takes the scope {scope} to write; ask for a key that has it.", scope=scope)
