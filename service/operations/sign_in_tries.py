"""How often a wrong password may be tried: ten times in ten minutes for one name, and as often from one address.

A try is counted before its password is looked at, so that tries at once are not more; one that was right is given
back. The name counts as it is typed, whether or not somebody answers to it, and a user name and an e-mail address of
one person count apart: a common count would tell that they belong together, and so that both exist.
"""

from __future__ import annotations

import unicodedata
from base64 import urlsafe_b64encode
from collections.abc import Sequence
from datetime import datetime, timedelta
from ipaddress import IPv6Address, ip_address, ip_network

from django.utils.crypto import salted_hmac

from service.errors import DomainError, Kind
from service.operations.call_counts import LONGEST_WINDOW, counted, give_back, spend

MOST = 10
WINDOW = LONGEST_WINDOW
MINUTE = timedelta(minutes=1)
# Whoever has one address of version 6 usually has all that share its first half (RFC 6177).
SHARED_BITS = 64


class TooManyTries(DomainError):
    """``minutes``, rounded up, until a password is looked at again."""

    code = "too_many_tries"
    kind = Kind.LIMITED

    def __init__(self, minutes: int) -> None:
        wait = "1 minute" if minutes == 1 else f"{minutes} minutes"
        super().__init__(f"Too many wrong passwords. Try again in {wait}.", retry_after=60 * minutes)
        self.minutes = minutes


def begin_try(name: str, address: str, now: datetime) -> Sequence[str]:
    """Count a try; answers what `was_right` takes. An address that is not known counts for nobody.

    Raises TooManyTries, and then has counted nothing.
    """
    begun: list[str] = []
    for key in _keys(name, address):
        if spend(key, cost=1, limit=MOST, now=now, window=WINDOW) is None:
            was_right(begun)
            raise TooManyTries(_minutes_until_over(key, now))
        begun.append(key)
    return begun


def was_right(begun: Sequence[str]) -> None:
    """Give a try back."""
    for key in begun:
        give_back(key)


def _keys(name: str, address: str) -> list[str]:
    typed = unicodedata.normalize("NFKC", name).strip().casefold()
    return [_key("name", typed), *([_key("address", _neighbourhood(address))] if address else [])]


def _key(of: str, text: str) -> str:
    """Eight characters that say nothing of what they stand for, and that no key of a dealer has."""
    digest = salted_hmac(f"sign-in tries of a {of}", text, algorithm="sha256").digest()
    return "~" + urlsafe_b64encode(digest).decode()[:7]


def _neighbourhood(address: str) -> str:
    try:
        found = ip_address(address)
    except ValueError:
        return address
    if not isinstance(found, IPv6Address):
        return str(found)
    return str(found.ipv4_mapped or ip_network((found, SHARED_BITS), strict=False))


def _minutes_until_over(key: str, now: datetime) -> int:
    count = counted(key)
    left = WINDOW if count is None else count.began + WINDOW - now
    return min(WINDOW // MINUTE, max(1, -(-left // MINUTE)))
