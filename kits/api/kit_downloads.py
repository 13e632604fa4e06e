"""A kit's lines as CSV and XLSX."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar
from uuid import UUID

from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.views import APIView

from kits.usecases.kit_approvals import as_it_stands
from kits.usecases.kit_lines_table import COLUMNS, line_rows
from kits.usecases.kit_redeciding import kit_of
from service.http.asking import asking_dealer
from service.http.downloads import (
    CSV,
    XLSX,
    CsvParameters,
    CsvRenderer,
    XlsxRenderer,
    csv_download,
    xlsx_download,
)
from service.http.query import NoParameters
from service.operations.models import Scope
from service.papers.tables import Cell


class KitLinesCsvView(APIView):
    required_scope: ClassVar = Scope.STOCK_READ
    renderer_classes = (CsvRenderer,)

    @extend_schema(
        operation_id="kits_lines_csv",
        summary="A kit's lines as CSV, units in words and as codes of UN/ECE Recommendation 20",
        parameters=[CsvParameters],
        responses={(200, CSV): OpenApiTypes.STR},
    )
    def get(self, request: Request, kit_id: UUID) -> HttpResponseBase:
        wanted = CsvParameters.read(request)
        name, rows = _lines(request, kit_id)
        return csv_download(COLUMNS, rows, f"{name}.csv", excel="excel" in wanted)


class KitLinesXlsxView(APIView):
    required_scope: ClassVar = Scope.STOCK_READ
    renderer_classes = (XlsxRenderer,)

    @extend_schema(
        operation_id="kits_lines_xlsx",
        summary="A kit's lines as a workbook, in the same table",
        responses={(200, XLSX): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, kit_id: UUID) -> HttpResponseBase:
        NoParameters.read(request)
        name, rows = _lines(request, kit_id)
        return xlsx_download(COLUMNS, rows, f"{name}.xlsx")


def _lines(request: Request, kit_id: UUID) -> tuple[str, Iterator[Sequence[Cell]]]:
    """What the file is called, and its rows."""
    loaded = as_it_stands(kit_of(asking_dealer(request), kit_id), timezone.now())
    return f"kit-{loaded.row.number}-lines", line_rows(loaded)
