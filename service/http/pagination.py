"""Lists in pages that neither skip nor repeat a row, whatever is added meanwhile."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db.models import Model, QuerySet
from rest_framework.pagination import BasePagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.urls import remove_query_param, replace_query_param

from service.errors import Invalid
from service.http.keyset import Cursor, Order, order_of, read_cursor

DEFAULT_SIZE = 50
LARGEST_SIZE = 200


class KeysetPagination(BasePagination):
    """``{results, next, previous}`` and a Link header (RFC 8288).

    The order is the view's ``keyset_order``, else the queryset's own ``order_by``, else the primary key. It must
    end in a unique field and hold none that may be null. One query a page.
    """

    def paginate_queryset(
        self, queryset: QuerySet[Any] | Sequence[Any], request: Request, view: Any = None
    ) -> list[Any]:
        if not isinstance(queryset, QuerySet):
            raise TypeError("Only a queryset can be paged by key; a sequence has no order of its own to go on from.")
        self.url = request.build_absolute_uri()
        size = page_size(request)
        self.order = _order(queryset, view)
        text = request.query_params.get("cursor")
        cursor = Cursor(back=False, values=None) if text is None else read_cursor(text, self.order)
        rows = queryset.order_by(*self.order.ordering(reverse=cursor.back))
        if cursor.values is not None:
            rows = rows.filter(self.order.after(cursor.values, reverse=cursor.back))
        found = self.take(rows, size + 1)
        page, more = found[:size], len(found) > size
        if cursor.back:
            page.reverse()
        self.next, self.previous = self._neighbours(page, cursor, more=more)
        return page

    def take(self, rows: QuerySet[Any], count: int) -> list[Any]:
        """The first so many rows; one who keeps rows by what the database cannot tell looks at more of them here."""
        return list(rows[:count])

    def _neighbours(self, page: list[Model], cursor: Cursor, *, more: bool) -> tuple[str | None, str | None]:
        """Addresses of the pages after and before; a page left empty by deletions still leads back."""
        if cursor.back:
            forward = self._link(page[-1], back=False) if page else remove_query_param(self.url, "cursor")
            from_the_end = cursor.values is None
            return (None if from_the_end else forward), (self._link(page[0], back=True) if more else None)
        following = self._link(page[-1], back=False) if more else None
        if cursor.values is None:
            return following, None
        return following, self._link(page[0] if page else None, back=True)

    def _link(self, row: Model | None, *, back: bool) -> str:
        cursor = Cursor(back, None if row is None else self.order.values_of(row))
        url: str = replace_query_param(self.url, "cursor", cursor.text(self.order))
        return url

    def get_paginated_response(self, data: Any) -> Response:
        response = Response({"results": data, "next": self.next, "previous": self.previous})
        links = [f'<{url}>; rel="{rel}"' for url, rel in ((self.next, "next"), (self.previous, "prev")) if url]
        if links:
            response.headers["Link"] = ", ".join(links)
        return response

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        address = {"type": ["string", "null"], "format": "uri"}
        return {
            "type": "object",
            "required": ["results", "next", "previous"],
            "properties": {"results": schema, "next": address, "previous": address},
        }

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        size = {"type": "integer", "minimum": 1, "maximum": LARGEST_SIZE, "default": DEFAULT_SIZE}
        return [
            _parameter("cursor", "Where to go on; taken from next or previous, never made up.", {"type": "string"}),
            _parameter("page_size", "Rows a page.", size),
        ]


def page_size(request: Request) -> int:
    """Rows a page as asked for. Raises ``Invalid`` for what is no number from 1 to the largest."""
    asked = request.query_params.get("page_size")
    if asked is None:
        return DEFAULT_SIZE
    if (
        asked.isascii()
        and asked.isdecimal()
        and len(asked) <= len(str(LARGEST_SIZE))
        and int(asked) in range(1, LARGEST_SIZE + 1)
    ):
        return int(asked)
    raise Invalid(f"page_size is a whole number from 1 to {LARGEST_SIZE}.", pointer="?page_size", code="invalid")


def _order(queryset: QuerySet[Any], view: Any) -> Order:
    own: Sequence[str] | None = getattr(view, "keyset_order", None)
    names = own or tuple(str(name) for name in queryset.query.order_by) or ("pk",)
    return order_of(queryset.model, names)


def _parameter(name: str, description: str, schema: dict[str, Any]) -> dict[str, Any]:
    return {"name": name, "in": "query", "required": False, "description": description, "schema": schema}
