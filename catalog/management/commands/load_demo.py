"""`manage.py load_demo`: bring in the invented dealership; a second run changes nothing."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from catalog.usecases.demo_dealership import DemoCatalogue, load_demo
from service.errors import DomainError


class Command(BaseCommand):
    help = "Load fixtures/demo: the dealer, its branch, parts, engines and makers' statements."

    def add_arguments(self, parser: ArgumentParser) -> None:
        default = settings.BASE_DIR / "fixtures/demo"
        parser.add_argument("--folder", type=Path, default=default, help="where the demo files are")

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        rows = {
            name: json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))
            for name in ("parts", "specifications", "statements")
        }
        try:
            written = load_demo(DemoCatalogue(**rows), timezone.now())
        except DomainError as error:
            raise CommandError(f"The demo files cannot be loaded: {error.message}") from error
        if options["verbosity"]:
            self.stdout.write(
                f"{written.added} entries added, {written.changed} changed, {written.unchanged} as they were."
            )
