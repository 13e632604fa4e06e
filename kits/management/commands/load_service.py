"""`manage.py load_service`: bring in service plans and records of the demo; a second run changes nothing."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from catalog.usecases.demo_dealership import open_dealership
from kits.usecases.demo_service import load_service
from service.errors import DomainError, Problems


class Command(BaseCommand):
    help = "Load fixtures/demo/service: the makers' service plans, and what is on file of the demo's machines."

    def add_arguments(self, parser: ArgumentParser) -> None:
        default = settings.BASE_DIR / "fixtures/demo/service"
        parser.add_argument("--folder", type=Path, default=default, help="where the files are")

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        plans = [json.loads(file.read_text(encoding="utf-8")) for file in sorted(folder.glob("plans/*.json"))]
        machines = json.loads((folder / "machines.json").read_text(encoding="utf-8"))
        try:
            loaded = load_service(plans, machines, open_dealership(), timezone.now())
        except DomainError as error:
            raise CommandError(f"The service files cannot be loaded:\n{_all_of(error)}") from error
        if options["verbosity"]:
            self.stdout.write(f"{loaded.plans} plans added, records of {loaded.machines} machines.")


def _all_of(error: DomainError) -> str:
    if not isinstance(error, Problems):
        return error.message
    return "\n".join(f"{problem.pointer}: {problem.detail}" for problem in error.problems)
