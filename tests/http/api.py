"""A tiny API to try the HTTP rules on: nothing of it is served, it knows operations alone."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.db import IntegrityError, transaction
from django.db.models import F
from django.http import Http404, HttpResponseBase
from django.urls import include, path
from rest_framework import exceptions, serializers
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from service import errors
from service.http.asking import asker_name, asking_dealer, dealer_of
from service.http.conditional import not_modified, require_match, shown_as, strong_etag, tagged
from service.http.fields import Choice, Day, DecimalString, Flag, Identifier, Instant, Text, Whole
from service.http.idempotency import answer_once
from service.http.pagination import KeysetPagination
from service.http.query import FlagParameter, NoParameters, PageParameters, QueryParameters, WholeParameter
from service.http.serializers import StrictSerializer
from service.operations import changes
from service.operations.idempotency import Claim
from service.operations.models import Branch, Change, Job, Scope

MORNING = datetime(2026, 3, 9, 9, 15, tzinfo=UTC)


class Line(StrictSerializer):
    part = Text(max_length=20)
    quantity = Whole(min_value=1)


class Body(StrictSerializer):
    name = Text(max_length=40)
    note = Text(required=False, lines=True, trim_whitespace=False)
    urgent = Flag(required=False)
    weight = DecimalString(required=False, places=2, least=Decimal(0), most=Decimal(100))
    on = Day(required=False)
    at = Instant(required=False)
    fuel = Choice(choices=["diesel", "lpg_vapour"], required=False)
    ref = Identifier(required=False, allow_null=True)
    lines = Line(many=True, required=False)
    tags = serializers.ListField(child=Text(max_length=5), required=False)
    id = serializers.IntegerField(read_only=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["name"] == "nobody":
            raise serializers.ValidationError("Nobody is no name.", code="no_name")
        return attrs


class Filters(QueryParameters):
    limit = WholeParameter(required=False, min_value=1)
    exact = FlagParameter(required=False)
    open_prefixes = ("attr__",)


class Open(APIView):
    authentication_classes = ()
    permission_classes = (AllowAny,)


class Echo(Open):
    """Gives back what it understood."""

    def get(self, request: Request) -> Response:
        return Response(Filters.read(request))

    def post(self, request: Request) -> Response:
        body = Body(data=request.data)
        body.is_valid(raise_exception=True)
        return Response(body.to_representation(body.validated_data))


class Raw(Open):
    """Gives back whatever was parsed."""

    def post(self, request: Request) -> Response:
        return Response({"got": request.data})

    def patch(self, request: Request) -> Response:
        return Response({"got": request.data})


class RoomyRaw(Raw):
    max_body_bytes = 3_000_000


class NoSuchPart(errors.NotFound):
    code = "part_not_found"


RAISED: dict[str, Exception] = {
    "domain": NoSuchPart("No part is numbered 'X'.", pointer="/candidate", suggestions=[{"near": Decimal("1.50")}]),
    "query": errors.Invalid("The check digit is 3.", pointer="?q", code="check_digit"),
    "problems": errors.Problems(
        [errors.FieldProblem("/a/0", "gauge", "Gauge for absolute."), errors.FieldProblem("", "empty", "Nothing.")]
    ),
    "conflict": errors.Conflict("Taken."),
    "gone": errors.Gone("Kept no longer."),
    "stale": errors.Stale("Changed since."),
    "unprocessable": errors.Unprocessable("No answer."),
    "forbidden": errors.Forbidden("Not you."),
    "smuggled": errors.Conflict("Words.", status=200, type="about:blank", kept_member=1),
    "django404": Http404("secret heron"),
    "django403": PermissionDenied("secret heron"),
    "drf404": exceptions.NotFound(),
    "throttled": exceptions.Throttled(wait=7),
    "too_big": RequestDataTooBig("secret heron"),
    "suspicious": SuspiciousOperation("secret heron"),
    "integrity": IntegrityError("secret heron"),
    "fault": RuntimeError("secret heron"),
    "teapot": type("Teapot", (exceptions.APIException,), {"status_code": 418})("Short and stout."),
}


class Failing(Open):
    def get(self, _request: Request, how: str) -> Response:
        raise RAISED[how]


class Closed(APIView):
    """Asks for a scope each way."""

    required_scope = {"GET": Scope.CATALOGUE_READ, "POST": Scope.CATALOGUE_WRITE}

    def get(self, request: Request) -> Response:
        NoParameters.read(request)
        dealer = dealer_of(request)
        return Response({"dealer": dealer and dealer.name, "asker": asker_name(request), "user": str(request.user)})

    def post(self, request: Request) -> Response:
        return Response({"dealer": asking_dealer(request).name}, status=201)


class Branches(Open):
    """All branches in pages."""

    keyset_order: tuple[str, ...] = ("zone", "-name", "id")

    def get(self, request: Request) -> Response:
        PageParameters.read(request)
        pages = KeysetPagination()
        rows = pages.paginate_queryset(Branch.objects.all(), request, view=self)
        return pages.get_paginated_response([row.pk for row in rows])


class BranchesByDealer(Branches):
    keyset_order = ("dealer__code", "pk")


class Counter(Open):
    """A job's ``done`` as a thing with a version."""

    def get(self, request: Request, pk: str) -> Response:
        job = Job.objects.get(pk=pk)
        tag = strong_etag(job.done, *shown_as(request))
        return not_modified(request, tag) or tagged(Response({"done": job.done}), tag)

    def patch(self, request: Request, pk: str) -> Response:
        job = Job.objects.get(pk=pk)
        require_match(request, job.done)
        if not Job.objects.filter(pk=pk, done=job.done).update(done=F("done") + int(dict(request.data)["by"])):
            raise errors.Stale("It has changed meanwhile.")
        job.refresh_from_db()
        return tagged(Response({"done": job.done}), strong_etag(job.done, *shown_as(request)))


