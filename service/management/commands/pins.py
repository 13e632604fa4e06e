"""`manage.py pins`: resolve the dependencies anew and write the exact versions into pyproject.toml.

The versions live there, and not in a lock file, because a lock file records download addresses and the project
should install from whatever index its machine is given.
"""

import re
import shutil
import subprocess
import tempfile
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

BLOCK = re.compile(r"^constraint-dependencies = \[\n.*?^\]\n", re.MULTILINE | re.DOTALL)
RESOLVE = (
    *("pip", "compile", "pyproject.toml", "--group", "dev", "--all-extras"),
    *("--universal", "--python-version", "3.11", "--no-header", "--no-annotate", "--quiet"),
)


class Command(BaseCommand):
    help = "Pin every resolved package exactly in pyproject.toml; --check says whether the block is as written."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true", help="write nothing; fail when a version has moved")

    def handle(self, *args: Any, check: bool, **options: Any) -> None:
        file = settings.BASE_DIR / "pyproject.toml"
        before = file.read_text(encoding="utf-8")
        after = with_pins(before, resolve(without_pins(before)))
        if check and after != before:
            raise CommandError("The pins are not what the ranges resolve to today; run manage.py pins.")
        if not check:
            file.write_text(after, encoding="utf-8")
        self.stdout.write(f"{len(pins_in(after))} packages pinned.")


def resolve(project: str) -> tuple[str, ...]:
    """Give one `name==version` requirement (with its marker, if any) for each package `project` needs."""
    uv = shutil.which("uv") or str(settings.BASE_DIR / ".venv/bin/uv")
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "pyproject.toml").write_text(project, encoding="utf-8")
        answer = subprocess.run([uv, *RESOLVE], cwd=folder, capture_output=True, text=True, check=False)
    if answer.returncode != 0:
        raise CommandError(f"uv could not resolve the dependencies:\n{answer.stderr}")
    return tuple(line for line in answer.stdout.splitlines() if line and not line.startswith(("#", "-")))


def without_pins(text: str) -> str:
    """Empty the block, so that the old pins do not hold the new ones back."""
    return with_pins(text, ())


def with_pins(text: str, pins: tuple[str, ...]) -> str:
    lines = "".join(f'    "{pin.replace(chr(34), chr(39))}",\n' for pin in pins)
    after, found = BLOCK.subn(f"constraint-dependencies = [\n{lines}]\n", text)
    if found != 1:
        raise CommandError("pyproject.toml must hold one constraint-dependencies block under [tool.uv].")
    return after


def pins_in(text: str) -> tuple[str, ...]:
    found = BLOCK.search(text)
    return tuple(re.findall(r'"([^"]+)"', found.group())) if found else ()
