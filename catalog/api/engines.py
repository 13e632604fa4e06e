"""Engine specifications, and what makers say of parts: read by everyone, written by editors."""

from __future__ import annotations

from typing import Any, ClassVar

import django_filters  # type: ignore[import-untyped]
from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import engine_examples as examples
from catalog.api import engine_schemas as schemas
from catalog.api import vocabulary
from catalog.api.editing import body_of, changed_to, created_at, patch_of, shown_at
from catalog.api.engine_shapes import NewSpecificationShape, SpecificationChangeShape
from catalog.api.machine_schemas import IF_MATCH
from catalog.api.part_shapes import StatementChangeShape, StatementShape
from catalog.api.parts import EDITED
from catalog.api.schemas import PAGE
from catalog.api.shapes import CODE_LENGTH, MAKER_LENGTH
from catalog.api.units import UnitsParameter, units_of
from catalog.models import EngineSpecification, Statement, Supersession
from catalog.usecases.part_editing import part_of
from catalog.usecases.part_finding import LARGEST_ID
from catalog.usecases.reading import published
from catalog.usecases.specification_editing import (
    add_specification,
    change_specification,
    specification_head,
    specification_numbered,
    specification_page,
)
from catalog.usecases.statement_editing import add_statement, change_statement, statement_document, statement_of
from catalog.usecases.supersessions import supersession_document
from service.http.fields import Choice, Text
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, NoParameters, PageParameters, QueryParameters, WholeParameter
from service.operations.models import Scope


class SpecificationFilter(django_filters.FilterSet):  # type: ignore[misc] # the library has no types
    maker = django_filters.CharFilter(field_name="maker__code", lookup_expr="iexact")

    class Meta:
        model = EngineSpecification
        fields = ("maker", "model", "spec", "status")


class SpecificationListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    maker = Text(required=False, max_length=MAKER_LENGTH, help_text="The maker's code.")
    model = Text(required=False, max_length=CODE_LENGTH)
    spec = Text(required=False, max_length=CODE_LENGTH)
    status = Choice(choices=vocabulary.STATUSES, required=False)


