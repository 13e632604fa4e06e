"""Keeps test keys away from what is real, until the house's own permission does it."""

from __future__ import annotations

from typing import Any

from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from service.errors import Forbidden
from service.http.asking import key_of
from service.http.permissions import KeyOrPerson
from service.operations.models import KeyMode


class TestKeyRefused(Forbidden):
    code = "test_key_refused"


class LiveKeys(BasePermission):
    """Refuses test keys for the methods that a view names as `live_keys_only`."""

    def has_permission(self, request: Request, view: Any) -> bool:
        key = key_of(request)
        if key is not None and request.method in view.live_keys_only and key.mode != KeyMode.LIVE:
            raise TestKeyRefused(
                f"Key {key.id8} is a test key, and what this does is real; nothing was done. Send it with a live key "
                "(gudgeon_live_...)."
            )
        return True


WITH_LIVE_KEYS = (KeyOrPerson, LiveKeys)
