"""Papers and tables that are taken away: PDF, CSV and XLSX, each under a file name in any script (RFC 6266, 8187)."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeVar

from django.http import FileResponse, HttpResponseBase, StreamingHttpResponse
from django.utils.http import content_disposition_header
from rest_framework.renderers import BaseRenderer

from service.http.fields import Choice
from service.http.query import QueryParameters
from service.papers.drawing.pages import pdf_of
from service.papers.paper import Paper
from service.papers.sheets import csv_of, xlsx_of
from service.papers.tables import Cell, Column

AnyResponse = TypeVar("AnyResponse", bound=HttpResponseBase)
PDF = "application/pdf"
CSV = "text/csv"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
HELD_IN_MEMORY = 1_000_000  # bytes of a workbook; a larger one is kept in a file until it is sent


class PaperRenderer(BaseRenderer):
    """A paper as PDF."""

    media_type = PDF
    format = "pdf"
    charset = None
    render_style = "binary"

    def render(
        self, data: Any, accepted_media_type: str | None = None, renderer_context: Mapping[str, Any] | None = None
    ) -> bytes:
        return pdf_of(data) if isinstance(data, Paper) else b""


class CsvRenderer(BaseRenderer):
    """Says that CSV is to be had; what is sent is `csv_download`."""

    media_type = CSV
    format = "csv"


class XlsxRenderer(BaseRenderer):
    """Says that a workbook is to be had; what is sent is `xlsx_download`."""

    media_type = XLSX
    format = "xlsx"


class CsvParameters(QueryParameters):
    """For an address that gives CSV; Excel reads other than English letters only behind a byte-order mark."""

    excel = Choice(choices=["1"], required=False, help_text="1 puts a byte-order mark first, which Excel asks for.")


def named(response: AnyResponse, name: str, *, kept: bool = False) -> AnyResponse:
    """The answer under a file name: `kept` to be saved, else to be shown."""
    response.headers["Content-Disposition"] = content_disposition_header(kept, name) or "inline"
    return response


def csv_download(
    columns: Sequence[Column], rows: Iterable[Sequence[Cell]], name: str, *, excel: bool = False
) -> StreamingHttpResponse:
    """Rows sent as they are read."""
    response = StreamingHttpResponse(
        csv_of(columns, rows, excel=excel), content_type=f"{CSV}; charset=utf-8; header=present"
    )
    return _private(named(response, name, kept=True))


def xlsx_download(columns: Sequence[Column], rows: Iterable[Sequence[Cell]], name: str) -> FileResponse:
    file = tempfile.SpooledTemporaryFile(max_size=HELD_IN_MEMORY)  # noqa: SIM115 - the response closes it
    xlsx_of(columns, rows, file, name=name.removesuffix(".xlsx")[:31])
    file.seek(0)
    return _private(named(FileResponse(file, content_type=XLSX), name, kept=True))


def _private(response: AnyResponse) -> AnyResponse:
    response.headers["Cache-Control"] = "private, no-store"
    return response
