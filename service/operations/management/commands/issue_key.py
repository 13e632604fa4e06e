"""Make a key for a dealer's own system and print it, once."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from service.errors import Problems
from service.operations.keys import issue_key
from service.operations.models import Dealer, Person, Scope


class Command(BaseCommand):
    help = "Issue a key for a dealer. The key is printed once and cannot be shown again."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("dealer", help="the dealer's code")
        parser.add_argument("name", help="what the key is for, such as 'till 2'")
        parser.add_argument("--scope", action="append", choices=Scope.values, dest="scopes", help="repeatable")
        parser.add_argument("--test", action="store_true", help="a test key instead of a live one")
        parser.add_argument("--person", help="user name of the person the key is bound to")
        parser.add_argument("--limit", type=int, help="calls a minute, 0 for no limit; without it, the service's")
        parser.add_argument("--days", type=int, help="days until the key expires; without it the key does not")

    def handle(self, *_args: Any, **options: Any) -> None:
        now = timezone.now()
        try:
            issued = issue_key(
                dealer=_dealer(options["dealer"]),
                name=options["name"],
                live=not options["test"],
                scopes=options["scopes"] or [],
                now=now,
                person=_person(options["person"]),
                expires_at=now + timedelta(days=options["days"]) if options["days"] is not None else None,
                calls_per_minute=options["limit"],
            )
        except Problems as error:
            raise CommandError("\n".join(problem.detail for problem in error.problems)) from error
        self.stdout.write(issued.text)
        self.stderr.write(f"Key {issued.key.id8} for {issued.key.dealer.name}. Keep it now: it is not shown again.")


def _dealer(code: str) -> Dealer:
    dealer = Dealer.objects.filter(code=code).first()
    if dealer is None:
        raise CommandError(f"No dealer has the code {code!r}.")
    return dealer


def _person(login: str | None) -> Person | None:
    if login is None:
        return None
    person: Person | None = Person.objects.answering_to(login).first()
    if person is None:
        raise CommandError(f"Nobody answers to {login!r}.")
    return person
