"""Recorded checks as CSV and XLSX."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, ClassVar

from django.http import HttpResponseBase
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.views import APIView

from catalog.api.checks import CheckListParameters, wanted_checks
from catalog.usecases.check_tables import COLUMNS, check_rows
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
from service.operations.models import Scope
from service.papers.tables import Cell

ROWS_AT_ONCE = 500


class ListOnly(CheckListParameters):
    """The parameters of the list, without its pages."""

    also: ClassVar[tuple[str, ...]] = ()


class CsvOfChecks(ListOnly, CsvParameters):
    """Those, and how the file is written."""


class ChecksCsvView(APIView):
    required_scope = Scope.CATALOGUE_READ
    renderer_classes = (CsvRenderer,)

    @extend_schema(
        operation_id="checks_csv",
        summary="Recorded checks of this dealer as CSV, newest first",
        parameters=[CsvOfChecks],
        responses={(200, CSV): OpenApiTypes.STR},
    )
    def get(self, request: Request) -> HttpResponseBase:
        wanted = CsvOfChecks.read(request)
        return csv_download(COLUMNS, _rows(request, wanted), "checks.csv", excel="excel" in wanted)


class ChecksXlsxView(APIView):
    required_scope = Scope.CATALOGUE_READ
    renderer_classes = (XlsxRenderer,)

    @extend_schema(
        operation_id="checks_xlsx",
        summary="Recorded checks of this dealer as a workbook, newest first",
        parameters=[ListOnly],
        responses={(200, XLSX): OpenApiTypes.BINARY},
    )
    def get(self, request: Request) -> HttpResponseBase:
        return xlsx_download(COLUMNS, _rows(request, ListOnly.read(request)), "checks.xlsx")


def _rows(request: Request, wanted: Mapping[str, Any]) -> Iterator[Sequence[Cell]]:
    dealer = asking_dealer(request)
    checks = wanted_checks(wanted, dealer).select_related("machine").order_by("-checked_at", "-pk")
    return check_rows(checks.iterator(ROWS_AT_ONCE), dealer)
