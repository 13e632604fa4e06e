"""`manage.py load_stock`: bring in stock and prices of the demo; a second run changes nothing."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from catalog.usecases.demo_dealership import open_dealership
from kits.models import ImportTable
from kits.usecases.demo_stock import load_stock


class Command(BaseCommand):
    help = "Load fixtures/demo/stock: the supplier with its calendar, stock and prices, as nightly files are loaded."

    def add_arguments(self, parser: ArgumentParser) -> None:
        default = settings.BASE_DIR / "fixtures/demo/stock"
        parser.add_argument("--folder", type=Path, default=default, help="where the files are")

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        files = {table: (folder / f"{table}.csv").read_bytes() for table in ImportTable.values}
        loaded = load_stock(files, open_dealership(), timezone.now)
        if options["verbosity"]:
            self.stdout.write(f"{loaded.written} rows written, {loaded.left_out} left out for want of their part.")
