"""Asking about supply lines, and reading the recorded answers."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import UUID

from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.checks import BODY_BYTES, IDEMPOTENCY_KEY
from catalog.api.supply_shapes import SupplyCheckAnswer, SupplyCheckShape
from catalog.api.units import UnitsParameter, units_of
from catalog.models import SupplyCheck
from catalog.usecases.supply_answers import shown_supply
from catalog.usecases.supply_checking import FLUIDS, check_supply
from service.errors import NotFound
from service.http.asking import asker_name, asking_dealer
from service.http.conditional import not_modified, shown_as, strong_etag, tagged
from service.http.idempotency import answer_once
from service.operations.idempotency import Claim
from service.operations.models import Scope

QUESTION: dict[str, Any] = {
    "application": {
        "spec": {"model": "VRD-H40", "spec": "S-131"},
        "plate_fuels": ["lpg_liquid:HD-5"],
        "fuel_records": [
            {"fuels": ["lpg_liquid:HD-5"], "mode": "only_fuel", "found_on": "2026-01-12", "conversion_paper": False}
        ],
    },
    "air": {"min": "-30", "max": "40", "unit": "degC"},
    "fill": {"value": "50", "unit": "%"},
    "candidates": [{"position": "vaporiser", "part": {"maker": "TSK", "number": "7008"}}],
}  # fmt: skip


class SupplyChecksView(APIView):
    required_scope = Scope.CHECKS_WRITE
    max_body_bytes = BODY_BYTES

    @extend_schema(
        operation_id="supply_checks_create",
        summary="Ask whether a supply line gives an engine its fuel as it is needed",
        parameters=[UnitsParameter, IDEMPOTENCY_KEY],
        request=SupplyCheckShape,
        responses={201: SupplyCheckAnswer},
        examples=[OpenApiExample("Question", QUESTION, request_only=True)],
    )
    def post(self, request: Request) -> HttpResponseBase:
        units = units_of(request)
        now = timezone.now()

        def act(claim: Claim) -> None:
            shape = SupplyCheckShape()
            check_supply(
                shape.run_validation(request.data),
                dealer=asking_dealer(request),
                asked_by=asker_name(request),
                now=now,
                idempotency=claim,
                units=units,
            )

        return answer_once(request, act, now=now, view=self)


class SupplyCheckView(APIView):
    required_scope: ClassVar = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="supply_checks_read",
        summary="One recorded answer about a supply line, as it was given",
        parameters=[UnitsParameter],
        responses={200: SupplyCheckAnswer},
    )
    def get(self, request: Request, check_id: UUID) -> Response:
        units = units_of(request)
        check = SupplyCheck.objects.visible_to(asking_dealer(request)).filter(pk=check_id).first()
        if check is None:
            raise NotFound("There is no such supply check of yours.")
        tag = strong_etag(check.digest[:16], *shown_as(request, ("units",)))
        return not_modified(request, tag) or tagged(Response(shown_supply(check, FLUIDS, units)), tag)
