"""Golden cases: each file of questions and answers is decided over the reference rulebook and the demo catalogue."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from catalog.domain.answers import Verdict
from catalog.domain.checking import decide
from catalog.domain.questions import Decision
from tests.demo_world import FIXTURES, question

pytestmark = pytest.mark.domain
CASES = sorted(FIXTURES.joinpath("cases").glob("*.json"))
CHECKS: list[dict[str, Any]] = json.loads(FIXTURES.joinpath("demo", "checks.json").read_text(encoding="utf-8"))


CASE_KEYS = frozenset({"title", "source", "check_value", "question", "expected", "expected_where_superseded"})
EXPECTED_KEYS = frozenset(
    {"verdict", "headline_has", "conditions_have", "conflicts_have", "finding_texts_have", "findings", "missing"}
)


def read(path: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    unread = (set(found) - CASE_KEYS) | (set(found["expected"]) - EXPECTED_KEYS)
    assert not unread, f"{path.name} says what nobody checks: {unread}"
    return found


def has_each(words: list[str], texts: tuple[str, ...]) -> bool:
    return all(any(word in text for text in texts) for word in words)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_golden_case_is_decided_as_written(path: Path) -> None:
    case = read(path)
    expected, decision = case["expected"], decide(question(case["question"]))
    told = "\n".join([decision.headline, *(f"{f.outcome.value} {f.attribute}: {f.text}" for f in decision.findings)])
    assert decision.verdict.value == expected["verdict"], told
    assert has_each(expected.get("headline_has", []), (decision.headline,)), decision.headline
    assert has_each(expected.get("conditions_have", []), decision.conditions), decision.conditions
    assert has_each(expected.get("conflicts_have", []), decision.conflicts), decision.conflicts
    assert has_each(expected.get("finding_texts_have", []), tuple(f.text for f in decision.findings)), told
    weighed = {(f.attribute, f.slot, f.outcome.value) for f in decision.findings}
    for row in expected.get("findings", []):
        assert (row["attribute"], row["slot"], row["outcome"]) in weighed, told
    if "missing" in expected:
        assert {fact.name for fact in decision.missing} == set(expected["missing"])


def test_the_cases_reach_every_verdict_and_say_where_they_come_from() -> None:
    cases = [read(path) for path in CASES]
    assert {case["expected"]["verdict"] for case in cases} == {verdict.value for verdict in Verdict}
    assert all(case["title"] and case["source"] for case in cases)


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: str(check["verdict"]))
def test_a_demo_check_comes_to_the_verdict_beside_it(check: dict[str, Any]) -> None:
    assert decide(question(check["body"])).verdict.value == check["verdict"]


def test_the_demo_checks_show_every_verdict() -> None:
    assert {check["verdict"] for check in CHECKS} == {verdict.value for verdict in Verdict}


def sentences(decision: Decision) -> list[str]:
    return [decision.headline, *(finding.text for finding in decision.findings)]


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_every_sentence_of_an_answer_is_whole(path: Path) -> None:
    for text in sentences(decide(question(read(path)["question"]))):
        assert text[:1] == text[:1].upper()
        assert text.endswith(".")
        assert not re.search(r"(\ba|^A) [aeio]", text), text
        assert not {"_", "  ", " ,", ".."} & {mark for mark in ("_", "  ", " ,", "..") if mark in text}, text
