"""Revoke a key from now on."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from service.operations.keys import revoke
from service.operations.models import Key


class Command(BaseCommand):
    help = "Revoke a key, named by the eight characters that may be shown."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("id8", help="the eight characters after gudgeon_live_ or gudgeon_test_")

    def handle(self, *_args: Any, **options: Any) -> None:
        key = Key.objects.filter(id8=options["id8"]).first()
        if key is None:
            raise CommandError(f"No key is called {options['id8']!r}.")
        revoke(key, timezone.now())
        self.stdout.write(f"Key {key.id8} ({key.name}) lets nobody in since {key.revoked_at:%Y-%m-%d %H:%M} UTC.")
