"""Parts: found by their names and by what is recorded of them, added and changed by editors."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

import django_filters  # type: ignore[import-untyped]
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import examples, schemas
from catalog.api.editing import body_of, changed_to, created_at, patch_of, shown_at
from catalog.api.machine_schemas import IF_MATCH
from catalog.api.part_shapes import PartChangeShape, PartShape
from catalog.api.shapes import CODE_LENGTH, MAKER_LENGTH
from catalog.api.units import UnitsParameter, units_of
from catalog.domain.part_numbers import number_key
from catalog.models import Part, Status
from catalog.models.part import NUMBER_LENGTH
from catalog.usecases.attribute_filters import PREFIX, with_attributes
from catalog.usecases.part_editing import add_part, change_part, part_of
from catalog.usecases.reading import part_head, part_page, published
from service.http.fields import Choice, Text
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, QueryParameters
from service.operations.models import Scope

ATTRIBUTE = OpenApiParameter(
    "attr__{attribute}__{operator}",
    str,
    description="Parts by a recorded value: `attr__max_pressure__gte=350 psi gauge`, `attr__joint_form@inlet=npt`. "
    "Operators are gte, gt, lte and lt for measures and dates, and none for equal; of several codes all are asked for.",
)
EDITED: Mapping[str, Scope] = {
    "GET": Scope.CATALOGUE_READ, "POST": Scope.CATALOGUE_WRITE, "PATCH": Scope.CATALOGUE_WRITE,
}  # fmt: skip


class PartFilter(django_filters.FilterSet):  # type: ignore[misc] # the library has no types
    """What the columns of a part are asked for; `PartListParameters` has read the parameters by then."""

    maker = django_filters.CharFilter(field_name="maker__code", lookup_expr="iexact")
    number = django_filters.CharFilter(method="by_number")

    class Meta:
        model = Part
        fields = ("maker", "number", "category", "status")

    def by_number(self, parts: QuerySet[Part], _name: str, number: str) -> QuerySet[Part]:
        return parts.filter(number_key=number_key(number))


class PartListParameters(QueryParameters):
    also = PAGE_PARAMETERS
    open_prefixes = (PREFIX,)

    maker = Text(required=False, max_length=MAKER_LENGTH, help_text="The maker's code.")
    number = Text(required=False, max_length=NUMBER_LENGTH, help_text="In whatever punctuation.")
    category = Text(required=False, max_length=CODE_LENGTH)
    status = Choice(choices=Status.values, required=False)


class PartsView(APIView):
    required_scope: ClassVar = EDITED
    keyset_order = ("maker__code", "number", "id")

    @extend_schema(
        operation_id="parts_list",
        summary="Parts by maker, number, category, status or any recorded value",
        parameters=[PartListParameters, ATTRIBUTE, *schemas.PAGE],
        responses={200: schemas.PartPage},
        examples=[OpenApiExample("Page", examples.PART_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = PartListParameters.read(request)
        values = wanted.pop("open")
        now = published()
        parts = PartFilter(wanted, Part.objects.select_related("maker").defer("facts")).qs
        pages = KeysetPagination()
        rows = pages.paginate_queryset(with_attributes(parts, values, now.rulebook), request, self)
        response = pages.get_paginated_response([part_head(row) for row in rows])
        response.data |= now.provenance
        return response

    @extend_schema(
        operation_id="parts_create",
        summary="Add a part, for a catalogue editor",
        parameters=[UnitsParameter],
        request=PartShape,
        responses={201: schemas.PartAnswer},
        examples=[
            OpenApiExample("New part", examples.PART_BODY, request_only=True),
            OpenApiExample("Part", examples.PART_ANSWER, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> Response:
        units_of(request)
        part = add_part(body_of(request, PartShape), timezone.now())
        version, document, also = _shown(request, part)
        return created_at(request, version, document, *also, address=reverse("part", args=[part.pk]))


class PartView(APIView):
    required_scope: ClassVar = EDITED

    @extend_schema(
        operation_id="parts_read",
        summary="One part with every value recorded of it, each with its source",
        parameters=[UnitsParameter],
        responses={200: schemas.PartAnswer},
        examples=[OpenApiExample("Part", examples.PART_ANSWER, response_only=True)],
    )
    def get(self, request: Request, part_id: int) -> Response:
        units_of(request)
        version, document, also = _shown(request, part_of(part_id))
        return shown_at(request, version, document, *also)

    @extend_schema(
        operation_id="parts_change",
        summary="Change or withdraw a part, for a catalogue editor; a list given takes the place of the whole list",
        parameters=[UnitsParameter, IF_MATCH],
        request=PartChangeShape,
        responses={200: schemas.PartAnswer},
        examples=[
            OpenApiExample("Withdraw", {"status": "withdrawn"}, request_only=True),
            OpenApiExample("Part", examples.PART_ANSWER, response_only=True),
        ],
    )
    def patch(self, request: Request, part_id: int) -> Response:
        units_of(request)
        part = part_of(part_id)
        part = change_part(part, patch_of(request, part.changed_in, PartChangeShape), timezone.now())
        version, document, also = _shown(request, part)
        return changed_to(request, version, document, *also)


def _shown(request: Request, part: Part) -> tuple[int, dict[str, Any], tuple[int, int]]:
    """The part's version, how it is shown, and what else changes that."""
    now = published()
    document = {**part_page(part, now.rulebook, units_of(request)), **now.provenance}
    return part.changed_in, document, (now.standing.rulebook, now.standing.version)
