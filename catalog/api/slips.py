"""The slip of a recorded check, as a paper."""

from __future__ import annotations

from uuid import UUID

from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.units import UnitsParameter, units_of
from catalog.domain.value_documents import Units
from catalog.models import Check
from catalog.usecases.approving import check_of
from catalog.usecases.slips import slip_of
from service.http.asking import asking_dealer
from service.http.conditional import not_modified, strong_etag, tagged
from service.http.downloads import PDF, PaperRenderer, named
from service.operations.models import Scope


class SlipView(APIView):
    required_scope = Scope.CATALOGUE_READ
    renderer_classes = (PaperRenderer,)

    @extend_schema(
        operation_id="checks_slip",
        summary="The slip of a recorded check on A4, with the approval that applies to it now",
        parameters=[UnitsParameter],
        responses={(200, PDF): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, check_id: UUID) -> Response:
        units = units_of(request)
        return slip_response(request, check_of(asking_dealer(request), check_id), units)


def slip_response(request: Request, check: Check, units: Units) -> Response:
    """The paper under a tag taken over all that stands on it; the same paper is the same bytes."""
    paper = slip_of(check, units, timezone.now())
    tag = strong_etag(check.digest[:16], PDF, repr(paper))
    return not_modified(request, tag) or named(tagged(Response(paper), tag), f"check-{check.pk}.pdf")
