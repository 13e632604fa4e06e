"""Show a dealer's keys, each by the eight characters that may be shown."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from service.operations.call_limits import limit_of
from service.operations.models import Dealer, Key

SHOWN = "{:<8}  {:<4}  {:<24}  {:<12}  {:<18}  {}"


class Command(BaseCommand):
    help = "List a dealer's keys: mode, name, calls a minute, the hour of the last use, and whether each lets in."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("dealer", help="the dealer's code")

    def handle(self, *_args: Any, **options: Any) -> None:
        dealer = Dealer.objects.filter(code=options["dealer"]).first()
        if dealer is None:
            raise CommandError(f"No dealer has the code {options['dealer']!r}.")
        self.stdout.write(SHOWN.format("key", "mode", "name", "calls/minute", "last used, UTC", "state"))
        now = timezone.now()
        for key in Key.objects.visible_to(dealer).order_by("name", "pk"):
            limit = limit_of(key)
            calls = "no limit" if limit is None else f"{limit}"
            used = _when(key.last_used_at)
            self.stdout.write(SHOWN.format(key.id8, key.mode, key.name, calls, used, _state(key, now)))


def _when(instant: datetime | None) -> str:
    return "never" if instant is None else f"{instant:%Y-%m-%d %H:%M}"


def _state(key: Key, now: datetime) -> str:
    if key.revoked_at is not None:
        return f"revoked {_when(key.revoked_at)}"
    if key.expires_at is None:
        return "lets in"
    return f"{'expired' if key.expires_at <= now else 'lets in until'} {_when(key.expires_at)}"
