"""Sending files of stock and prices, what their columns are, and deciding about those that are held."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from kits.api import stock_import_schemas as schemas
from kits.api.access import READ_WRITE
from kits.domain.stock_files.tables import TABLES
from kits.models import ImportMode, ImportState, StockImport
from kits.models.stock_import import FEED_LENGTH, WHY_LENGTH
from kits.usecases import stock_decisions
from kits.usecases.stock_importing import SentStockFile, accept_stock_file
from service.errors import Forbidden
from service.http.asking import asker_name, asking_dealer, person_of
from service.http.fields import Choice, Day, Text
from service.http.idempotency import answer_once
from service.http.jobs import job_document
from service.http.operation_schemas import PAGE, JobAnswer
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, FlagParameter, NoParameters, QueryParameters, WholeParameter
from service.http.serializers import StrictSerializer
from service.http.uploads import UploadParser, form_of
from service.operations.idempotency import Claim
from service.operations.models import Scope
from service.tables.sheets import DECIMALS, ENCODINGS, MOST_BYTES, MOST_ROWS, SEPARATORS

REST_OF_THE_FORM = 100_000
DIALECT = ("separator", "decimal", "encoding")
IDEMPOTENCY_KEY = OpenApiParameter(
    "Idempotency-Key", str, OpenApiParameter.HEADER, required=True,
    description="Repeat the request with it to get the first answer, so that a file is imported once.",
)  # fmt: skip


class WholeFileFlag(FlagParameter):
    """`true` or `false`, as a form writes it."""


class RowsField(WholeParameter):
    """A whole number, as a form writes it."""


class StockImportShape(StrictSerializer):
    """The form of a stock import. What is not declared of a CSV file's dialect is found strictly, or refused."""

    file = serializers.FileField(help_text="CSV, or an XLSX workbook.")
    table = Choice(choices=list(TABLES), help_text="What the file is: stock or prices.")
    feed = Text(
        required=False,
        max_length=FEED_LENGTH,
        help_text="Which of your nightly files it is, so that it is compared with the last one; the table where it is "
        "left out. Give files that list something else a feed of their own.",
    )
    mode = Choice(
        choices=ImportMode.values,
        default=ImportMode.NORMAL.value,
        help_text="normal: sound rows are written, others told. all_or_nothing: nothing is, where one row is wrong.",
    )
    whole = WholeFileFlag(
        default=False,
        help_text="true: the file lists all there is at the branches (all prices of the suppliers) it names, and what "
        "it does not list is none. false, the default: what it does not list stays, since a file cut short would "
        "otherwise empty the shelf. While a row may be about a part it does not name rightly, nothing is emptied "
        "(rest_kept).",
    )
    supplied_on = Day(
        required=False,
        help_text="The day the file is of; today where it is left out. One older than the last one applied is refused.",
    )
    rows = RowsField(
        required=False,
        min_value=1,
        max_value=MOST_ROWS,
        help_text="Rows below the header; other than that it is refused.",
    )
    separator = Choice(choices=list(SEPARATORS), required=False, help_text="What stands between cells.")
    decimal = Choice(choices=list(DECIMALS), required=False, help_text="The decimal mark of amounts.")
    encoding = Choice(choices=list(ENCODINGS), required=False, help_text="The encoding of a CSV file.")


class DecisionShape(StrictSerializer):
    reason = Text(max_length=WHY_LENGTH, help_text="Why; it is written down with who and when.")


class StockImportListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    state = Choice(choices=ImportState.values, required=False)
    table = Choice(choices=list(TABLES), required=False)
    feed = Text(required=False, max_length=FEED_LENGTH)


class NobodyDecides(Forbidden):
    code = "nobody_decides"


