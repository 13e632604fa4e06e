"""Kits: built for a machine's work, listed, read, and changed while they stand."""

from __future__ import annotations

from typing import ClassVar
from uuid import UUID

from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.approvals import KEY_REQUIRED
from catalog.api.editing import body_of, patch_of
from catalog.api.machine_schemas import IF_MATCH
from catalog.api.schemas import PAGE
from catalog.api.shapes import CODE_LENGTH
from catalog.usecases.one_version import Asking
from kits.api import kit_examples as examples
from kits.api import kit_schemas as schemas
from kits.api import vocabulary
from kits.api.kit_shapes import KitChangeShape, KitShape, kit_reader
from kits.usecases.kit_approvals import as_they_stand
from kits.usecases.kit_building import build_kit
from kits.usecases.kit_documents import kit_document, kit_head, shown
from kits.usecases.kit_editing import edit_kit
from kits.usecases.kit_redeciding import kit_of, kits_listed
from service.http.asking import asker_name, asking_dealer
from service.http.conditional import not_modified, shown_as, strong_etag, tagged
from service.http.fields import Choice, Identifier, Text
from service.http.idempotency import answer_once
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, NoParameters, QueryParameters
from service.operations.idempotency import Claim
from service.operations.models import Scope

READ_BUILD: dict[str, Scope] = {"GET": Scope.STOCK_READ, "POST": Scope.KITS_WRITE, "PATCH": Scope.KITS_WRITE}


def asking(request: Request) -> Asking:
    return Asking(asking_dealer(request), asker_name(request), timezone.now())


class KitListParameters(QueryParameters):
    also = PAGE_PARAMETERS

    machine = Identifier(required=False, help_text="The machine's id.")
    state = Choice(choices=vocabulary.KIT_STATES, required=False)
    work_order = Text(required=False, max_length=CODE_LENGTH, help_text="Its number.")
    branch = Text(required=False, max_length=40, help_text="Its code.")


class KitsView(APIView):
    required_scope: ClassVar = READ_BUILD
    keyset_order = ("-built_at", "-id")

    @extend_schema(
        operation_id="kits_list",
        summary="This dealer's kits, newest first",
        parameters=[KitListParameters, *PAGE],
        responses={200: schemas.KitPage},
        examples=[OpenApiExample("Page", examples.KIT_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        wanted = KitListParameters.read(request)
        pages = KeysetPagination()
        dealer = asking_dealer(request)
        found = pages.paginate_queryset(kits_listed(dealer, wanted), request, self)
        return pages.get_paginated_response([kit_head(row) for row in as_they_stand(found, dealer, timezone.now())])

    @extend_schema(
        operation_id="kits_create",
        summary="Build a kit for a level, for tasks, or for what falls due; every line is checked on the machine",
        parameters=[KEY_REQUIRED],
        request=KitShape,
        responses={201: schemas.KitAnswer},
        examples=[
            OpenApiExample("500 h", examples.KIT_BODY, request_only=True),
            OpenApiExample("Kit", examples.KIT, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> HttpResponseBase:
        NoParameters.read(request)
        asked = asking(request)

        def act(claim: Claim) -> None:
            build_kit(body_of(request, kit_reader), asked, claim)

        return answer_once(request, act, now=asked.now, view=self, required=True)


class KitView(APIView):
    required_scope: ClassVar = READ_BUILD
    live_keys_only: ClassVar = frozenset({"PATCH"})

    @extend_schema(
        operation_id="kits_read",
        summary="One kit: its lines as they were decided, the shelf and the prices as they are now",
        responses={200: schemas.KitAnswer},
        examples=[OpenApiExample("Kit", examples.KIT, response_only=True)],
    )
    def get(self, request: Request, kit_id: UUID) -> Response:
        NoParameters.read(request)
        loaded = kit_of(asking_dealer(request), kit_id)
        document = shown(loaded, timezone.now())
        # Stock and prices move without the kit's version, so the tag is of all that is shown.
        tag = strong_etag(loaded.row.version, document, *shown_as(request, ()))
        return not_modified(request, tag) or tagged(Response(document), tag)

    @extend_schema(
        operation_id="kits_change",
        summary="Change a kit's day, work order, lines or what is put in besides; what is let go of is released",
        parameters=[IF_MATCH],
        request=KitChangeShape,
        responses={200: schemas.KitAnswer},
        examples=[
            OpenApiExample("Another day", examples.CHANGE_BODY, request_only=True),
            OpenApiExample("Kit", examples.KIT, response_only=True),
        ],
    )
    def patch(self, request: Request, kit_id: UUID) -> Response:
        asked = asking(request)
        loaded = kit_of(asked.dealer, kit_id)
        kit = edit_kit(loaded, patch_of(request, loaded.row.version, KitChangeShape), asked)
        document = kit_document(kit, asked.now)
        return tagged(Response(document), strong_etag(kit.version, document, *shown_as(request, ())))
