"""The limit of a key at the edge: every call with a key costs something, and its answer says what is left.

The header fields are those of draft-ietf-httpapi-ratelimit-headers-11 (May 2026, work in progress): RateLimit-Policy
with the quota ``q`` and its window ``w``, RateLimit with what remains ``r`` and the seconds ``t`` for which it must
do. Whoever signs in on a page has no key and no limit here.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponseBase
from django.utils import timezone
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from service.http.asking import key_of
from service.http.bodies import limit_for, raw_body
from service.operations.call_counts import MINUTE
from service.operations.call_limits import CostsTooMuch, LimitReached, Standing, charge
from service.operations.models import Key

POLICY = "key"
WINDOW = int(MINUTE.total_seconds())
STANDING = "call_limit_standing"


class WithinCallLimit(BasePermission):
    """Takes what the call costs out of the key's minute, before anything else is decided about it.

    A call costs 1, unless its view says ``cost_of_call(body)``. A body that cannot be read costs 1. Raises
    ``operations.call_limits.LimitReached`` and ``CostsTooMuch``.
    """

    def has_permission(self, request: Request, view: Any) -> bool:
        key = key_of(request)
        if key is None:
            return True
        cost = 1
        try:
            if hasattr(view, "cost_of_call"):
                raw_body(request, limit_for(view))
                cost = view.cost_of_call(request.data)
        finally:
            _charge(request, key, cost)
        return True


class CallLimitHeadersMiddleware:
    """Says on the answer to every call with a key what is left, whatever became of the call."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        standing: Standing | None = getattr(request, STANDING, None)
        if standing is not None:
            response.headers["RateLimit-Policy"] = f'"{POLICY}";q={standing.limit};w={WINDOW}'
            response.headers["RateLimit"] = f'"{POLICY}";r={standing.left};t={standing.whole_in}'
        return response


def _charge(request: Request, key: Key, cost: int) -> None:
    try:
        standing = charge(key, cost, timezone.now())
    except (LimitReached, CostsTooMuch) as refused:
        setattr(request._request, STANDING, refused.standing)  # noqa: SLF001 - the one the middleware has
        raise
    setattr(request._request, STANDING, standing)  # noqa: SLF001 - the one the middleware has
