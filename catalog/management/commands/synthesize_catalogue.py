"""`manage.py synthesize_catalogue --parts N`: fill the catalogue up to N parts, to try it at its size."""

import time
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from catalog.usecases.demo_files import demo_tables
from catalog.usecases.refusals import NoRulebook
from catalog.usecases.synthesizing import synthesize

MOST = 5_000_000
TELL_EVERY = 5.0  # seconds


class Command(BaseCommand):
    help = (
        "Load the demo and fill it up with generated parts, some hundreds a second. Each says that a generator made "
        "it. A run that was cut short goes on where it stopped."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--parts", type=int, required=True, help="how many parts there are to be in all")
        parser.add_argument("--seed", type=int, default=1, help="the same seed makes the same parts")

    def handle(self, *args: Any, parts: int, seed: int, **options: Any) -> None:
        if not 1 <= parts <= MOST:
            raise CommandError(f"--parts takes 1 to {MOST:,}; {parts:,} was given.")
        tables = demo_tables(settings.BASE_DIR / "fixtures/demo")
        told = time.monotonic()
        there = 0
        try:
            for there, wanted in synthesize(tables, parts, timezone.now, seed=seed):
                if options["verbosity"] and time.monotonic() - told >= TELL_EVERY:
                    told = time.monotonic()
                    self.stdout.write(f"{there:,} of {wanted:,} parts")
        except NoRulebook as error:
            raise CommandError("No rulebook is published yet; run manage.py load_reference first.") from error
        if options["verbosity"]:
            self.stdout.write(f"{there:,} parts are in the catalogue.")
