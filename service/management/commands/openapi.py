"""`manage.py openapi`: write the API's description to the file that is committed and served."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from service.openapi import COMMITTED, described


class Command(BaseCommand):
    help = "Write service/openapi.json from the views; --check fails when it differs from them."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true", help="write nothing; fail when the file is behind")

    def handle(self, *args: Any, check: bool, **options: Any) -> None:
        fresh = described()
        if not check:
            COMMITTED.write_text(fresh, encoding="utf-8")
        elif COMMITTED.read_text(encoding="utf-8") != fresh:
            raise CommandError("service/openapi.json is behind the views; run manage.py openapi and commit it.")
        self.stdout.write("service/openapi.json says what the views say.")
