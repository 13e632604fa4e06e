"""Issuing, reading and revoking keys.

A key is ``gudgeon_live_`` or ``gudgeon_test_``, 8 characters that may be shown, ``_``, 32 that may not, and 6 that
are the CRC-32 of everything before them, all in base 62. The sum lets a typing error be refused without asking
the database; it is no secret and proves nothing else.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
import string
import zlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db.models import Q

from service.errors import DomainError, FieldProblem, Kind, Problems
from service.operations.models import Dealer, Key, KeyMode, Person, Scope
from service.operations.models.key import MOST_CALLS_PER_MINUTE

BASE62 = string.digits + string.ascii_uppercase + string.ascii_lowercase
SECRET_LENGTH = 32
SUM_LENGTH = 6
LAST_USED_STEP = timedelta(hours=1)
SHAPE = re.compile(r"gudgeon_(live|test)_([0-9A-Za-z]{8})_[0-9A-Za-z]{32}([0-9A-Za-z]{6})", re.ASCII)


class KeyRefused(DomainError):
    """The key lets nobody in; ``code`` says why."""

    code = "key_refused"
    kind = Kind.UNAUTHENTICATED


class KeyMalformed(KeyRefused):
    code = "key_malformed"


class KeyUnknown(KeyRefused):
    code = "key_unknown"


class KeyRevoked(KeyRefused):
    code = "key_revoked"


class KeyExpired(KeyRefused):
    code = "key_expired"


class KeyOwnerInactive(KeyRefused):
    code = "key_owner_inactive"


@dataclass(frozen=True, slots=True)
class IssuedKey:
    """A new key. ``text`` is shown once, to its owner, and kept nowhere."""

    text: str = field(repr=False)
    key: Key


@dataclass(frozen=True, slots=True)
class ParsedKey:
    """A key whose sum is right; whether it was ever issued is for the database to say."""

    mode: KeyMode
    id8: str
    text: str = field(repr=False)


def issue_key(
    *,
    dealer: Dealer,
    name: str,
    live: bool,
    scopes: Iterable[str],
    now: datetime,
    person: Person | None = None,
    expires_at: datetime | None = None,
    calls_per_minute: int | None = None,
) -> IssuedKey:
    """Make and store a key; without ``calls_per_minute`` the service's limit holds, 0 is none.

    Raises ``Problems`` for an unknown scope, a foreign person, a past expiry or a limit out of range.
    """
    wanted = sorted({str(scope) for scope in scopes})
    _check_wish(
        dealer=dealer, wanted=wanted, person=person, expires_at=expires_at, calls_per_minute=calls_per_minute, now=now
    )
    mode = KeyMode.LIVE if live else KeyMode.TEST
    id8 = _random(8)
    body = f"gudgeon_{mode.value}_{id8}_{_random(SECRET_LENGTH)}"
    text = body + checksum(body)
    key = Key.objects.create(
        id8=id8,
        hash=_hash(text),
        mode=mode,
        name=name,
        scopes=wanted,
        dealer=dealer,
        person=person,
        expires_at=expires_at,
        calls_per_minute=calls_per_minute,
    )
    return IssuedKey(text=text, key=key)


def successor_of(key: Key, now: datetime, *, expires_at: datetime | None = None) -> IssuedKey:
    """A new key that may do what this one may; both let in until the old one is revoked.

    Raises ``Problems`` as ``issue_key`` does, and for an old key that was revoked already or whose end the new one
    would not have.
    """
    if key.revoked_at is not None:
        raise Problems([FieldProblem("/key", "revoked", f"Key {key.id8} was revoked; issue a new one by name.")])
    if key.expires_at is not None and expires_at is None:
        raise Problems([FieldProblem("/expires_at", "required", f"Key {key.id8} expires; say when the new one does.")])
    return issue_key(
        dealer=key.dealer,
        name=key.name,
        live=key.mode == KeyMode.LIVE,
        scopes=key.scopes,
        now=now,
        person=key.person,
        expires_at=expires_at,
        calls_per_minute=key.calls_per_minute,
    )


def set_limit(key: Key, calls_per_minute: int | None) -> None:
    """From the next call on; 0 is no limit, None the service's. Raises ``Problems`` for one out of range."""
    problems = _limit_problems(calls_per_minute)
    if problems:
        raise Problems(problems)
    key.calls_per_minute = calls_per_minute
    key.save(update_fields=["calls_per_minute"])


