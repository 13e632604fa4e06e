"""Make the key that is to take another's place and print it, once; the old one goes on until it is revoked."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from service.errors import Problems
from service.operations.keys import successor_of
from service.operations.models import Key


class Command(BaseCommand):
    help = "Issue a key like an existing one. Both let in until revoke_key ends the old one."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("id8", help="the eight characters after gudgeon_live_ or gudgeon_test_ of the old key")
        parser.add_argument("--days", type=int, help="days until the new key expires; needed where the old one does")

    def handle(self, *_args: Any, **options: Any) -> None:
        now = timezone.now()
        old = Key.objects.select_related("dealer", "person").filter(id8=options["id8"]).first()
        if old is None:
            raise CommandError(f"No key is called {options['id8']!r}.")
        ends = now + timedelta(days=options["days"]) if options["days"] is not None else None
        try:
            issued = successor_of(old, now, expires_at=ends)
        except Problems as error:
            raise CommandError("\n".join(problem.detail for problem in error.problems)) from error
        self.stdout.write(issued.text)
        self.stderr.write(
            f"Key {issued.key.id8} for {old.dealer.name}. Keep it now: it is not shown again. When it is in use, end "
            f"the old one: manage.py revoke_key {old.id8}"
        )
