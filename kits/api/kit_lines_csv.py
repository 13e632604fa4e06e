"""A kit's lines as a table for a spreadsheet."""

from __future__ import annotations

from typing import ClassVar
from uuid import UUID

from django.http import HttpResponse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.views import APIView

from kits.usecases.kit_approvals import as_it_stands
from kits.usecases.kit_lines_table import lines_table
from kits.usecases.kit_redeciding import kit_of
from service.http.asking import asking_dealer
from service.http.query import NoParameters
from service.operations.models import Scope


class KitLinesView(APIView):
    required_scope: ClassVar = Scope.STOCK_READ

    @extend_schema(
        operation_id="kits_lines_csv",
        summary="A kit's lines as CSV, units in words and as codes of UN/ECE Recommendation 20",
        responses={(200, "text/csv"): OpenApiTypes.STR},
    )
    def get(self, request: Request, kit_id: UUID) -> HttpResponse:
        NoParameters.read(request)
        loaded = as_it_stands(kit_of(asking_dealer(request), kit_id), timezone.now())
        response = HttpResponse(lines_table(loaded), content_type="text/csv; charset=utf-8")
        response.headers["Content-Disposition"] = f'attachment; filename="kit-{loaded.row.number}-lines.csv"'
        response.headers["Cache-Control"] = "private, no-cache"
        return response
