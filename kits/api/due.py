"""What is due: on one machine, and on all machines of a dealer."""

from __future__ import annotations

from datetime import date
from typing import Any, ClassVar
from uuid import UUID

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api.schemas import PAGE
from catalog.models import Machine, Status
from catalog.usecases.machine_writing import machine_of
from kits.api import due_examples as examples
from kits.api import due_schemas as schemas
from kits.api import vocabulary
from kits.domain.due_states import DueState
from kits.usecases.due_answers import due_document
from kits.usecases.due_asking import MachineDue, due_on
from kits.usecases.fleet_due import Wanted, first_due, fleet_document
from service.http.asking import asking_dealer
from service.http.fields import Choice, Day, Identifier
from service.http.pagination import KeysetPagination
from service.http.query import PAGE_PARAMETERS, QueryParameters, WholeParameter
from service.operations.models import Dealer, Scope

MOST_DAYS = 3_660


class DueParameters(QueryParameters):
    as_of = Day(required=False, help_text="The day asked about; else today at the dealer's.")
    horizon_days = WholeParameter(
        required=False, min_value=0, max_value=MOST_DAYS, help_text="Only what may fall due within so many days."
    )


class MachineDueView(APIView):
    required_scope: ClassVar = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="machine_due",
        summary="What is due on a machine, between which days, from what, and what is missing to say more",
        description="Every task of its plan that applies or may apply, what is most pressing first. `series` is for a "
        "plot of its hours. A task that cannot be told is unknown and asks for what is missing.",
        parameters=[DueParameters],
        responses={200: schemas.DueAnswer},
        examples=[OpenApiExample("Due", examples.DUE, response_only=True)],
    )
    def get(self, request: Request, machine_id: UUID) -> Response:
        wanted, dealer = DueParameters.read(request), asking_dealer(request)
        machine = machine_of(dealer, machine_id)
        found = due_on(dealer, [machine.pk], wanted.get("as_of") or dealer.today(timezone.now()))
        return Response(due_document(found[0], wanted.get("horizon_days")))


class FleetDueParameters(QueryParameters):
    also = PAGE_PARAMETERS

    as_of = Day(required=False, help_text="The day asked about; else today at the dealer's.")
    state = Choice(choices=vocabulary.DUE_STATES, required=False, help_text="Only tasks in that state.")
    customer = Identifier(required=False, help_text="The customer's id.")
    within = WholeParameter(
        required=False, min_value=0, max_value=MOST_DAYS, help_text="Only tasks that may fall due within so many days."
    )


class DuePages(KeysetPagination):
    """Pages of machines on which something wanted is due; what is, is worked out as they are looked through."""

    def __init__(self, dealer: Dealer, wanted: Wanted) -> None:
        self.dealer, self.wanted = dealer, wanted
        self.found: dict[UUID, MachineDue] = {}

    def take(self, rows: QuerySet[Any], count: int) -> list[Any]:
        kept = first_due(self.dealer, rows, self.wanted, count)
        self.found = {row.pk: due for row, due in kept}
        return [row for row, _ in kept]


class FleetDueView(APIView):
    required_scope: ClassVar = Scope.CATALOGUE_READ
    keyset_order = ("name", "id")

    @extend_schema(
        operation_id="due_list",
        summary="What is due on all machines, in the order of their names",
        description="With `state` or `within` only machines with such a task are listed, and only those tasks. A "
        "machine whose plan cannot be told is listed with what is missing, unless another state is asked for.",
        parameters=[FleetDueParameters, *PAGE],
        responses={200: schemas.FleetDuePage},
        examples=[OpenApiExample("Page", examples.FLEET_PAGE, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        asked, dealer = FleetDueParameters.read(request), asking_dealer(request)
        state = asked.get("state")
        as_of: date = asked.get("as_of") or dealer.today(timezone.now())
        wanted = Wanted(as_of, None if state is None else DueState(state), asked.get("within"))
        rows = Machine.objects.visible_to(dealer).filter(status=Status.ACTIVE).select_related("customer")
        if "customer" in asked:
            rows = rows.filter(customer=asked["customer"])
        pages = DuePages(dealer, wanted)
        found = pages.paginate_queryset(rows.defer("facts"), request, self)
        return pages.get_paginated_response([fleet_document(row, pages.found[row.pk], wanted) for row in found])