class Orders(APIView):
    """Records something for each request that is not a repeat."""

    def post(self, request: Request, **_address: str) -> HttpResponseBase:
        def act(claim: Claim) -> None:
            what = dict(request.data)["what"]
            if what == "conflict":
                raise errors.Conflict("Out of stock.", code="out_of_stock")
            if what == "invalid":
                raise errors.Invalid("No such thing.", pointer="/what")
            if what == "fault":
                raise RuntimeError("secret heron")
            with transaction.atomic():
                made = changes.append(changes.NewChange("made", "order", what, asking_dealer(request)), MORNING)
                if what != "forgotten":
                    claim.complete(201, {"order": made.seq, "at": made.at}, {"Location": f"/api/orders/{made.seq}/"})

        return answer_once(request, act, now=MORNING, view=self, required="required" in request.path)


class LiveOrders(Orders):
    """Orders of goods that somebody has to pay for."""

    live_keys_only = frozenset({"POST"})

    def get(self, _request: Request) -> Response:
        return Response({"orders": orders_made()})


class Lots(APIView):
    """Costs as many calls as the body has entries."""

    max_body_bytes = 2_000

    @staticmethod
    def cost_of_call(body: Any) -> int:
        return len(body)

    def post(self, request: Request) -> Response:
        return Response({"entries": len(request.data)})


def orders_made() -> int:
    return Change.objects.filter(object_type="order").count()


handler400 = "service.http.error_views.bad_request"
handler403 = "service.http.error_views.permission_denied"
handler404 = "service.http.error_views.not_found"
handler500 = "service.http.error_views.server_error"

urlpatterns = [
    path("", include("service.http.urls")),
    path("plain/<how>/", Failing.as_view()),
    path("api/echo/", Echo.as_view()),
    path("api/raw/", Raw.as_view()),
    path("api/raw/roomy/", RoomyRaw.as_view()),
    path("api/fail/<how>/", Failing.as_view()),
    path("api/closed/", Closed.as_view()),
    path("api/branches/", Branches.as_view()),
    path("api/branches/by-dealer/", BranchesByDealer.as_view()),
    path("api/counters/<uuid:pk>/", Counter.as_view()),
    path("api/orders/", Orders.as_view()),
    path("api/orders/live/", LiveOrders.as_view()),
    path("api/lots/", Lots.as_view()),
    path("api/orders/required/", Orders.as_view()),
    path("api/orders/shelf/<shelf>/", Orders.as_view()),
]
