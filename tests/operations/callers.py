"""Calls made with a key, without a request around them."""

from __future__ import annotations

import secrets
from datetime import datetime

from service.operations.call_limits import LimitReached, charge
from service.operations.models import Key


def key_with(limit: int | None) -> Key:
    """A key as it is read for a request; the count needs no more of it."""
    return Key(id8=secrets.token_hex(4), mode="live", name="till", calls_per_minute=limit)


def let_in_of(calls: int, key: Key, now: datetime) -> int:
    """How many of so many calls were let in."""
    found = 0
    for _ in range(calls):
        try:
            charge(key, 1, now)
        except LimitReached:
            continue
        found += 1
    return found
