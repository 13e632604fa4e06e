"""The demo dealer's keys: one that is shown once, and short-lived ones for the demo's own questions."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta

from django.core.management.base import CommandError
from django.utils import timezone

from service.operations.keys import issue_key, revoke
from service.operations.models import Dealer, Key, Scope

DEALER = "tallis-bridge"
NAME = "demo"
TEMPORARY = "demo --check"
# A check run that is killed cannot revoke its key, so the key also ends by itself.
LIFE_OF_A_TEMPORARY_KEY = timedelta(minutes=10)


def dealer() -> Dealer:
    found = Dealer.objects.filter(code=DEALER).first()
    if found is None:
        raise CommandError(f"There is no dealer {DEALER!r}; run manage.py load_demo, which makes it.")
    return found


def invitation(now: datetime) -> list[str]:
    """Say how to get in. The key's text is in the lines on the first run only: afterwards nobody can know it."""
    kept = Key.objects.filter(dealer__code=DEALER, name=NAME, revoked_at=None).first()
    if kept is not None:
        return [
            f"Key:    gudgeon_{kept.mode}_{kept.id8}_..., shown when it was issued. Another one:",
            f"        .venv/bin/python manage.py issue_key --dealer {DEALER} --name second",
        ]
    issued = issue_key(dealer=dealer(), name=NAME, live=True, scopes=Scope.values, now=now)
    return [f"Key:    {issued.text}", "        It is shown this once; send it as Authorization: Bearer <key>."]


@contextmanager
def temporary() -> Iterator[str]:
    """Give the text of a key that is revoked on leaving."""
    now = timezone.now()
    ends = now + LIFE_OF_A_TEMPORARY_KEY
    issued = issue_key(dealer=dealer(), name=TEMPORARY, live=True, scopes=Scope.values, now=now, expires_at=ends)
    try:
        yield issued.text
    finally:
        revoke(issued.key, timezone.now())
