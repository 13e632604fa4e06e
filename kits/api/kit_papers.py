"""The pick list of a kit and the label of its box, as papers."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar
from uuid import UUID

from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from kits.domain.papers import KitPaper
from kits.usecases.kit_on_paper import kit_on_paper
from kits.usecases.kit_papers import box_label, pick_list
from kits.usecases.kit_redeciding import kit_of
from service.http.asking import asking_dealer
from service.http.conditional import not_modified, strong_etag, tagged
from service.http.downloads import PDF, PaperRenderer, named
from service.http.fields import Choice
from service.http.query import QueryParameters
from service.operations.models import Scope
from service.papers.paper import Paper
from service.papers.sizes import A4, LABEL_62_100, LABEL_100_150, LETTER

SHEETS = {"a4": A4, "letter": LETTER}
LABELS = {"100x150": LABEL_100_150, "62x100": LABEL_62_100}


class SheetParameters(QueryParameters):
    size = Choice(choices=list(SHEETS), required=False, help_text="The sheet; A4 where nothing is said.")


class LabelParameters(QueryParameters):
    size = Choice(choices=list(LABELS), required=False, help_text="In millimetres; 100 x 150 where nothing is said.")


class PickListView(APIView):
    required_scope: ClassVar = Scope.STOCK_READ
    renderer_classes = (PaperRenderer,)

    @extend_schema(
        operation_id="kits_pick_list",
        summary="The list a kit is picked by: bins in their order, the oldest date code first, and what stays out",
        parameters=[SheetParameters],
        responses={(200, PDF): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, kit_id: UUID) -> Response:
        size = SHEETS[SheetParameters.read(request).get("size", "a4")]
        return _paper_response(request, kit_id, lambda kit: pick_list(kit, size), "pick-list")


class LabelView(APIView):
    required_scope: ClassVar = Scope.STOCK_READ
    renderer_classes = (PaperRenderer,)

    @extend_schema(
        operation_id="kits_label",
        summary="The label of a kit's box, with a code that it is found by",
        parameters=[LabelParameters],
        responses={(200, PDF): OpenApiTypes.BINARY},
    )
    def get(self, request: Request, kit_id: UUID) -> Response:
        size = LABELS[LabelParameters.read(request).get("size", "100x150")]
        return _paper_response(request, kit_id, lambda kit: box_label(kit, size), "label")


def _paper_response(request: Request, kit_id: UUID, laid_out: Callable[[KitPaper], Paper], name: str) -> Response:
    """The paper under a tag taken over all that stands on it; the same paper is the same bytes."""
    loaded = kit_of(asking_dealer(request), kit_id)
    paper = laid_out(kit_on_paper(loaded, timezone.now()))
    tag = strong_etag(loaded.row.version, PDF, repr(paper))
    return not_modified(request, tag) or named(tagged(Response(paper), tag), f"kit-{loaded.row.number}-{name}.pdf")
