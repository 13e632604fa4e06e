"""Reading a body, but never more of it than its address takes.

``HTTP_MAX_BODY_BYTES`` in the settings is the limit; a view may name another as ``max_body_bytes``.
"""

from __future__ import annotations

from typing import Any, Protocol

from django.conf import settings
from rest_framework.exceptions import APIException
from rest_framework.request import Request

DEFAULT_LIMIT = 1_000_000


class ContentTooLarge(APIException):
    status_code = 413
    default_code = "content_too_large"


class Readable(Protocol):
    def read(self, size: int, /) -> bytes: ...


def limit_for(view: object) -> int:
    """The most bytes a body may have at this view."""
    general: int = getattr(settings, "HTTP_MAX_BODY_BYTES", DEFAULT_LIMIT)
    own: int = getattr(view, "max_body_bytes", general)
    return own


def refuse_announced(meta: dict[str, Any], limit: int) -> None:
    """Refuse by Content-Length, before anything is read."""
    announced = str(meta.get("CONTENT_LENGTH") or "0")
    if announced.isdecimal() and int(announced) > limit:
        raise _too_large(announced, limit)


def read_at_most(stream: Readable, limit: int) -> bytes:
    raw = stream.read(limit + 1)
    if len(raw) > limit:
        raise _too_large(f"more than {limit}", limit)
    return raw


def raw_body(request: Request, limit: int) -> bytes:
    """The bytes as they came, kept by Django so that a parser can still read them."""
    refuse_announced(request.META, limit)
    body: bytes = request.body
    return body


def _too_large(found: str, limit: int) -> ContentTooLarge:
    return ContentTooLarge(f"The body has {found} bytes; at most {limit} are read here. Send less at once.")
