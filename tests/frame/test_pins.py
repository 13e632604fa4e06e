"""Every installed package is pinned, and nothing in the tree names where packages come from."""

import re
import subprocess
from importlib.metadata import distributions
from pathlib import Path

import pytest
from packaging.requirements import Requirement

from service.management.commands import pins

pytestmark = pytest.mark.once

ROOT = Path(__file__).resolve().parents[2]
TOOLS = {"pip", "uv", "setuptools"}


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def pinned() -> dict[str, str]:
    """The version of each package that is pinned for this Python and this system."""
    asked = map(Requirement, pins.pins_in((ROOT / "pyproject.toml").read_text(encoding="utf-8")))
    here = (pin for pin in asked if pin.marker is None or pin.marker.evaluate())
    return {plain(pin.name): str(pin.specifier).removeprefix("==") for pin in here}


def tracked() -> list[Path]:
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).is_file()]


def test_every_installed_package_has_exactly_its_pinned_version() -> None:
    installed = {plain(package.metadata["Name"]): package.version for package in distributions()}
    loose = {name: version for name, version in installed.items() if name not in TOOLS}
    assert loose.items() <= pinned().items()


def test_a_pin_is_a_name_and_a_version_and_no_address() -> None:
    clause = r"[a-z_]+ [=!<>]+ '[A-Za-z0-9.]+'"
    for pin in pins.pins_in((ROOT / "pyproject.toml").read_text(encoding="utf-8")):
        assert re.fullmatch(rf"[a-z0-9][a-z0-9._-]*==[a-z0-9.]+( ; {clause}( or {clause})*)?", pin), pin


def test_the_lock_file_is_not_tracked_and_no_package_index_is_named() -> None:
    # Put together here, so that this file does not find itself.
    hosts = re.compile("|".join(("py" + r"pi\.", "python" + "hosted", "registry" + r"\.npm", "deb" + r"\.debian")))
    files = tracked()
    assert files
    assert not [file for file in files if file.name == "uv.lock"]
    named = [
        str(file.relative_to(ROOT))
        for file in files
        if hosts.search(file.read_text(encoding="utf-8", errors="replace"))
    ]
    assert named == []


def test_the_readme_line_and_the_refusal_name_the_same_installer() -> None:
    said = re.search(r"uv==[0-9.]+", (ROOT / "manage.py").read_text(encoding="utf-8"))
    assert said
    assert said.group() in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_new_pins_replace_the_old_ones_and_leave_the_rest_alone() -> None:
    before = 'a = 1\nconstraint-dependencies = [\n    "old==1",\n]\nb = 2\n'
    after = pins.with_pins(before, ("new==2", 'odd==3 ; sys_platform == "win32"'))
    assert after == (
        'a = 1\nconstraint-dependencies = [\n    "new==2",\n    "odd==3 ; sys_platform == \'win32\'",\n]\nb = 2\n'
    )
