"""Reading parts."""

from __future__ import annotations

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import examples, schemas
from catalog.api.shapes import CODE_LENGTH, MAKER_LENGTH
from catalog.api.units import UnitsParameter, units_of
from catalog.models import Part, Status
from catalog.models.part import NUMBER_LENGTH
from catalog.models.part_numbers import number_key
from catalog.usecases.reading import part_head, part_page, published
from service.errors import NotFound
from service.http.conditional import not_modified, shown_as, strong_etag, tagged
from service.http.fields import Choice, Text
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, QueryParameters
from service.operations.models import Scope


class PartListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    maker = Text(required=False, max_length=MAKER_LENGTH, help_text="The maker's code.")
    number = Text(required=False, max_length=NUMBER_LENGTH, help_text="In whatever punctuation.")
    category = Text(required=False, max_length=CODE_LENGTH)
    status = Choice(choices=Status.values, required=False)


class PartsView(APIView):
    required_scope = Scope.CATALOGUE_READ
    keyset_order = ("maker__code", "number", "id")

    @extend_schema(
        operation_id="parts_list",
        summary="Parts by maker, number, category or status",
        parameters=[PartListParameters, *schemas.PAGE],
        responses={200: schemas.PartPage},
        examples=[OpenApiExample("Page", examples.PART_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = PartListParameters.read(request)
        parts = Part.objects.select_related("maker").defer("facts")
        if "maker" in wanted:
            parts = parts.filter(maker__code__iexact=wanted["maker"])
        if "number" in wanted:
            parts = parts.filter(number_key=number_key(wanted["number"]))
        for name in ("category", "status"):
            if name in wanted:
                parts = parts.filter(**{name: wanted[name]})
        pages = KeysetPagination()
        rows = pages.paginate_queryset(parts, request, self)
        response = pages.get_paginated_response([part_head(row) for row in rows])
        response.data |= published().provenance
        return response


class PartView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="parts_read",
        summary="One part with every value recorded of it, each with its source",
        parameters=[UnitsParameter],
        responses={200: schemas.PartAnswer},
        examples=[OpenApiExample("Part", examples.PART_ANSWER, response_only=True)],
    )
    def get(self, request: Request, part_id: int) -> Response:
        units = units_of(request)
        part = Part.objects.select_related("maker").filter(pk=part_id).first()
        if part is None:
            raise NotFound(f"There is no part with the id {part_id}.")
        now = published()
        tag = strong_etag(part.changed_in, now.standing.rulebook, now.standing.version, *shown_as(request, ("units",)))
        known = not_modified(request, tag)
        return known or tagged(Response({**part_page(part, now.rulebook, units), **now.provenance}), tag)
