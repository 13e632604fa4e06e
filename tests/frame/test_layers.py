"""Who may import whom, checked by the tool on this tree, and the tool checked on a copy with planted breaches."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.once

ROOT = Path(__file__).resolve().parents[2]


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    command = [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"]
    environment = {**os.environ, "PYTHONPATH": str(folder)}
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)


@pytest.fixture
def copied_tree(tmp_path: Path) -> Path:
    for name in ("service", "catalog", "kits"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def test_the_tree_keeps_every_import_contract() -> None:
    answer = lint(ROOT)
    assert answer.returncode == 0, answer.stdout


@pytest.mark.parametrize(
    ("file", "line"),
    [
        ("catalog/domain/planted.py", "import django.db"),
        ("catalog/domain/planted.py", "import time"),
        ("catalog/domain/planted.py", "import numpy"),
        ("catalog/domain/planted.py", "import service.env"),
        ("catalog/apps.py", "import kits.apps"),
        ("service/operations/planted.py", "import service.http"),
        ("service/operations/planted.py", "import catalog.apps"),
        ("service/http/planted.py", "import service.env"),
        ("service/papers/planted.py", "import service.operations"),
        ("service/papers/planted.py", "import service.tables"),
        ("kits/domain/planted.py", "import service.papers.drawing.pages"),
        ("catalog/jobs.py", "import catalog.loading"),
        ("catalog/models/planted.py", "import catalog.loading"),
        ("kits/domain/planted.py", "import django.db"),
        ("kits/domain/planted.py", "import time"),
        ("kits/domain/planted.py", "import highspy"),
        ("kits/domain/planted.py", "import kits.solver"),
        ("kits/domain/planted.py", "import random"),
        ("kits/domain/planted.py", "import scipy"),
        ("kits/domain/planted.py", "import kits.statistics"),
        ("catalog/utils.py", "pass"),
        ("service/helpers.py", "pass"),
    ],
)
def test_a_planted_breach_is_reported(copied_tree: Path, file: str, line: str) -> None:
    target = copied_tree / file
    before = target.read_text(encoding="utf-8") if target.exists() else ""
    target.write_text(f"{before}\n{line}\n", encoding="utf-8")
    answer = lint(copied_tree)
    assert answer.returncode == 1, answer.stdout + answer.stderr
    assert "BROKEN" in answer.stdout or "not listed" in answer.stdout
