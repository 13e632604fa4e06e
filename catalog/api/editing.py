"""What every view that changes something does: the precondition first, then the body's shape."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from service.http.conditional import not_modified, require_match, shown_as, strong_etag, tagged
from service.http.plain_reading import PlainReader
from service.http.serializers import StrictSerializer


def body_of(request: Request, shape: Callable[[], StrictSerializer | PlainReader]) -> dict[str, Any]:
    """The body, its shape checked; `shape` makes what reads it. Raises DRF's ValidationError with every fault."""
    if not isinstance(request.data, Mapping):
        raise ValidationError("Expected an object.", code="not_an_object")
    found: dict[str, Any] = shape().run_validation(request.data)
    return found


def patch_of(request: Request, version: object, shape: type[StrictSerializer]) -> dict[str, Any]:
    """A merge patch (RFC 7396) to the thing at this version; a list in it takes the place of the whole list.

    Raises PreconditionRequired and Stale before the body is looked at.
    """
    require_match(request, version)
    return body_of(request, shape)


def shown_at(request: Request, version: object, document: Mapping[str, Any], *also: object) -> Response:
    """The thing with its tag, or 304 where the asker has it; `also` is what else changes how it is shown."""
    tag = strong_etag(version, *also, *shown_as(request, ("units",)))
    return not_modified(request, tag) or tagged(Response(document), tag)


def created_at(
    request: Request, version: object, document: Mapping[str, Any], *also: object, address: str
) -> Response:  # fmt: skip
    response = tagged(Response(document, status=201), strong_etag(version, *also, *shown_as(request, ("units",))))
    response.headers["Location"] = address
    return response


def changed_to(request: Request, version: object, document: Mapping[str, Any], *also: object) -> Response:
    return tagged(Response(document), strong_etag(version, *also, *shown_as(request, ("units",))))
