"""Every kind of refusal the API knows: its stable name, its status, its title and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from http import HTTPStatus


@dataclass(frozen=True, slots=True)
class ProblemType:
    """``slug`` ends the ``type`` address and never changes; ``advice`` is shown on the page at that address."""

    slug: str
    status: int
    title: str
    advice: str

    @property
    def uri(self) -> str:
        return f"/problems/{self.slug}/" if self.slug else "about:blank"


BUILT_IN = (
    ProblemType(
        "invalid",
        400,
        "Some of what was sent is not valid",
        "Each entry of errors names one field by JSON pointer, or one query parameter, and says what it should hold. "
        "Nothing was saved; correct all of them and send the request again.",
    ),
    ProblemType(
        "malformed",
        400,
        "The request cannot be read",
        "Send JSON as RFC 8259 has it, in UTF-8, each name once in its object. The detail says where reading stopped.",
    ),
    ProblemType(
        "invalid-cursor",
        400,
        "The cursor is not one of this list",
        "Follow the next and previous addresses as they are given, with the same order; or start without a cursor.",
    ),
    ProblemType(
        "idempotency-key-missing",
        400,
        "An Idempotency-Key is needed here",
        "Send an Idempotency-Key header with a fresh value, such as a UUID, and repeat a request with the same value.",
    ),
    ProblemType(
        "idempotency-key-invalid",
        400,
        "The Idempotency-Key cannot be read",
        "Use 1 to 255 printable ASCII characters without spaces, in double quotes or bare.",
    ),
    ProblemType(
        "costs-more-than-the-limit",
        400,
        "The call costs more than the key has in a minute",
        "Waiting does not help: send the checks in batches that cost at most the limit member each, ten checks for one "
        "call. Whoever runs the service can give the key a higher limit (manage.py limit_key).",
    ),
    ProblemType(
        "authentication-required",
        401,
        "Who is asking?",
        "Send Authorization: Bearer with a key, or sign in.",
    ),
    ProblemType(
        "key-malformed", 401, "The key was mistyped or cut", "Copy the key again, whole, from where it is kept."
    ),
    ProblemType("key-unknown", 401, "No such key", "Ask your dealer's owner for a key of this service."),
    ProblemType("key-revoked", 401, "The key was revoked", "Use the key that replaced it."),
    ProblemType("key-expired", 401, "The key has expired", "Ask your dealer's owner for a new key."),
    ProblemType(
        "key-owner-inactive",
        401,
        "The key's person is no longer active",
        "Ask your dealer's owner for a key bound to somebody else, or to nobody.",
    ),
    ProblemType("forbidden", 403, "Not allowed", "Ask somebody whose role allows it."),
    ProblemType(
        "missing-scope",
        403,
        "The key does not reach this far",
        "The scope member names what the key would need; ask for a key that has it.",
    ),
    ProblemType(
        "test-key-refused",
        403,
        "Not to be done with a test key",
        "What this does is real, and a test key must not touch it. Send it with a live key (gudgeon_live_...), or try "
        "it on a copy of the service.",
    ),
    ProblemType("not-found", 404, "No such thing", "Check the address; what belongs to another dealer is not found."),
    ProblemType("method-not-allowed", 405, "Not done at this address", "The Allow header lists what is."),
    ProblemType("not-acceptable", 406, "Not to be had in that form", "Send Accept: application/json, or no Accept."),
    ProblemType(
        "conflict",
        409,
        "It clashes with what is there",
        "Read the present state, then decide again.",
    ),
    ProblemType(
        "idempotency-still-running",
        409,
        "The first request is not finished",
        "Wait as long as Retry-After says and repeat the request with the same Idempotency-Key.",
    ),
    ProblemType(
        "idempotency-claim-lost",
        409,
        "The request took too long and was repeated meanwhile",
        "Nothing was saved by this one; repeat it with the same Idempotency-Key.",
    ),
    ProblemType("gone", 410, "No longer kept", "Fetch what is there now and go on from it."),
    ProblemType(
        "feed-cursor-too-old",
        410,
        "The feed is not kept back to there",
        "Fetch everything once more, then read the feed from its newest number.",
    ),
    ProblemType(
        "feed-cursor-ahead",
        410,
        "The feed never went so far",
        "The number is of another copy of the data. Fetch everything once more, then go on from the newest number.",
    ),
    ProblemType(
        "job-finished", 409, "The job has ended", "It cannot be cancelled any more; read the job for how it ended."
    ),
    ProblemType("stale", 412, "It has changed since it was read", "Read it again and send the new ETag in If-Match."),
    ProblemType("content-too-large", 413, "The body is too large", "Send less at once."),
    ProblemType(
        "unsupported-media-type",
        415,
        "The body's media type is not read here",
        "Send application/json; a PATCH may also send application/merge-patch+json.",
    ),
    ProblemType(
        "unprocessable", 422, "Understood, and still without an answer", "The detail says what stands against it."
    ),
    ProblemType(
        "idempotency-key-reused",
        422,
        "The Idempotency-Key belongs to another request",
        "Give every new request a value of its own; repeat a value only with the very same request.",
    ),
    ProblemType(
        "precondition-required",
        428,
        "If-Match is needed here",
        "Read the thing first and send its ETag in If-Match, so that nobody's change is lost.",
    ),
    ProblemType("too-many-requests", 429, "Too many requests", "Wait as long as Retry-After says."),
    ProblemType(
        "quota-exceeded",
        429,
        "The key's calls of this minute are used up",
        "Nothing was done, and the refused call counts for nothing. Wait as long as Retry-After (retry_after in the "
        "body, in seconds) says and send it again. Many checks are cheaper in one batch: ten of them cost one call.",
    ),
    ProblemType(
        "internal-error",
        500,
        "A fault in the service",
        "It is logged under the id in instance; give that id to whoever runs the service.",
    ),
    ProblemType("unavailable", 503, "Not available just now", "Try again a little later."),
)
_types = {known.slug: known for known in BUILT_IN}


def register(*types: ProblemType) -> None:
    """Add kinds of one app's own, from its ``AppConfig.ready``. A slug is given away once."""
    for added in types:
        if _types.setdefault(added.slug, added) != added:
            raise RuntimeError(f"Problem type {added.slug!r} is registered already, with other words.")


def find(slug: str) -> ProblemType | None:
    return _types.get(slug)


def every() -> tuple[ProblemType, ...]:
    return tuple(_types.values())


def for_status(status: int, code: str = "") -> ProblemType:
    """The kind of that status which ``code`` names, else the plainest: the first registered.

    A status no kind is registered for gets what RFC 9457 has for it, ``about:blank``.
    """
    named = _types.get(code.replace("_", "-"))
    if named is not None and named.status == status:
        return named
    blank = ProblemType("", status, HTTPStatus(status).phrase, "")
    return next((known for known in _types.values() if known.status == status), blank)
