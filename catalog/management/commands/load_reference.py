"""`manage.py load_reference`: publish the reference files as a rulebook, unless they are published already."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from catalog.domain.rulebook_document import assemble
from catalog.usecases.rulebooks import Published, publish_rulebook
from service.errors import DomainError


class Command(BaseCommand):
    help = "Publish fixtures/reference as a rulebook; a second run changes nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        default = settings.BASE_DIR / "fixtures/reference"
        parser.add_argument("--folder", type=Path, default=default, help="where the reference files are")

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        files = {file.stem: json.loads(file.read_text(encoding="utf-8")) for file in sorted(folder.glob("*.json"))}
        if not files:
            raise CommandError(f"{folder} holds no reference files.")
        try:
            published = publish_rulebook(assemble(files), timezone.now())
        except DomainError as error:
            raise CommandError(f"The reference files cannot be published: {error.message}") from error
        if options["verbosity"]:
            done = "published" if published.new else "already published"
            self.stdout.write(f"Rulebook {published.number} {done}.")
        if published.new and published.in_force != published.number:
            self._tell_of_the_editors(published)

    def _tell_of_the_editors(self, published: Published) -> None:
        """An editor's rulebook is in force: say what has to be done, and why it is looser now where it is."""
        self.stderr.write(
            f"Rulebook {published.in_force} was made by an editor and stays in force. Draft from it, take over what "
            f"{published.number} brings (POST /api/v1/rulebooks/draft-.../rebase/) and publish the draft."
        )
        for problem in published.looser:
            self.stderr.write(f"  Not as tight as what is shipped now: {problem.pointer}: {problem.detail}")
