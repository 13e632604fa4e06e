"""Sending a file of tables to be imported, and what the tables' columns are."""

from __future__ import annotations

from typing import Any, ClassVar

from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import import_examples as examples
from catalog.api.vocabulary import IMPORT_MODES
from catalog.domain.import_reading import TABLES
from catalog.usecases.import_files import Mode
from catalog.usecases.importing import SentFile, accept_import
from service.http.asking import dealer_of
from service.http.fields import Choice
from service.http.idempotency import answer_once
from service.http.jobs import job_document
from service.http.operation_schemas import JobAnswer
from service.http.query import FlagParameter, NoParameters
from service.http.serializers import StrictSerializer
from service.http.uploads import UploadParser, form_of
from service.operations.idempotency import Claim
from service.operations.models import Scope
from service.tables.sheets import DECIMALS, ENCODINGS, MOST_BYTES, SEPARATORS

REST_OF_THE_FORM = 100_000
IDEMPOTENCY_KEY = OpenApiParameter(
    "Idempotency-Key", str, OpenApiParameter.HEADER, required=True,
    description="Repeat the request with it to get the first answer, so that a file is imported once.",
)  # fmt: skip


class FormFlag(FlagParameter):
    """`true` or `false`, as a form writes it."""


class ImportShape(StrictSerializer):
    """The form of an import. What is not declared of a CSV file's dialect is found strictly, or refused."""

    file = serializers.FileField(help_text="CSV, or an XLSX workbook whose sheets are named after the tables.")
    table = Choice(
        choices=sorted(TABLES), required=False, help_text="The table a CSV file is, or a workbook's one sheet."
    )
    mode = Choice(
        choices=IMPORT_MODES,
        default=Mode.NORMAL.value,
        help_text="normal: sound rows are written, others told. all_or_nothing: nothing is, where one row is wrong.",
    )
    dry_run = FormFlag(default=False, help_text="Say what is wrong and what would change, and write nothing.")
    separator = Choice(choices=list(SEPARATORS), required=False, help_text="What stands between cells.")
    decimal = Choice(choices=list(DECIMALS), required=False, help_text="The decimal mark of numbers.")
    encoding = Choice(choices=list(ENCODINGS), required=False, help_text="The encoding of a CSV file.")


class ColumnAnswer(serializers.Serializer[Any]):
    name = serializers.CharField()
    needed = serializers.BooleanField()
    says = serializers.CharField()
    example = serializers.CharField()


class TableAnswer(serializers.Serializer[Any]):
    table = serializers.CharField()
    says = serializers.CharField()
    takes_values = serializers.BooleanField(help_text="Whether it has columns attr:<attribute>[@<slot>][ [<unit>]].")
    columns = ColumnAnswer(many=True)


class TablesAnswer(serializers.Serializer[Any]):
    tables = TableAnswer(many=True)


class ImportsView(APIView):
    required_scope: ClassVar = {"POST": Scope.CATALOGUE_WRITE}
    parser_classes = (UploadParser,)
    max_body_bytes = MOST_BYTES + REST_OF_THE_FORM

    @extend_schema(
        operation_id="catalogue_imports_create",
        summary="Import a file of parts, attributes, specifications, positions or statements",
        description="The file is kept and queued; the job says how far it is, what came of it, and names every wrong "
        "row by line and column. A file states values: what it does not mention stays. The same file again changes "
        "nothing.",
        parameters=[IDEMPOTENCY_KEY],
        request={"multipart/form-data": ImportShape},
        responses={202: JobAnswer},
        examples=[OpenApiExample("Queued", examples.QUEUED, response_only=True, status_codes=["202"])],
    )
    def post(self, request: Request) -> HttpResponseBase:
        NoParameters.read(request)
        now = timezone.now()

        def act(claim: Claim) -> None:
            form = ImportShape(data=form_of(request))
            form.is_valid(raise_exception=True)
            accept_import(_sent(form.validated_data), dealer=dealer_of(request), now=now, idempotency=claim,
                          tell=job_document)  # fmt: skip

        return answer_once(request, act, now=now, view=self, required=True)


class ImportTablesView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="catalogue_imports_tables",
        summary="The tables that can be imported, each with its columns and what stands in them",
        responses={200: TablesAnswer},
        examples=[OpenApiExample("Tables", examples.TABLES, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        NoParameters.read(request)
        return Response({"tables": [_table(name) for name in TABLES]})


def _sent(form: dict[str, Any]) -> SentFile:
    dialect = {name: form.get(name) for name in ("separator", "decimal", "encoding")}
    order = {"table": form.get("table"), "mode": form["mode"], "dry_run": form["dry_run"], "dialect": dialect}
    return SentFile(form["file"].read(), form["file"].name, order)


def _table(name: str) -> dict[str, Any]:
    table = TABLES[name]
    columns = [
        {"name": column.name, "needed": column.needed, "says": column.says, "example": column.example}
        for column in table.columns
    ]
    return {"table": name, "says": table.says, "takes_values": table.takes_values, "columns": columns}
