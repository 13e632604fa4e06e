"""Keys in the Authorization header. Nothing here may import DRF's views: they import this by name."""

from __future__ import annotations

from django.utils import timezone
from rest_framework.authentication import BaseAuthentication
from rest_framework.request import Request

from service.http.asking import KeyUser
from service.operations.keys import KeyMalformed, note_use, verify
from service.operations.models import Key, Person

SCHEME = "bearer"
PARTS = 2


class KeyAuthentication(BaseAuthentication):
    """``Authorization: Bearer <key>``: ``request.auth`` is the key, ``request.user`` its person or a ``KeyUser``.

    One query for a key used within the hour. A wrong key raises ``operations.keys.KeyRefused``.
    """

    def authenticate(self, request: Request) -> tuple[Person | KeyUser, Key] | None:
        parts = request.headers.get("Authorization", "").split()
        if not parts or parts[0].lower() != SCHEME:
            return None
        if len(parts) != PARTS:
            raise KeyMalformed("Send Authorization: Bearer, one space and one key.")
        now = timezone.now()
        key = verify(parts[1], now)
        note_use(key, now)
        return key.person or KeyUser(key), key

    def authenticate_header(self, request: Request) -> str:
        return 'Bearer realm="gudgeon"'
