"""The Idempotency-Key header: a request repeated with its key gets the first answer, and nothing is done twice."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime

from django.db import transaction
from django.http import HttpResponseBase
from django.utils.encoding import escape_uri_path
from rest_framework.request import Request
from rest_framework.response import Response

from service.errors import DomainError, Invalid, Kind
from service.http import problem_documents
from service.http.asking import dealer_of
from service.http.bodies import limit_for, raw_body
from service.http.problems import problem_of
from service.operations.idempotency import Answer, Claim, ClaimLost, IdempotencyClaim, KeyedRequest, NoClaim, claim
from service.operations.models.answered import PATH_LENGTH

BARE = re.compile(r"[\x21-\x7e]{1,255}")
QUOTED = re.compile(r'"((?:[\x20\x21\x23-\x5b\x5d-\x7e]|\\["\\]){1,255})"')
# The state of things may refuse a request for good.
FINAL = (Kind.CONFLICT, Kind.UNPROCESSABLE)


class KeyMissing(Invalid):
    code = "idempotency_key_missing"


class KeyInvalid(Invalid):
    code = "idempotency_key_invalid"


def answer_once(
    request: Request,
    act: Callable[[Claim], None],
    *,
    now: datetime,
    view: object = None,
    required: bool = False,
) -> HttpResponseBase:
    """Do ``act`` and answer with what it completed its claim with, or repeat the answer given before.

    ``act`` hands the claim to its use case, which calls ``claim.complete(status, body, headers)`` once, inside the
    transaction of its effect. A request without a key costs no statement more. Kept besides successes: a conflict
    or an unprocessable, which are final. Any other error gives the key back. Raises ``KeyMissing`` (when
    ``required``), ``KeyInvalid``, ``operations.idempotency.KeyReused`` and ``StillRunning``.
    """
    key = read_key(request.headers.get("Idempotency-Key"))
    if key is None:
        if required:
            raise KeyMissing("This starts or records something; send an Idempotency-Key so that it is done once.")
        return _done(act, NoClaim())
    found = claim(_keyed(request, key, view), now)
    if isinstance(found, Answer):
        return _replayed(found)
    try:
        return _done(act, found)
    except BaseException as error:
        _settle(found, error)
        raise


def read_key(header: str | None) -> str | None:
    """The key, quoted or bare; none without the header. Raises ``KeyInvalid``."""
    if header is None:
        return None
    quoted = QUOTED.fullmatch(header)
    if quoted is not None:
        return re.sub(r"\\(.)", r"\1", quoted[1])
    if BARE.fullmatch(header) is None or header.startswith('"'):
        raise KeyInvalid("An Idempotency-Key is 1 to 255 printable ASCII characters, in double quotes or bare.")
    return header


def fingerprint(content_type: str, query: str, raw: bytes) -> str:
    """SHA-256 of all that makes two requests to one address the same."""
    head = f"{content_type}\0{query}\0"
    return hashlib.sha256(head.encode("utf-8", "replace") + raw).hexdigest()


def _keyed(request: Request, key: str, view: object) -> KeyedRequest:
    raw = raw_body(request, limit_for(view))
    path = escape_uri_path(request.path)
    if len(path) > PATH_LENGTH:
        path = f"sha256:{hashlib.sha256(path.encode()).hexdigest()}"
    return KeyedRequest(
        dealer=dealer_of(request),
        method=request.method or "",
        path=path,
        key=key,
        fingerprint=fingerprint(request.content_type or "", request.META.get("QUERY_STRING", ""), raw),
    )


def _done(act: Callable[[Claim], None], held: Claim) -> Response:
    act(held)
    if held.answer is None:
        raise RuntimeError("The use case did not complete its claim, so a repeat would do its work again.")
    return Response(held.answer.body, status=held.answer.status, headers=dict(held.answer.headers))


def _replayed(found: Answer) -> HttpResponseBase:
    headers = {**found.headers, "Idempotency-Replayed": "true"}
    if headers.pop("Content-Type", None) == problem_documents.MEDIA_TYPE:
        return problem_documents.as_response(found.status, found.body, headers)
    return Response(found.body, status=found.status, headers=headers)


def _settle(held: IdempotencyClaim, error: BaseException) -> None:
    """Keep a final refusal; give the key back after anything else."""
    final = isinstance(error, DomainError) and error.kind in FINAL and not error.of_the_moment
    told = problem_of(error) if final else None
    if told is None:
        held.release()
        return
    with suppress(ClaimLost), transaction.atomic():
        held.complete(told.type.status, told.document(), {**told.headers, "Content-Type": problem_documents.MEDIA_TYPE})
