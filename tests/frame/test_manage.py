"""A Python that cannot run the project is told so in one sentence with the two lines that help."""

import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.once

ROOT = Path(__file__).resolve().parents[2]
TWO_LINES = ("uv run manage.py demo", "uv run pytest")


def run(*before: str) -> subprocess.CompletedProcess[str]:
    """Run manage.py in a bare interpreter, after the statements that make it lack something."""
    script = "; ".join(("import runpy, sys", *before, "sys.argv = ['manage.py', 'check']", "sys.path.insert(0, '.')"))
    code = f"{script}\nrunpy.run_path('manage.py', run_name='__main__')"
    # -S keeps installed packages away, as on a fresh machine.
    command = [sys.executable, "-S", "-c", code]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


@pytest.mark.parametrize(
    ("lacking", "sentence"),
    [
        ((), "Django is not installed"),
        (("sys.version_info = (3, 8, 18)",), "Gudgeon needs Python 3.11, 3.12 or 3.13 and was started with 3.8.18"),
        (("sys.modules['ensurepip'] = None",), "cannot make virtual environments"),
    ],
)
def test_what_is_missing_is_said_in_one_sentence(lacking: tuple[str, ...], sentence: str) -> None:
    answer = run(*lacking)
    assert answer.returncode == 2
    assert answer.stderr.count(sentence) == 1
    assert all(line in answer.stderr for line in TWO_LINES)
    assert "Traceback" not in answer.stderr


def test_a_misspelt_setting_stops_every_command_with_one_sentence() -> None:
    answer = subprocess.run(
        [sys.executable, "manage.py", "check"],
        cwd=ROOT,
        env={"PATH": "/usr/bin:/bin", "GUDGEON_PROT": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert answer.returncode == 2
    assert "did you mean GUDGEON_PORT?" in answer.stderr
    assert "Traceback" not in answer.stderr


def test_the_check_parses_on_the_oldest_python_it_speaks_to() -> None:
    compile_for_38 = "import ast, pathlib; ast.parse(pathlib.Path('manage.py').read_text(), feature_version=(3, 8))"
    subprocess.run([sys.executable, "-c", compile_for_38], cwd=ROOT, check=True)
