"""How many calls a key has in a minute, and what a call costs.

A key's minute begins with its first call after its last minute was over, so it is the key's own and no clock's. In
each the costs add up to the limit at most, whichever process answered; a refused call adds nothing. Two minutes may
follow each other at once: any sixty seconds hold twice the limit at the very most.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings

from service.errors import DomainError, Invalid, Kind
from service.operations.call_counts import MINUTE, Count, counted, spend
from service.operations.models import Key

SECOND = timedelta(seconds=1)
CHECKS_A_CALL = 10


@dataclass(frozen=True, slots=True)
class Standing:
    """What a key has left of its limit, and in how many whole seconds, rounded up, all of it is there again."""

    limit: int
    left: int
    whole_in: int


class LimitReached(DomainError):
    """Less is left of the key's minute than the call costs; ``retry_after`` is in whole seconds."""

    code = "quota_exceeded"
    kind = Kind.LIMITED

    def __init__(self, standing: Standing, cost: int) -> None:
        super().__init__(
            f"This call costs {cost} and {standing.left} of the key's {standing.limit} a minute are left; "
            f"wait {standing.whole_in} s and send it again. Nothing was done.",
            retry_after=standing.whole_in,
            limit=standing.limit,
            left=standing.left,
            cost=cost,
        )
        self.standing = standing


class CostsTooMuch(Invalid):
    """The call costs more than the key has in a whole minute, so waiting does not help."""

    code = "costs_more_than_the_limit"

    def __init__(self, standing: Standing, cost: int) -> None:
        super().__init__(
            f"This call costs {cost} and the key has {standing.limit} a minute, so it is never let in; send it in "
            "parts, or ask for a higher limit. Nothing was done.",
            limit=standing.limit,
            cost=cost,
        )
        self.standing = standing


def cost_of_checks(count: int) -> int:
    """A batch costs a tenth of its checks, rounded up."""
    return max(1, -(-count // CHECKS_A_CALL))


def limit_of(key: Key) -> int | None:
    """Calls a minute: the key's own limit, else the service's; none where the one that counts is 0."""
    own = key.calls_per_minute
    found: int = settings.CALLS_PER_MINUTE if own is None else own
    return found or None


def charge(key: Key, cost: int, now: datetime) -> Standing | None:
    """Take the cost of one call out of the key's minute, in one statement; none for a key without a limit.

    Raises ``LimitReached`` and ``CostsTooMuch``, and then has taken nothing.
    """
    limit = limit_of(key)
    if limit is None:
        return None
    count = spend(key.id8, cost=cost, limit=limit, now=now) if cost <= limit else None
    if count is not None:
        return _standing(count, limit, now)
    standing = _standing(counted(key.id8), limit, now)
    if cost > limit:
        raise CostsTooMuch(standing, cost)
    if cost <= standing.left:  # another call began the key's next minute between the two statements
        return charge(key, cost, now)
    raise LimitReached(standing, cost)


def _standing(count: Count | None, limit: int, now: datetime) -> Standing:
    if count is None or not count.began - MINUTE <= now < count.began + MINUTE:
        return Standing(limit, limit, MINUTE // SECOND)
    return Standing(limit, max(0, limit - count.spent), -((now - count.began - MINUTE) // SECOND))
