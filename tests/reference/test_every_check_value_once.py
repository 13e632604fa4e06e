"""Every check value is tried in exactly one case, in the file that the lists beside this name, or says why not."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

pytestmark = pytest.mark.once
HERE = Path(__file__).parent
LISTS = (HERE / "coverage.json", HERE / "coverage_fuel.json")
_CASE = re.compile(r"([\w.]+\.py)::\w+\[((?:CV|FC)\d+)\b")
_REASON = re.compile(r"(deferred|disputed): \S.+")


def stated() -> dict[str, str]:
    return {name: where for path in LISTS for name, where in json.loads(path.read_text(encoding="utf-8")).items()}


def cases(told: str) -> Counter[tuple[str, str]]:
    """How often each (check value, file) is a case among these names of tests."""
    return Counter((name, file) for file, name in _CASE.findall(told))


def collected() -> str:
    asked = [sys.executable, "-m", "pytest", "--collect-only", "-q", "-p", "no:cacheprovider", str(HERE)]
    return subprocess.run(asked, capture_output=True, text=True, check=True, cwd=HERE.parents[1]).stdout


def test_each_check_value_is_one_case_in_the_file_named_for_it(request: pytest.FixtureRequest) -> None:
    covered = {(name, where) for name, where in stated().items() if where.endswith(".py")}
    found = cases("\n".join(item.nodeid for item in request.session.items if item.path.parent == HERE))
    if set(found) != covered:
        # This run may have been asked for a part of the tests only.
        found = cases(collected())
    assert set(found) == covered
    assert {key for key, count in found.items() if count != 1} == set()


def test_what_is_not_covered_says_why() -> None:
    open_ones = {name: where for name, where in stated().items() if not where.endswith(".py")}
    assert {name for name, where in open_ones.items() if not _REASON.fullmatch(where)} == set()


def test_the_lists_are_whole_and_in_order() -> None:
    """The pages they were copied from number their values upwards, with gaps; a shortened list would show here."""
    for path, count in zip(LISTS, (58, 43), strict=True):
        numbers = [int(name[2:]) for name in json.loads(path.read_text(encoding="utf-8"))]
        assert (numbers, len(numbers)) == (sorted(set(numbers)), count)
