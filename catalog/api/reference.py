"""Reading what is published: categories with their attributes and rules, fuels, fuel service classes."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.api import examples, schemas
from catalog.usecases.reading import (
    Published,
    category_document,
    category_head,
    fuel_documents,
    published,
    service_class_documents,
)
from service.errors import NotFound
from service.http.conditional import not_modified, shown_as, strong_etag, tagged
from service.http.query import NoParameters
from service.operations.models import Scope


class CategoriesView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="categories_list",
        summary="Kinds of component there are rules for",
        responses={200: schemas.CategoryList},
        examples=[OpenApiExample("Categories", examples.CATEGORY_LIST, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        NoParameters.read(request)
        now = published()
        return _whole_list([category_head(category) for category in now.rulebook.categories.values()], now)


class CategoryView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="categories_read",
        summary="One category: its attributes, how each is compared, and what follows",
        responses={200: schemas.CategoryAnswer},
        examples=[OpenApiExample("Category", examples.CATEGORY, response_only=True)],
    )
    def get(self, request: Request, code: str) -> Response:
        NoParameters.read(request)
        now = published()
        category = now.rulebook.categories.get(code)
        if category is None:
            known = ", ".join(now.rulebook.categories)
            raise NotFound(f"There is no category {code[:60]!r}; there are {known}.", code="unknown_category")
        tag = strong_etag(now.standing.version, now.standing.digest, *shown_as(request, ()))
        known_already = not_modified(request, tag)
        return known_already or tagged(Response({**category_document(category, now.rulebook), **now.provenance}), tag)


class FuelsView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="fuels_list",
        summary="Fuels an engine can burn, with their grades",
        responses={200: schemas.FuelList},
        examples=[OpenApiExample("Fuels", examples.FUELS, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        NoParameters.read(request)
        now = published()
        return _whole_list(fuel_documents(now.rulebook), now)


class ServiceClassesView(APIView):
    required_scope = Scope.CATALOGUE_READ

    @extend_schema(
        operation_id="fuel_services_list",
        summary="Fuel service classes: fuel, phase and pressure at one port",
        responses={200: schemas.ServiceClassList},
        examples=[OpenApiExample("Service classes", examples.SERVICE_CLASSES, response_only=True)],
    )
    def get(self, request: Request) -> Response:
        NoParameters.read(request)
        now = published()
        return _whole_list(service_class_documents(now.rulebook), now)


def _whole_list(rows: list[dict[str, Any]], now: Published) -> Response:
    """A list short enough to be one page, in the shape of every list."""
    return Response({"results": rows, "next": None, "previous": None, **now.provenance})
