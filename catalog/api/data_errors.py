"""The editors' list of what is wrong in the catalogue's data."""

from __future__ import annotations

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ErrorDetail
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import vocabulary
from catalog.api.editing import changed_to, patch_of, shown_at
from catalog.api.examples import PART
from catalog.api.machine_examples import page
from catalog.api.machine_schemas import IF_MATCH
from catalog.api.schemas import PAGE, PageAnswer, PartSummary
from catalog.models import DataError, ErrorState
from catalog.usecases.data_errors import change_data_error, data_error_document, data_error_of
from service.http.asking import asker_name
from service.http.fields import Choice, Text
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, NoParameters, QueryParameters
from service.http.serializers import StrictSerializer
from service.operations.models import Scope

REASON_LENGTH = 500
EXAMPLE: dict[str, Any] = {
    "id": 3,
    "kind": "contradiction",
    "key": "b94d27b9934d3e08a52e52d7da7dabfac484efe37a5380ee9088f7ace2efcde9",
    "words": "TSK-R60 N-43: Spark plug, reach: TSK specifies it here, and the record of TSK 4470 contradicts it "
    "(17.5 mm against 19 mm).",
    "parts": [PART],
    "state": "open",
    "times_seen": 1,
    "first_seen": "2026-03-09T09:15:00Z",
    "last_seen": "2026-03-09T09:15:00Z",
    "closed_at": None,
    "closed_by": None,
    "reason": None,
}
CLOSING = {"state": "closed", "reason": "The data sheet was misread; the reach is corrected."}
CLOSED = {**EXAMPLE, **CLOSING, "closed_at": "2026-03-10T08:00:00Z", "closed_by": "R. Hale"}


class DataErrorAnswer(serializers.Serializer[Any]):
    id = serializers.IntegerField()
    kind = serializers.ChoiceField(choices=vocabulary.DATA_ERROR_KINDS)
    key = serializers.CharField()
    words = serializers.CharField()
    parts = PartSummary(many=True)
    state = serializers.ChoiceField(choices=vocabulary.ERROR_STATES)
    times_seen = serializers.IntegerField(help_text="Come upon anew: at first, and again after it had been closed.")
    first_seen = serializers.DateTimeField()
    last_seen = serializers.DateTimeField(help_text="Right to the hour.")
    closed_at = serializers.DateTimeField(allow_null=True)
    closed_by = serializers.CharField(allow_null=True)
    reason = serializers.CharField(allow_null=True)


class DataErrorPage(PageAnswer):
    results = DataErrorAnswer(many=True)


class DataErrorChangeShape(StrictSerializer):
    """Closed with a reason, or opened again; one that is come upon again opens by itself."""

    state = Choice(choices=vocabulary.ERROR_STATES)
    reason = Text(required=False, max_length=REASON_LENGTH)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["state"] == ErrorState.CLOSED and "reason" not in attrs:
            words = "Say why it is closed: what was corrected, or why it is none."
            raise serializers.ValidationError({"reason": [ErrorDetail(words, code="required")]})
        return attrs


class DataErrorListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    state = Choice(choices=vocabulary.ERROR_STATES, required=False)
    kind = Choice(choices=vocabulary.DATA_ERROR_KINDS, required=False)


class DataErrorsView(APIView):
    required_scope = Scope.CATALOGUE_WRITE
    keyset_order = ("id",)

    @extend_schema(
        operation_id="data_errors_list",
        summary="What is wrong in the catalogue's data, for a catalogue editor",
        parameters=[DataErrorListParameters, *PAGE],
        responses={200: DataErrorPage},
        examples=[OpenApiExample("Page", page(EXAMPLE), response_only=True)],
    )
    def get(self, request: Request) -> Response:
        rows = DataError.objects.filter(**DataErrorListParameters.read(request))
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([data_error_document(row) for row in found])


class DataErrorView(APIView):
    required_scope = Scope.CATALOGUE_WRITE

    @extend_schema(
        operation_id="data_errors_read",
        summary="One error in the data, for a catalogue editor",
        responses={200: DataErrorAnswer},
        examples=[OpenApiExample("Error", EXAMPLE, response_only=True)],
    )
    def get(self, request: Request, error_id: int) -> Response:
        NoParameters.read(request)
        row = data_error_of(error_id)
        return shown_at(request, row.revision, data_error_document(row), row.last_seen)

    @extend_schema(
        operation_id="data_errors_change",
        summary="Close an error in the data with a reason, or open it again, for a catalogue editor",
        parameters=[IF_MATCH],
        request=DataErrorChangeShape,
        responses={200: DataErrorAnswer},
        examples=[
            OpenApiExample("Close", CLOSING, request_only=True),
            OpenApiExample("Closed", CLOSED, response_only=True),
        ],
    )
    def patch(self, request: Request, error_id: int) -> Response:
        NoParameters.read(request)
        row = data_error_of(error_id)
        patch = patch_of(request, row.revision, DataErrorChangeShape)
        row = change_data_error(row, patch, by=asker_name(request), now=timezone.now())
        return changed_to(request, row.revision, data_error_document(row), row.last_seen)
