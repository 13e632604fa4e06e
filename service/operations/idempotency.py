"""Answering a repeated request with the first answer instead of doing the work twice.

The request is claimed in a short transaction of its own. The use case then completes the claim in the same
transaction as its effect, so that there is never an effect without its answer or an answer without its effect.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, Protocol

from django.core.serializers.json import DjangoJSONEncoder
from django.db import IntegrityError, connection, transaction
from django.db.models import Q

from service.errors import Conflict, Unprocessable
from service.operations.models import Dealer, IdempotencyRecord

LEASE = timedelta(minutes=2)
KEPT_FOR = timedelta(hours=24)


class StillRunning(Conflict):
    code = "idempotency_still_running"
    of_the_moment = True


class KeyReused(Unprocessable):
    code = "idempotency_key_reused"


class ClaimLost(Conflict):
    """The claim ran out and another request took it over; raised so that this one's effect is rolled back."""

    code = "idempotency_claim_lost"
    of_the_moment = True


@dataclass(frozen=True, slots=True)
class Answer:
    """What was answered; ``body`` is what JSON can hold."""

    status: int
    body: Any
    headers: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class KeyedRequest:
    """What makes two requests the same: who, where, which key; and the digest of what was sent."""

    dealer: Dealer | None
    method: str
    path: str
    key: str
    fingerprint: str


class Claim(Protocol):
    """What a use case is given: ``complete`` is called once, inside the transaction of the effect."""

    @property
    def answer(self) -> Answer | None: ...

    @property
    def keeps_answer(self) -> bool:
        """Whether completing it writes a row, which belongs in the transaction of the effect."""

    def complete(self, status: int, body: Any, headers: Mapping[str, str] | None = None) -> None: ...


class NoClaim:
    """The claim of a request without a key: keeps the answer in memory and asks nothing of the database."""

    keeps_answer = False

    def __init__(self) -> None:
        self.answer: Answer | None = None

    def complete(self, status: int, body: Any, headers: Mapping[str, str] | None = None) -> None:
        self.answer = Answer(status, body, headers or {})


class IdempotencyClaim:
    """An open record, held by this request until its lease runs out."""

    keeps_answer = True

    def __init__(self, record_id: int, token: uuid.UUID) -> None:
        self.answer: Answer | None = None
        self._mine = Q(pk=record_id, claim=token, status=None)

    def complete(self, status: int, body: Any, headers: Mapping[str, str] | None = None) -> None:
        """Record the answer. Raises ``ClaimLost`` when another request has taken the claim over."""
        if not connection.in_atomic_block:
            raise RuntimeError("An answer is kept inside the transaction of its effect; open one with atomic().")
        text = json.dumps(body, cls=DjangoJSONEncoder, ensure_ascii=False, separators=(",", ":"))
        # Read back, so that the first answer and every repeat are the same to the last digit.
        self.answer = Answer(status, json.loads(text), dict(headers or {}))
        kept = IdempotencyRecord.objects.filter(self._mine).update(
            status=status, body=text, headers=dict(headers or {}), lease_until=None
        )
        if not kept:
            raise ClaimLost("This request took too long and was repeated meanwhile; nothing was saved. Ask once more.")

    def release(self) -> None:
        """Give the key back unanswered, so that the request can be repeated at once."""
        IdempotencyRecord.objects.filter(self._mine).delete()


def claim(wanted: KeyedRequest, now: datetime) -> IdempotencyClaim | Answer:
    """Claim the key, or give the answer it already has.

    Raises ``KeyReused`` when the key came with another payload, ``StillRunning`` (``retry_after`` in seconds) while
    the first request is being worked on.
    """
    token = uuid.uuid4()
    try:
        with transaction.atomic():
            record = IdempotencyRecord.objects.create(**_place(wanted), **_fresh(wanted, token, now))
    except IntegrityError:
        return _met(wanted, token, now)
    return IdempotencyClaim(record.pk, token)


def clear_expired(now: datetime) -> int:
    """Forget answers that are no longer kept; answers how many went."""
    forgotten, _ = IdempotencyRecord.objects.filter(expires_at__lte=now).delete()
    return forgotten


def _met(wanted: KeyedRequest, token: uuid.UUID, now: datetime) -> IdempotencyClaim | Answer:
    """Somebody came first with this key."""
    found = IdempotencyRecord.objects.filter(**_place(wanted)).first()
    if found is None:  # given back or cleared between the two statements
        return claim(wanted, now)
    if found.expires_at <= now:
        return _take_over(found, wanted, token, now)
    if found.fingerprint != wanted.fingerprint:
        raise KeyReused(
            "This Idempotency-Key was used for a different request; give each new request a key of its own."
        )
    if found.status is not None:
        return Answer(found.status, json.loads(found.body), found.headers)
    if found.lease_until is not None and found.lease_until > now:
        wait = max(1, round((found.lease_until - now).total_seconds()))
        raise StillRunning("The first request with this Idempotency-Key is not finished.", retry_after=min(wait, 5))
    return _take_over(found, wanted, token, now)


def _take_over(
    found: IdempotencyRecord, wanted: KeyedRequest, token: uuid.UUID, now: datetime
) -> IdempotencyClaim | Answer:
    fresh = {**_fresh(wanted, token, now), "status": None, "body": "", "headers": {}}
    taken = IdempotencyRecord.objects.filter(pk=found.pk, claim=found.claim, status=found.status).update(**fresh)
    return IdempotencyClaim(found.pk, token) if taken else claim(wanted, now)


def _place(wanted: KeyedRequest) -> dict[str, Any]:
    return {"dealer": wanted.dealer, "method": wanted.method, "path": wanted.path, "key": wanted.key}


def _fresh(wanted: KeyedRequest, token: uuid.UUID, now: datetime) -> dict[str, Any]:
    return {
        "fingerprint": wanted.fingerprint,
        "claim": token,
        "lease_until": now + LEASE,
        "expires_at": now + KEPT_FOR,
    }
