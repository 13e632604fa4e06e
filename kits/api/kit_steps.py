"""The steps a kit goes through; each is done once for an Idempotency-Key, and tells what it did."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar
from uuid import UUID

from django.http import HttpResponseBase
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.views import APIView

from catalog.api.approvals import KEY_REQUIRED
from catalog.api.checks import IDEMPOTENCY_KEY
from catalog.api.editing import body_of
from catalog.usecases.one_version import Asking
from kits.api import kit_examples as examples
from kits.api import kit_schemas as schemas
from kits.api import kit_shapes as shapes
from kits.api.kits import asking
from kits.usecases.kit_choosing import chooser
from kits.usecases.kit_handing_out import cancel_kit, fulfil_kit, pick_kit
from kits.usecases.kit_reserving import reserve_kit
from kits.usecases.kit_reviewing import review_kit, settle_line
from service.http.asking import person_of
from service.http.idempotency import answer_once
from service.http.query import NoParameters
from service.http.serializers import NothingShape, StrictSerializer
from service.operations.idempotency import Claim
from service.operations.models import Scope

Do = Callable[[dict[str, Any], Asking, Claim], None]


class StepView(APIView):
    required_scope: ClassVar = {"POST": Scope.KITS_WRITE}
    live_keys_only: ClassVar = frozenset({"POST"})  # pieces on a real shelf are promised, given back and taken

    def answered(
        self, request: Request, shape: type[StrictSerializer], do: Do, *, required: bool = False
    ) -> HttpResponseBase:
        """A body may be left out where every member of it may."""
        NoParameters.read(request)
        asked = asking(request)

        def act(claim: Claim) -> None:
            do(body_of(request, shape), asked, claim)

        return answer_once(request, act, now=asked.now, view=self, required=required)


class KitSettleView(StepView):
    @extend_schema(
        operation_id="kits_settle",
        summary="Put a part that somebody chose on a line, where its check on that machine is a yes that holds",
        parameters=[IDEMPOTENCY_KEY],
        request=shapes.SettleShape,
        responses={200: schemas.KitAnswer},
        examples=[
            OpenApiExample("Choice", examples.SETTLE_BODY, request_only=True),
            OpenApiExample("Kit", examples.KIT, response_only=True),
        ],
    )
    def post(self, request: Request, kit_id: UUID) -> HttpResponseBase:
        person = person_of(request)

        def do(body: dict[str, Any], asked: Asking, claim: Claim) -> None:
            settle_line(kit_id, body, chooser(body, person, asked.dealer), asked, claim)

        return self.answered(request, shapes.SettleShape, do)


class KitReserveView(StepView):
    @extend_schema(
        operation_id="kits_reserve",
        summary="Decide the lines again and reserve what is settled and free; what has changed is to be reviewed first",
        parameters=[IDEMPOTENCY_KEY],
        request=NothingShape,
        responses={200: schemas.ReservedKitAnswer},
        examples=[OpenApiExample("Kit", examples.RESERVED, response_only=True)],
    )
    def post(self, request: Request, kit_id: UUID) -> HttpResponseBase:
        return self.answered(request, NothingShape, lambda _, asked, claim: reserve_kit(kit_id, asked, claim))


class KitReviewView(StepView):
    @extend_schema(
        operation_id="kits_review",
        summary="Accept a kit as its lines are decided now",
        parameters=[IDEMPOTENCY_KEY],
        request=NothingShape,
        responses={200: schemas.KitAnswer},
        examples=[OpenApiExample("Kit", examples.KIT, response_only=True)],
    )
    def post(self, request: Request, kit_id: UUID) -> HttpResponseBase:
        return self.answered(request, NothingShape, lambda _, asked, claim: review_kit(kit_id, asked, claim))


class KitPickView(StepView):
    @extend_schema(
        operation_id="kits_pick",
        summary="Confirm that what is reserved was taken from its bins, but for what is short",
        parameters=[IDEMPOTENCY_KEY],
        request=shapes.PickShape,
        responses={200: schemas.PickedKitAnswer},
        examples=[
            OpenApiExample("Short", examples.PICK_BODY, request_only=True),
            OpenApiExample("Kit", examples.PICKED, response_only=True),
        ],
    )
    def post(self, request: Request, kit_id: UUID) -> HttpResponseBase:
        return self.answered(request, shapes.PickShape, lambda body, asked, claim: pick_kit(kit_id, body, asked, claim))


class KitFulfilView(StepView):
    @extend_schema(
        operation_id="kits_fulfil",
        summary="Decide the lines again and hand out what is reserved; open lines are named, each with why it follows",
        parameters=[KEY_REQUIRED],
        request=shapes.FulfilShape,
        responses={200: schemas.KitAnswer},
        examples=[
            OpenApiExample("Hand out", examples.FULFIL_BODY, request_only=True),
            OpenApiExample("Kit", examples.FULFILLED, response_only=True),
        ],
    )
    def post(self, request: Request, kit_id: UUID) -> HttpResponseBase:
        def do(body: dict[str, Any], asked: Asking, claim: Claim) -> None:
            fulfil_kit(kit_id, body, asked, claim)

        return self.answered(request, shapes.FulfilShape, do, required=True)


class KitCancelView(StepView):
    @extend_schema(
        operation_id="kits_cancel",
        summary="Cancel a kit: what is held is given back, what is on order is free to the next job",
        parameters=[IDEMPOTENCY_KEY],
        request=shapes.CancelShape,
        responses={200: schemas.CancelledKitAnswer},
        examples=[
            OpenApiExample("Sold", {"reason": "the truck was sold"}, request_only=True),
            OpenApiExample("Kit", examples.CANCELLED, response_only=True),
        ],
    )
    def post(self, request: Request, kit_id: UUID) -> HttpResponseBase:
        def do(body: dict[str, Any], asked: Asking, claim: Claim) -> None:
            cancel_kit(kit_id, body.get("reason"), asked, claim)

        return self.answered(request, shapes.CancelShape, do)
