"""`manage.py load_demo`: bring in the invented dealership; a second run changes nothing."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from catalog.usecases.demo_dealership import load_demo
from catalog.usecases.demo_files import demo_tables
from service.errors import DomainError, Problems

PARTS = 2_000  # as many as a small dealer's catalogue holds


class Command(BaseCommand):
    help = "Load fixtures/demo: the dealer, its branch, parts, engines and makers' statements."

    def add_arguments(self, parser: ArgumentParser) -> None:
        default = settings.BASE_DIR / "fixtures/demo"
        parser.add_argument("--folder", type=Path, default=default, help="where the demo files are")
        parser.add_argument(
            "--parts", type=int, default=PARTS, help="fill up with parts from a generator to this number; 0 for none"
        )

    def handle(self, *args: Any, folder: Path, parts: int, **options: Any) -> None:
        try:
            written = load_demo(demo_tables(folder), timezone.now(), up_to=parts)
        except DomainError as error:
            raise CommandError(f"The demo files cannot be loaded:\n{_all_of(error)}") from error
        if options["verbosity"]:
            self.stdout.write(
                f"{written.added} entries added, {written.changed} changed, {written.unchanged} as they were."
            )


def _all_of(error: DomainError) -> str:
    return "\n".join(problem.detail for problem in error.problems) if isinstance(error, Problems) else error.message
