"""Every rule of every category is decided in at least one golden case, so that nobody adds one that nobody tried."""

from __future__ import annotations

from collections import defaultdict

import pytest

from tests.demo_world import engine, rulebook
from tests.domain.test_golden_cases import CASES, read

pytestmark = pytest.mark.domain
DECIDED = frozenset({"met", "met_if", "not_met"})


def decided_in_cases() -> dict[str, set[str]]:
    """The rule codes that the cases' expected findings decide, by the category of the position asked about."""
    found: dict[str, set[str]] = defaultdict(set)
    for case in map(read, CASES):
        asked = case["question"]
        spec = asked.get("application", {}).get("spec")
        codes = {row["attribute"] for row in case["expected"].get("findings", ()) if row["outcome"] in DECIDED}
        if spec and asked.get("position"):
            positions = {place.code: place for place in engine(spec["model"], spec["spec"]).positions}
            found[positions[asked["position"]].category] |= codes
    return found


DECIDED_IN_CASES = decided_in_cases()


@pytest.mark.parametrize("category", sorted(rulebook().categories))
def test_each_rule_of_a_category_is_decided_in_some_case(category: str) -> None:
    rules = {rule.code for rule in rulebook().categories[category].rules}
    assert rules - DECIDED_IN_CASES[category] == set()


@pytest.mark.parametrize("category", sorted(rulebook().categories))
def test_each_rule_of_a_category_says_where_it_comes_from(category: str) -> None:
    for rule in rulebook().categories[category].rules:
        assert rule.source.citation, rule.code
