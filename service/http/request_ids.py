"""One id for all that one request causes: taken from a valid ``traceparent`` (W3C Trace Context), else made here."""

from __future__ import annotations

import logging
import re
import uuid
from collections.abc import Callable
from contextvars import ContextVar

from django.http import HttpRequest, HttpResponseBase

TRACE_ID_HEX = 32
# Version 00 has exactly these four parts; a later version may add more after another hyphen. ff is no version.
TRACEPARENT = re.compile(r"(?!ff)([0-9a-f]{2})-([0-9a-f]{32})-([0-9a-f]{16})-[0-9a-f]{2}(-.*)?", re.ASCII)
_current: ContextVar[str | None] = ContextVar("trace_id", default=None)


def trace_id_from(header: str | None) -> str | None:
    """The trace id of a ``traceparent`` header; none when the header breaks the standard in any way."""
    found = TRACEPARENT.fullmatch(header or "")
    if found is None:
        return None
    version, trace, parent, more = found.groups()
    if (version == "00" and more is not None) or not trace.strip("0") or not parent.strip("0"):
        return None
    return trace


def current_trace_id() -> str:
    """The id of the request being answered; outside of one, a new id that belongs to nothing."""
    return _current.get() or uuid.uuid4().hex


class RequestIdMiddleware:
    """Comes first, so that every answer has its ``X-Request-Id`` and every line logged can have one."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        trace = trace_id_from(request.headers.get("traceparent")) or uuid.uuid4().hex
        token = _current.set(trace)
        try:
            response = self.get_response(request)
        finally:
            _current.reset(token)
        response.headers["X-Request-Id"] = trace
        return response


class RequestIdFilter(logging.Filter):
    """Gives each log record a ``request_id``, ``-`` outside of a request."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.request_id = _current.get() or "-"
        return True