class StockImportsView(APIView):
    required_scope: ClassVar = READ_WRITE
    parser_classes = (UploadParser,)
    max_body_bytes = MOST_BYTES + REST_OF_THE_FORM
    keyset_order = ("-created_at", "-id")

    @extend_schema(
        operation_id="stock_imports_list",
        summary="Files of stock and prices that this dealer sent, newest first",
        parameters=[StockImportListParameters, *PAGE],
        responses={200: schemas.StockImportPage},
        examples=[OpenApiExample("Page", schemas.PAGE_EXAMPLE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = StockImportListParameters.read(request)
        rows = StockImport.objects.visible_to(asking_dealer(request)).select_related("job").filter(**wanted)
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([stock_decisions.import_document(row) for row in found])

    @extend_schema(
        operation_id="stock_imports_create",
        summary="Import a file of stock or prices",
        description="The file is kept and queued; the job says how far it is and names every row left out by line and "
        "column. A file that looks damaged against the last one of its feed is held, with the reasons, and what is in "
        "force stays so until a person releases or rejects it. One of which no row can be applied ends as failed, and "
        "`refused` in its result and its counts says so. The same file again changes nothing.",
        parameters=[IDEMPOTENCY_KEY],
        request={"multipart/form-data": StockImportShape},
        responses={202: JobAnswer},
        examples=[OpenApiExample("Queued", schemas.QUEUED, response_only=True, status_codes=["202"])],
    )
    def post(self, request: Request) -> HttpResponseBase:
        NoParameters.read(request)
        now, dealer = timezone.now(), asking_dealer(request)

        def act(claim: Claim) -> None:
            form = StockImportShape(data=form_of(request))
            form.is_valid(raise_exception=True)
            accept_stock_file(_sent(form.validated_data), dealer=dealer, by=asker_name(request), now=now,
                              idempotency=claim, tell=job_document)  # fmt: skip

        return answer_once(request, act, now=now, view=self, required=True)


class StockImportTablesView(APIView):
    required_scope = Scope.STOCK_READ

    @extend_schema(
        operation_id="stock_imports_tables",
        summary="The tables of stock and prices, each with its columns and what stands in them",
        responses={200: schemas.StockTablesAnswer},
        examples=[OpenApiExample("Tables", schemas.TABLES, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        NoParameters.read(request)
        return Response({"tables": [_table(name) for name in TABLES]})


class StockImportView(APIView):
    required_scope = Scope.STOCK_READ

    @extend_schema(
        operation_id="stock_imports_read",
        summary="One file: what was found in it, why it is held, what became of it",
        responses={200: schemas.StockImportAnswer},
        examples=[OpenApiExample("Held", schemas.HELD, response_only=True)],
    )
    def get(self, request: Request, import_id: UUID) -> Response:
        NoParameters.read(request)
        row = stock_decisions.import_of(asking_dealer(request), import_id)
        return Response(stock_decisions.import_document(row))


class ReleaseView(APIView):
    required_scope = Scope.STOCK_WRITE

    @extend_schema(
        operation_id="stock_imports_release",
        summary="Apply a file that is held, as it is",
        request=DecisionShape,
        responses={202: schemas.StockImportAnswer},
        examples=[
            OpenApiExample("Why", {"reason": "These numbers were renamed by the maker."}, request_only=True),
            OpenApiExample("Queued", schemas.RELEASED, response_only=True, status_codes=["202"]),
        ],
    )
    def post(self, request: Request, import_id: UUID) -> Response:
        row, decision = _decided(request, import_id)
        return Response(stock_decisions.import_document(stock_decisions.release(row, decision)), status=202)


class RejectView(APIView):
    required_scope = Scope.STOCK_WRITE

    @extend_schema(
        operation_id="stock_imports_reject",
        summary="Refuse a file that is held, for good; what is in force stays so",
        request=DecisionShape,
        responses={200: schemas.StockImportAnswer},
        examples=[
            OpenApiExample("Why", {"reason": "Opened in a spreadsheet; sent again."}, request_only=True),
            OpenApiExample("Rejected", schemas.REJECTED, response_only=True),
        ],
    )
    def post(self, request: Request, import_id: UUID) -> Response:
        row, decision = _decided(request, import_id)
        return Response(stock_decisions.import_document(stock_decisions.reject(row, decision)))


def _decided(request: Request, import_id: UUID) -> tuple[StockImport, stock_decisions.Decision]:
    """The import and who decides about it. Raises NobodyDecides for a key that is bound to nobody."""
    NoParameters.read(request)
    row = stock_decisions.import_of(asking_dealer(request), import_id)
    person = person_of(request)
    if person is None:
        raise NobodyDecides("A person releases or rejects a file; sign in, or use a key that is bound to one.")
    shape = DecisionShape(data=request.data)
    shape.is_valid(raise_exception=True)
    return row, stock_decisions.Decision(person.name, timezone.now(), shape.validated_data["reason"])


def _sent(form: dict[str, Any]) -> SentStockFile:
    return SentStockFile(
        content=form["file"].read(),
        name=form["file"].name,
        table=form["table"],
        feed=form.get("feed", ""),
        mode=form["mode"],
        whole=form["whole"],
        supplied_on=form.get("supplied_on"),
        declared_rows=form.get("rows"),
        dialect={name: form.get(name) for name in DIALECT},
    )


def _table(name: str) -> dict[str, Any]:
    table = TABLES[name]
    columns = [
        {"name": column.name, "needed": column.needed, "says": column.says, "example": column.example}
        for column in table.columns
    ]
    return {"table": name, "says": table.says, "columns": columns}
