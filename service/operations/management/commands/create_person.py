"""Add a person with roles."""

from __future__ import annotations

import getpass
import sys
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from service.errors import Problems
from service.operations.models import Dealer, RoleName
from service.operations.people import GasLicence, create_person


class Command(BaseCommand):
    help = "Add a person. The password is asked for, or read as one line where there is no terminal."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("username")
        parser.add_argument("name", help="the name as it is to be shown")
        parser.add_argument("--email")
        parser.add_argument("--dealer", help="the dealer's code; without it, somebody of the shared catalogue")
        parser.add_argument("--role", action="append", choices=RoleName.values, dest="roles", help="repeatable")
        parser.add_argument(
            "--licence", nargs=3, metavar=("NUMBER", "AREA", "EXPIRES"), help="a gas technician's, to 2026-12-31"
        )
        parser.add_argument("--no-password", action="store_true", help="somebody who does not sign in by password")

    def handle(self, *_args: Any, **options: Any) -> None:
        dealer = Dealer.objects.filter(code=options["dealer"]).first()
        if options["dealer"] and dealer is None:
            raise CommandError(f"No dealer has the code {options['dealer']!r}.")
        try:
            person = create_person(
                username=options["username"],
                name=options["name"],
                roles=options["roles"] or [],
                dealer=dealer,
                email=options["email"],
                licence=_licence(options["licence"]),
                password=None if options["no_password"] else _password(),
            )
        except Problems as error:
            raise CommandError("\n".join(problem.detail for problem in error.problems)) from error
        self.stdout.write(f"{person.name} signs in as {person.username}.")


def _licence(given: list[str] | None) -> GasLicence | None:
    if given is None:
        return None
    number, area, expires = given
    try:
        return GasLicence(number, area, date.fromisoformat(expires))
    except ValueError as error:
        raise CommandError(f"{expires!r} is no date such as 2026-12-31.") from error


def _password() -> str:
    given = getpass.getpass() if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
    if not given:
        raise CommandError("A password is needed; use --no-password for somebody who has none.")
    return given