def parse(text: str) -> ParsedKey:
    """Read a key without a query. Raises ``KeyMalformed``."""
    shape = SHAPE.fullmatch(text)
    if shape is None:
        raise KeyMalformed(
            "This is not the shape of a key: expected gudgeon_live_ or gudgeon_test_, 8 characters, _ and 38 more."
        )
    mode, id8, found_sum = shape.groups()
    if checksum(text[:-SUM_LENGTH]) != found_sum:
        raise KeyMalformed("The key's check characters do not agree with the rest; copy it again, whole.")
    return ParsedKey(mode=KeyMode(mode), id8=id8, text=text)


def verify(text: str, now: datetime) -> Key:
    """The key of that text with its dealer and person, in one query; none for a mistyped key.

    Raises a ``KeyRefused`` that says why. Whether a key was revoked or has expired is told only to somebody who
    holds the whole of it.
    """
    parsed = parse(text)
    key = Key.objects.select_related("dealer", "person").filter(id8=parsed.id8).first()
    known_hash = key.hash if key is not None else _hash("")
    if not hmac.compare_digest(known_hash, _hash(text)) or key is None:
        raise KeyUnknown("No such key has been issued here; ask for a new one.")
    if key.revoked_at is not None and key.revoked_at <= now:
        raise KeyRevoked(f"Key {key.id8} was revoked; use the key that replaced it.")
    if key.expires_at is not None and key.expires_at <= now:
        raise KeyExpired(f"Key {key.id8} has expired; ask for a new one.")
    if key.person is not None and not key.person.is_active:
        raise KeyOwnerInactive(f"The person key {key.id8} is bound to is no longer active; ask for a new key.")
    return key


def note_use(key: Key, now: datetime) -> None:
    """Remember that the key was used, at most once an hour, so that most reads stay reads."""
    if key.last_used_at is not None and now - key.last_used_at < LAST_USED_STEP:
        return
    unnoted = Q(last_used_at=None) | Q(last_used_at__lte=now - LAST_USED_STEP)
    Key.objects.filter(unnoted, pk=key.pk).update(last_used_at=now)


def revoke(key: Key, now: datetime) -> None:
    """From ``now`` on the key lets nobody in. Revoking it again changes nothing."""
    Key.objects.filter(pk=key.pk, revoked_at=None).update(revoked_at=now)
    key.refresh_from_db(fields=["revoked_at"])


def checksum(body: str) -> str:
    """CRC-32 of ``body`` in six base-62 characters."""
    rest = zlib.crc32(body.encode("ascii"))
    characters = []
    for _ in range(SUM_LENGTH):
        rest, index = divmod(rest, len(BASE62))
        characters.append(BASE62[index])
    return "".join(reversed(characters))


def _check_wish(
    *,
    dealer: Dealer,
    wanted: list[str],
    person: Person | None,
    expires_at: datetime | None,
    calls_per_minute: int | None,
    now: datetime,
) -> None:
    problems = [
        FieldProblem("/scopes", "unknown_scope", f"{scope!r} is no scope; there are {', '.join(Scope.values)}.")
        for scope in wanted
        if scope not in Scope.values
    ]
    if person is not None and person.dealer_id != dealer.pk:
        problems.append(FieldProblem("/person", "other_dealer", f"{person.username} does not belong to {dealer.name}."))
    if expires_at is not None and expires_at <= now:
        problems.append(
            FieldProblem("/expires_at", "past", "The key would have expired already; give a later instant.")
        )
    problems += _limit_problems(calls_per_minute)
    if problems:
        raise Problems(problems)


def _limit_problems(calls_per_minute: int | None) -> list[FieldProblem]:
    if calls_per_minute is None or 0 <= calls_per_minute <= MOST_CALLS_PER_MINUTE:
        return []
    told = f"{calls_per_minute} calls a minute is no limit; give 1 to {MOST_CALLS_PER_MINUTE}, or 0 for none."
    return [FieldProblem("/calls_per_minute", "out_of_range", told)]


def _random(length: int) -> str:
    return "".join(secrets.choice(BASE62) for _ in range(length))


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
