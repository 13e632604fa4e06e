"""A part that was reported not to fit is on hold: never a yes, and the refusal of others stays a refusal."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.domain.answers import Verdict
from catalog.domain.checking import decide
from catalog.domain.outcomes import OnHold, OutcomeKind
from tests.domain.worlds import World, worlds

pytestmark = pytest.mark.domain
HOLDS = st.lists(
    st.builds(
        OnHold,
        reported_on=st.dates(date(2026, 1, 1), date(2026, 12, 31)),
        kind=st.sampled_from([OutcomeKind.DID_NOT_FIT, OutcomeKind.FAILED, OutcomeKind.RETURNED]),
        position=st.just("here"),
    ),
    min_size=1,
    max_size=3,
)


@settings(max_examples=100)
@given(worlds(), HOLDS)
def test_on_hold_is_undetermined_and_a_refusal_stays_one(world: World, holds: list[OnHold]) -> None:
    question = world.question
    position = question.engine.positions[0].code if question.engine else ""
    held = tuple(replace(hold, position=position) for hold in holds)
    items = tuple(replace(item, holds=held) for item in question.candidate)
    before, after = decide(question), decide(replace(question, candidate=items))
    assert after.verdict is (Verdict.REJECTED if before.verdict is Verdict.REJECTED else Verdict.UNDETERMINED)
    text = next(finding.text for finding in after.findings if finding.attribute == "hold")
    assert all(hold.words in text for hold in held)
    assert (after.verdict is Verdict.REJECTED) or any(fact.name == "report on hold" for fact in after.missing)


@settings(max_examples=50)
@given(worlds(), HOLDS)
def test_a_hold_at_another_position_changes_nothing(world: World, holds: list[OnHold]) -> None:
    question = world.question
    items = tuple(replace(i, holds=tuple(replace(h, position="elsewhere") for h in holds)) for i in question.candidate)
    assert decide(replace(question, candidate=items)) == decide(question)
