"""Asking at the counter: may it be used, does it lie here, what does it cost, and what else would do."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar
from uuid import UUID

from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.checks import BODY_BYTES, IDEMPOTENCY_KEY
from catalog.api.units import UnitsParameter, units_of
from catalog.usecases.approving import check_of
from kits.api.counter_examples import ANSWER, QUESTION
from kits.api.counter_schemas import CounterAnswer
from kits.api.counter_shapes import CounterParameters, CounterShape, read_counter
from kits.domain.counter.offering import OfferFirst
from kits.usecases.branches import branch_meant
from kits.usecases.counter_answers import answer_again, answer_at_counter
from kits.usecases.counter_asking import CounterAsking
from service.errors import DomainError
from service.http.asking import asker_name, asking_dealer
from service.http.idempotency import answer_once
from service.http.permissions import MissingScope, may
from service.http.problems import problem_of
from service.operations.idempotency import Claim
from service.operations.models import Scope


class CounterAnswersView(APIView):
    required_scope = Scope.CHECKS_WRITE
    max_body_bytes = BODY_BYTES

    @extend_schema(
        operation_id="counter_answers_create",
        summary="Ask a check at the counter: its answer with stock, price, what goes with it and what else would do",
        description="Needs the scope stock:read as well. The check is recorded as by POST /checks/.",
        parameters=[UnitsParameter, IDEMPOTENCY_KEY],
        request=CounterShape,
        responses={201: CounterAnswer},
        examples=[
            OpenApiExample("Question", QUESTION, request_only=True),
            OpenApiExample("Answer", ANSWER, response_only=True, status_codes=["201"]),
        ],
    )
    def post(self, request: Request) -> HttpResponseBase:
        _require(request, Scope.STOCK_READ)
        units, now = units_of(request), timezone.now()

        def act(claim: Claim) -> None:
            asked = read_counter(request.data)
            branch = branch_meant(asking_dealer(request), asked.branch)
            asking = CounterAsking(branch, asker_name(request), now, _problem, asked.first)
            answer_at_counter(asked.question, asking, idempotency=claim, units=units)

        return answer_once(request, act, now=now, view=self)


class CounterAnswerView(APIView):
    required_scope: ClassVar = Scope.STOCK_READ

    @extend_schema(
        operation_id="counter_answers_read",
        summary="A recorded check as it was answered, with the stock, prices and other parts of today",
        description="Needs the scope catalogue:read as well, since it shows the check.",
        parameters=[CounterParameters],
        responses={200: CounterAnswer},
        examples=[OpenApiExample("Answer", ANSWER, response_only=True)],
    )
    def get(self, request: Request, check_id: UUID) -> Response:
        _require(request, Scope.CATALOGUE_READ)
        wanted = CounterParameters.read(request)
        dealer = asking_dealer(request)
        check = check_of(dealer, check_id)
        branch = branch_meant(dealer, wanted.get("branch"), pointer=None)
        first = OfferFirst(wanted.get("offer_first", OfferFirst.OLD_STOCK))
        asking = CounterAsking(branch, asker_name(request), timezone.now(), _problem, first)
        return Response(answer_again(check, asking, units=wanted.get("units", "as_given")))


def _require(request: Request, scope: Scope) -> None:
    """A second scope beside the view's own."""
    if not may(request, scope):
        raise MissingScope(f"This lacks the scope {scope}; ask for a key that has it.", scope=scope)


def _problem(error: DomainError, _index: int) -> Mapping[str, Any]:
    """Of a needed part that could not be decided; without pointers, since there is no body they could point into."""
    told = problem_of(error)
    document = told.document() if told else {}
    return {name: found for name, found in document.items() if name != "errors"}
