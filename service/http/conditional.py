"""ETags: sparing a repeated answer, and keeping one person's change from burying another's.

A tag is the thing's version and a digest of how it was shown (units, fields, media type). A precondition compares
the version alone: two forms of one version stem from the same state.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

from django.utils.cache import patch_vary_headers
from django.utils.http import parse_etags
from rest_framework.exceptions import APIException
from rest_framework.request import Request
from rest_framework.response import Response

from service.errors import Stale

VARY = ("Authorization", "Cookie", "Accept")


class PreconditionRequired(APIException):
    status_code = 428
    default_code = "precondition_required"


def strong_etag(version: object, *shown_as: object) -> str:
    """The tag of one thing at one version, shown in one way: the values of ``shown_as`` tell the ways apart."""
    ways = "\x1f".join(str(way) for way in shown_as)
    return f'"{version}-{hashlib.sha256(ways.encode()).hexdigest()[:12]}"'


def weak_etag(version: object, *shown_as: object) -> str:
    """The tag of a list; good for ``If-None-Match``, never for ``If-Match``."""
    return f"W/{strong_etag(version, *shown_as)}"


def tagged(response: Response, tag: str) -> Response:
    """The answer with its tag, to be kept by the asker alone and asked for anew each time."""
    response.headers["ETag"] = tag
    response.headers["Cache-Control"] = "private, no-cache"
    patch_vary_headers(response, VARY)
    return response


def not_modified(request: Request, tag: str) -> Response | None:
    """A 304 when ``If-None-Match`` names the tag; weak and strong compare alike here (RFC 9110, 13.1.2)."""
    asked = parse_etags(request.headers.get("If-None-Match", ""))
    if "*" in asked or tag.removeprefix("W/") in {known.removeprefix("W/") for known in asked}:
        return tagged(Response(status=304), tag)
    return None


def require_match(request: Request, version: object) -> None:
    """Let a change through only when ``If-Match`` names the present version.

    Call it before the body is looked at. The use case repeats the version in its UPDATE, since another change may
    come in between. Raises ``PreconditionRequired`` without the header, ``Stale`` when it names another version.
    """
    header = request.headers.get("If-Match")
    if header is None:
        raise PreconditionRequired("Read it first and send its ETag in If-Match, so that no change is lost.")
    asked = parse_etags(header)
    if not ("*" in asked or any(_names(known, version) for known in asked)):
        raise Stale("It has changed since it was read; read it again and send the new ETag in If-Match.")


def _names(tag: str, version: object) -> bool:
    # A weak tag keeps its W/" in front of the version and so names none.
    return tag.strip('"').rpartition("-")[0] == str(version)


def shown_as(request: Request, parameters: Iterable[str] = ("units", "include", "fields")) -> tuple[str, ...]:
    """How a thing was asked to be shown, for ``strong_etag``: the form and the parameters that change it."""
    return (
        str(request.accepted_renderer.media_type),
        *(f"{name}={request.query_params.get(name, '')}" for name in parameters),
    )
