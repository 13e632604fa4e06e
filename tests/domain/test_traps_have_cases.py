"""Every trap, a value that a naive comparison gets wrong, is a golden case that asserts the sentence saying why."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.domain.test_golden_cases import CASES, read

pytestmark = pytest.mark.domain
TRAPS: dict[str, str] = json.loads(
    Path(__file__).parents[1].joinpath("reference", "traps.json").read_text(encoding="utf-8")
)
SAYS_WHY = ("headline_has", "finding_texts_have")


def told_by() -> dict[str, list[str]]:
    """The golden cases that assert a sentence, by the check value they name."""
    found: dict[str, list[str]] = {}
    for path in CASES:
        case = read(path)
        if any(case["expected"].get(key) for key in SAYS_WHY):
            for name in case.get("check_value", ()):
                found.setdefault(name, []).append(path.stem)
    return found


@pytest.mark.parametrize("trap", [name for name, how in TRAPS.items() if how == "case"])
def test_a_trap_has_a_golden_case_that_says_why(trap: str) -> None:
    assert told_by().get(trap)


def test_a_trap_without_a_case_says_why_not() -> None:
    assert all(how == "case" or " " in how for how in TRAPS.values())


def test_a_case_names_only_check_values_that_are_listed() -> None:
    listed = json.loads(Path(__file__).parents[1].joinpath("reference", "coverage.json").read_text(encoding="utf-8"))
    assert set(told_by()) <= set(listed)