class SpecificationsView(APIView):
    required_scope: ClassVar = EDITED
    keyset_order = ("model", "spec", "id")

    @extend_schema(
        operation_id="engine_specs_list",
        summary="Engine specifications by maker, model and specification number",
        parameters=[SpecificationListParameters, *PAGE],
        responses={200: schemas.SpecificationPage},
        examples=[OpenApiExample("Page", examples.SPECIFICATION_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = SpecificationListParameters.read(request)
        now = published()
        rows = SpecificationFilter(wanted, EngineSpecification.objects.select_related("maker").defer("facts")).qs
        pages = KeysetPagination()
        response = pages.get_paginated_response(
            [specification_head(row) for row in pages.paginate_queryset(rows, request, self)]
        )
        response.data |= now.provenance
        return response

    @extend_schema(
        operation_id="engine_specs_create",
        summary="Add an engine specification, for a catalogue editor",
        parameters=[UnitsParameter],
        request=NewSpecificationShape,
        responses={201: schemas.SpecificationAnswer},
        examples=[
            OpenApiExample("New build", examples.SPECIFICATION_BODY, request_only=True),
            OpenApiExample("Build", examples.SPECIFICATION, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> Response:
        units_of(request)
        row = add_specification(body_of(request, NewSpecificationShape), timezone.now())
        version, document, also = _shown(request, row)
        return created_at(request, version, document, *also, address=reverse("engine-spec", args=[row.pk]))


class SpecificationView(APIView):
    required_scope: ClassVar = EDITED

    @extend_schema(
        operation_id="engine_specs_read",
        summary="One engine specification: positions, what they demand, parts with when they hold, supply stages",
        parameters=[UnitsParameter],
        responses={200: schemas.SpecificationAnswer},
        examples=[OpenApiExample("Build", examples.SPECIFICATION, response_only=True)],
    )
    def get(self, request: Request, spec_id: int) -> Response:
        units_of(request)
        version, document, also = _shown(request, specification_numbered(spec_id))
        return shown_at(request, version, document, *also)

    @extend_schema(
        operation_id="engine_specs_change",
        summary="Change or withdraw an engine specification, for a catalogue editor",
        parameters=[UnitsParameter, IF_MATCH],
        request=SpecificationChangeShape,
        responses={200: schemas.SpecificationAnswer},
        examples=[
            OpenApiExample("Rename", {"name": "resurfacer engine"}, request_only=True),
            OpenApiExample("Build", examples.SPECIFICATION, response_only=True),
        ],
    )
    def patch(self, request: Request, spec_id: int) -> Response:
        units_of(request)
        row = specification_numbered(spec_id)
        row = change_specification(row, patch_of(request, row.changed_in, SpecificationChangeShape), timezone.now())
        version, document, also = _shown(request, row)
        return changed_to(request, version, document, *also)


def _shown(request: Request, row: EngineSpecification) -> tuple[int, dict[str, Any], tuple[int, int]]:
    now = published()
    document = {**specification_page(row, now.rulebook, units_of(request)), **now.provenance}
    return row.changed_in, document, (now.standing.rulebook, now.standing.version)


class StatementFilter(django_filters.FilterSet):  # type: ignore[misc] # the library has no types
    part = django_filters.NumberFilter(field_name="part_id")
    spec = django_filters.NumberFilter(field_name="specification_id")
    position = django_filters.CharFilter(field_name="position__code")

    class Meta:
        model = Statement
        fields = ("part", "spec", "position", "kind", "status")


class StatementListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    part = WholeParameter(required=False, min_value=1, max_value=LARGEST_ID, help_text="The part's id.")
    spec = WholeParameter(required=False, min_value=1, max_value=LARGEST_ID, help_text="The specification's id.")
    position = Text(required=False, max_length=CODE_LENGTH)
    kind = Choice(choices=vocabulary.STATEMENT_KINDS, required=False)
    status = Choice(choices=vocabulary.STATUSES, required=False)


class StatementsView(APIView):
    required_scope: ClassVar = EDITED
    keyset_order = ("id",)

    @extend_schema(
        operation_id="statements_list",
        summary="What makers say of parts at positions",
        parameters=[StatementListParameters, *PAGE],
        responses={200: schemas.StatementPage},
        examples=[OpenApiExample("Page", examples.STATEMENT_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = StatementListParameters.read(request)
        rows = Statement.objects.select_related("part__maker", "specification", "position").defer(
            "part__facts", "specification__facts"
        )
        pages = KeysetPagination()
        found = pages.paginate_queryset(StatementFilter(wanted, rows).qs, request, self)
        return pages.get_paginated_response([statement_document(row) for row in found])

    @extend_schema(
        operation_id="statements_create",
        summary="Add a maker's statement, for a catalogue editor",
        request=StatementShape,
        responses={201: schemas.StatementAnswer},
        examples=[
            OpenApiExample("Statement", examples.STATEMENT_BODY, request_only=True),
            OpenApiExample("Kept", examples.STATEMENT, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> Response:
        row = add_statement(body_of(request, StatementShape), timezone.now())
        return created_at(request, row.changed_in, statement_document(row), address=reverse("statement", args=[row.pk]))


class StatementView(APIView):
    required_scope: ClassVar = EDITED

    @extend_schema(
        operation_id="statements_read", summary="One statement", responses={200: schemas.StatementAnswer},
        examples=[OpenApiExample("Statement", examples.STATEMENT, response_only=True)],
    )  # fmt: skip
    def get(self, request: Request, statement_id: int) -> Response:
        NoParameters.read(request)
        row = statement_of(statement_id)
        return shown_at(request, row.changed_in, statement_document(row))

    @extend_schema(
        operation_id="statements_change",
        summary="Withdraw a statement, or say it again, for a catalogue editor",
        parameters=[IF_MATCH],
        request=StatementChangeShape,
        responses={200: schemas.StatementAnswer},
        examples=[
            OpenApiExample("Withdraw", {"status": "withdrawn"}, request_only=True),
            OpenApiExample("Statement", examples.STATEMENT, response_only=True),
        ],
    )
    def patch(self, request: Request, statement_id: int) -> Response:
        row = statement_of(statement_id)
        row = change_statement(row, patch_of(request, row.changed_in, StatementChangeShape), timezone.now())
        return changed_to(request, row.changed_in, statement_document(row))


class SupersessionsView(APIView):
    required_scope = Scope.CATALOGUE_READ
    keyset_order = ("id",)

    @extend_schema(
        operation_id="parts_supersessions",
        summary="What replaces a part and what it replaces, as the makers publish it",
        parameters=[*PAGE],
        responses={200: schemas.SupersessionPage},
        examples=[OpenApiExample("Page", examples.SUPERSESSION_PAGE, response_only=True)],
    )
    def get(self, request: Request, part_id: int) -> Response:
        PageParameters.read(request)
        part = part_of(part_id)
        rows = Supersession.objects.filter(members__part=part).select_related("specification")
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows.prefetch_related("members__part__maker"), request, self)
        return pages.get_paginated_response([supersession_document(row) for row in found])
