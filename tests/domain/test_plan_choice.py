"""Which plan holds: the dealer's own before shared ones, the nearer before the wider, and no choosing between two."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from kits.domain.plan_choice import plan_for

pytestmark = pytest.mark.domain
ENGINE = ("VRD-H40", "S-131")


@dataclass(frozen=True, slots=True)
class Plan:
    shown: str
    own: bool
    model: str = "VRD-H40"
    spec: str | None = None


SHARED_MODEL, SHARED_SPEC = Plan("shared model", False), Plan("shared build", False, spec="S-131")
OWN_MODEL, OWN_SPEC = Plan("own model", True), Plan("own build", True, spec="S-131")
RANKED = (OWN_SPEC, OWN_MODEL, SHARED_SPEC, SHARED_MODEL)


@pytest.mark.parametrize("best", range(len(RANKED)))
def test_the_best_rank_there_is_holds(best: int) -> None:
    assert plan_for(ENGINE, reversed(RANKED[best:])).plan is RANKED[best]


def test_two_of_one_rank_are_asked_about_and_two_of_a_lower_rank_are_not() -> None:
    other = Plan("another", False)
    assert plan_for(ENGINE, (*RANKED, other)).plan is OWN_SPEC
    found = plan_for(ENGINE, (SHARED_MODEL, other))
    assert found.plan is None
    assert found.missing[0].question == "Which of the service plans another, shared model holds for this machine?"


def test_plans_of_other_engines_and_of_none_never_hold() -> None:
    strange = (Plan("a", True, "VRD-G8"), Plan("b", True, spec="S-118"), Plan("c", True, ""))
    assert [fact.name for fact in plan_for(ENGINE, strange).missing] == ["service plan"]
    assert [fact.name for fact in plan_for(None, RANKED).missing] == ["engine specification"]
