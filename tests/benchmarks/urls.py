"""The service's addresses and beside them the trivial ones that others are measured against."""

from __future__ import annotations

from itertools import count
from typing import ClassVar

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.models import Maker
from service.http.fields import Text
from service.http.pages import dealer_page
from service.http.serializers import StrictSerializer
from service.operations.models import Scope
from service.urls import urlpatterns as served

_numbers = count()


class MakerShape(StrictSerializer):
    code = Text(max_length=40)
    name = Text(max_length=80)


class TrivialView(APIView):
    """The project's own authentication and middleware, a serializer of two fields, one insert."""

    required_scope: ClassVar = Scope.CHECKS_WRITE

    def get(self, request: Request) -> Response:
        return Response({"dealer": str(request.auth)[:1]})

    def post(self, request: Request) -> Response:
        shape = MakerShape(data=request.data)
        shape.is_valid(raise_exception=True)
        maker = Maker.objects.create(code=f"{shape.validated_data['code']}{next(_numbers)}", name="trivial")
        return Response({"id": maker.pk, "code": maker.code}, status=201)


@dealer_page
def trivial_page(request: HttpRequest) -> HttpResponse:
    """The frame of every page, for somebody signed in, and nothing in it."""
    return render(request, "gudgeon/base.html")


urlpatterns = [*served, path("trivial/", TrivialView.as_view()), path("trivial-page/", trivial_page)]
