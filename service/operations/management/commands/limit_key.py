"""Give a key a limit of its own, or take it away again."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from service.errors import Problems
from service.operations.call_limits import limit_of
from service.operations.keys import set_limit
from service.operations.models import Key


class Command(BaseCommand):
    help = "Set how many calls a key has in a minute; it holds from the next call on."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("id8", help="the eight characters after gudgeon_live_ or gudgeon_test_")
        wanted = parser.add_mutually_exclusive_group(required=True)
        wanted.add_argument("--calls", type=int, help="calls a minute, 0 for no limit")
        wanted.add_argument("--default", action="store_true", help="the service's limit, GUDGEON_CALLS_PER_MINUTE")

    def handle(self, *_args: Any, **options: Any) -> None:
        key = Key.objects.filter(id8=options["id8"]).first()
        if key is None:
            raise CommandError(f"No key is called {options['id8']!r}.")
        try:
            set_limit(key, options["calls"])
        except Problems as error:
            raise CommandError("\n".join(problem.detail for problem in error.problems)) from error
        self.stdout.write(f"Key {key.id8} ({key.name}) has {limit_of(key) or 'no limit of'} calls a minute.")
