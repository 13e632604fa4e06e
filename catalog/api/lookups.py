"""Parts looked up by what was typed or scanned, and what was looked up in vain."""

from __future__ import annotations

from typing import Any, ClassVar

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import lookup_schemas as schemas
from catalog.api.schemas import PAGE
from catalog.domain.lookup.elements import SEPARATOR
from catalog.domain.lookup.hits import PAGE as FIRST_HITS
from catalog.domain.lookup.reading import LONGEST_QUERY
from catalog.domain.lookup.scans import END, RECORD
from catalog.models import LookupMiss
from catalog.usecases.looking_up import MOST_HITS, look_up, miss_document
from catalog.usecases.reading import published
from service.http.asking import dealer_of
from service.http.conditional import not_modified, shown_as, tagged, weak_etag
from service.http.fields import Text
from service.http.pagination import KeysetPagination
from service.http.permissions import may
from service.http.query import PageParameters, QueryParameters, WholeParameter
from service.operations.models import Scope

_SENT_ROUND = " \t\r\n"
_SENT_BETWEEN = str.maketrans(dict.fromkeys((SEPARATOR, RECORD, END), " "))


class Typed(Text):
    """What was typed or scanned; of control characters those that scanners send between fields or at the end.

    Many a scanner sends a tab or an end of line behind what it read.
    """

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            return str(super().to_internal_value(data))
        scanned = data.strip(_SENT_ROUND)
        super().to_internal_value(scanned.translate(_SENT_BETWEEN))
        return scanned


class LookupParameters(QueryParameters):
    q = Typed(
        max_length=LONGEST_QUERY,
        trim_whitespace=False,
        help_text="A part number in whatever punctuation, with the maker's code or without, a scanned barcode, or "
        "words of a name.",
    )
    page_size = WholeParameter(
        required=False, min_value=1, max_value=MOST_HITS, default=FIRST_HITS, help_text="How many hits to show."
    )


class LookupView(APIView):
    required_scope: ClassVar = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="parts_lookup",
        summary="Parts by what was typed or scanned, each saying why it is there; nothing is picked",
        description="The surest hits come first, in an order that is always the same. Guesses are made only where "
        "nothing sure is found. What nothing answers to is written down for whoever keeps the catalogue.",
        parameters=[LookupParameters],
        responses={200: schemas.LookupAnswer},
        examples=[OpenApiExample("Hits", schemas.LOOKUP, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        asked = LookupParameters.read(request)
        now = published()
        tag = weak_etag(now.standing.stamp, now.standing.digest, *shown_as(request, tuple(asked)))
        known = not_modified(request, tag)
        if known is not None:
            return known
        found = look_up(asked["q"], now, dealer_of(request), timezone.now(), most=asked["page_size"])
        response = Response({**found.document, **now.provenance})
        # A miss carries no tag, so that asking again is counted again.
        return tagged(response, tag) if found.results else response


class MissesView(APIView):
    required_scope: ClassVar = Scope.CATALOGUE_READ
    keyset_order = ("-last_seen", "-id")

    @extend_schema(
        operation_id="misses_list",
        summary="What was looked up in vain, the latest first: of all dealers for an editor, else one's own",
        parameters=[*PAGE],
        responses={200: schemas.MissPage},
        examples=[OpenApiExample("Page", schemas.MISS_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        PageParameters.read(request)
        every = LookupMiss.objects.all()
        rows = every if may(request, Scope.CATALOGUE_WRITE) else every.visible_to(dealer_of(request))
        pages = KeysetPagination()
        found = pages.paginate_queryset(rows, request, self)
        return pages.get_paginated_response([miss_document(row) for row in found])
