"""What may be done to a kit when, what counts as a change of a line, and what is known of shipping without a record."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.answers import Verdict
from catalog.domain.parts import SuppliedAs
from kits.domain.kit_changes import Standing, changes
from kits.domain.kit_settling import LineState, Use
from kits.domain.kit_steps import ENDED, OPEN_IN, KitState, Step, WrongState, refuse_unless_open
from kits.domain.packing import TransportClass
from kits.domain.transport_classes import MAY_BE_DANGEROUS, unless_recorded

pytestmark = pytest.mark.domain
YES = Standing(LineState.ACCEPTED, Verdict.ACCEPTED, "It fits.", use=(Use(("VRD", "0021-450"), 1),))
APPROVED = Standing(LineState.APPROVED, Verdict.CONDITIONAL, "Use it only if.", ("a person confirms",), YES.use)


@pytest.mark.parametrize("step", list(Step))
@pytest.mark.parametrize("state", list(KitState))
def test_a_step_is_open_in_its_states_and_else_says_the_state_and_what_to_do(step: Step, state: KitState) -> None:
    if state in OPEN_IN[step]:
        refuse_unless_open(step, state)
        return
    with pytest.raises(WrongState) as refusal:
        refuse_unless_open(step, state)
    assert refusal.value.context["state"] == state.value
    assert refusal.value.message.count(".") == 2


def test_nothing_is_done_to_a_kit_that_has_ended_and_any_other_can_be_cancelled() -> None:
    for states in OPEN_IN.values():
        assert not set(ENDED) & set(states)
    assert set(OPEN_IN[Step.CANCEL]) == set(KitState) - set(ENDED)


@given(st.sampled_from([YES, APPROVED]), st.text(min_size=1, max_size=20))
def test_other_words_for_the_same_answer_are_no_change(standing: Standing, words: str) -> None:
    assert changes(standing, replace(standing, headline=words)) == ()


@pytest.mark.parametrize(
    ("was", "now", "words"),
    [
        (YES, Standing(LineState.REJECTED, Verdict.REJECTED, "No."), "The answer was accepted and is rejected: No."),
        (APPROVED, replace(APPROVED, state=LineState.NEEDS_APPROVAL), "does not apply any more"),
        (
            APPROVED,
            replace(APPROVED, conditions=("another",)),
            "conditions were a person confirms and are another.",
        ),
        (YES, replace(YES, use=(Use(("VRD", "0021-460"), 1),)), "What to use was 1 x VRD 0021-450"),
        (YES, replace(YES, use=(Use(("VRD", "0021-450"), 2),)), "is 2 x VRD 0021-450"),
        (YES, Standing(LineState.NOT_CHECKED, None, "Withdrawn."), "The answer was accepted and is none"),
    ],
)
def test_what_a_line_rests_on_is_told_when_it_changes(was: Standing, now: Standing, words: str) -> None:
    assert any(words in said for said in changes(was, now))


KNOWN = frozenset({"oil_filter", "spark_plug", *MAY_BE_DANGEROUS})


@given(
    st.sampled_from([*sorted(KNOWN), "aerosol", "adhesive"]), st.none() | st.sampled_from(list(SuppliedAs))
)  # fmt: skip
def test_without_a_record_nothing_is_called_harmless_and_only_plain_goods_are_not_asked_about(
    category: str, supplied: SuppliedAs | None
) -> None:
    found = unless_recorded(category, supplied, KNOWN)
    assert found in (TransportClass.ARTICLE, TransportClass.UNKNOWN)
    plain = category in {"oil_filter", "spark_plug"} and supplied is not SuppliedAs.VOLUME
    assert (found is TransportClass.ARTICLE) is plain
