"""What the API's description says before its first operation, in Markdown."""

DESCRIPTION = """Whether an engine part may take another's place on one engine, with the reasons.

## Keys
`Authorization: Bearer` and a dealer's key. A live key begins with `gudgeon_live_`, a test key with `gudgeon_test_`. A
test key is refused where what is done is real (403, `test-key-refused`). Two keys may be live at once: change over to
the new one, then revoke the old one, which lets nobody in from that moment on.

## Limits
A key has so many calls in a minute. Its minute begins with its first call after the last one was over.

| call | costs |
|---|---|
| any call, reading or writing, whatever its answer | 1 |
| a batch of n checks | n / 10, rounded up |
| a call whose key is refused (401) | nothing |
| a call refused by the limit (429), or that costs more than a minute has (400) | nothing |

Every answer to a call with a limited key says what is left:
`RateLimit-Policy: "key";q=60;w=60` are 60 calls in 60 seconds, `RateLimit: "key";r=12;t=31` are 12 left for the next
31 seconds (draft-ietf-httpapi-ratelimit-headers-11). A call for which too little is left is refused whole with 429
(`quota-exceeded`), `Retry-After` and `retry_after` say in how many seconds it is let in. A call that costs more than
a whole minute has is refused with 400 (`costs-more-than-the-limit`): waiting does not help, smaller batches do.
Whoever signs in on a page is not limited by key.
"""
