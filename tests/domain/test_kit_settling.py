"""Whether lines are settled by their checks, and what a kit that is not complete says. Contract: `complete`."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.answers import Fact, Verdict
from kits.domain.kit_lines import Contents, Extra, Line, contents
from kits.domain.kit_settling import SETTLED, Alternative, LineCheck, LineState, Place, Use, settle, settled
from tests.domain.kit_plans import LEVEL_500, engine, where

pytestmark = pytest.mark.domain

PLUG = Line("spark_plug", ("VRD", "4410-12"), 4, tasks=("plugs_500",))
YES = LineCheck(Verdict.ACCEPTED, "Specified here.")
ONLY_IF = LineCheck(
    Verdict.CONDITIONAL, "Use it only if.", ("the equipment is confirmed",), approvable_by="a service manager"
)
SERIAL = Fact("serial (change at 205000)", "Which serial number is on the engine plate (change at 205000)?")


def test_accepted_is_settled_and_takes_the_part_asked_or_what_the_check_says_to_use() -> None:
    assert settled(PLUG, YES).uses == (Use(("VRD", "4410-12"), 4),)
    used = (Use(("VRD", "7702"), 2), Use(("VRD", "7703"), 4))
    assert settled(PLUG, replace(YES, use=used)).uses == used


def test_conditional_is_settled_only_with_an_approval_that_applies() -> None:
    bare = settled(PLUG, ONLY_IF)
    assert (bare.state, bare.settled, bare.uses) == (LineState.NEEDS_APPROVAL, False, ())
    assert bare.words == (
        "Use it only if: the equipment is confirmed", "Needs the approval of a service manager.",
    )  # fmt: skip
    approved = settled(PLUG, replace(ONLY_IF, approval="A7"))
    assert (approved.state, approved.settled) == (LineState.APPROVED, True)
    assert approved.words == ("Use it only if: the equipment is confirmed", "Approval A7 applies.")
    assert "Nobody here may approve it." in settled(PLUG, replace(ONLY_IF, approvable_by=None)).words


def test_undetermined_names_the_missing_fact() -> None:
    found = settled(PLUG, LineCheck(Verdict.UNDETERMINED, "Cannot tell.", missing=(SERIAL,)))
    assert (found.state, found.missing) == (LineState.UNDETERMINED, (SERIAL,))
    assert found.words == ("Cannot tell.", SERIAL.question)


def test_rejected_offers_what_could_be_used_and_swaps_nothing() -> None:
    others = (
        Alternative(("VRD", "1"), Verdict.ACCEPTED, "Fits."),
        Alternative(("VRD", "2"), Verdict.CONDITIONAL, "Fits if."),
        Alternative(("VRD", "3"), Verdict.REJECTED, "No."),
        Alternative(("VRD", "4"), Verdict.UNDETERMINED, "Who knows."),
    )
    found = settled(PLUG, LineCheck(Verdict.REJECTED, "Gasoline plug.", alternatives=others))
    assert (found.state, found.uses, found.alternatives) == (LineState.REJECTED, (), others[:2])
    assert found.line is PLUG
    bare = settled(PLUG, LineCheck(Verdict.REJECTED, "Gasoline plug."))
    assert bare.words == ("Gasoline plug.", "No alternative is known.")


def test_a_line_that_was_not_checked_or_lacks_its_part_is_not_settled_whatever_a_check_says() -> None:
    assert settled(PLUG, None).state is LineState.NOT_CHECKED
    lacking = replace(PLUG, part=None, missing=(SERIAL,))
    assert settled(lacking, YES).state is LineState.INCOMPLETE
    assert settled(replace(PLUG, missing=(SERIAL,)), YES).words == (SERIAL.question,)
    assert settled(replace(PLUG, quantity=None), YES).settled is False


def test_a_kit_is_complete_when_every_line_is_settled_and_counts_its_lines() -> None:
    found = contents(LEVEL_500, engine(where("lpg_liquid")), (Extra(("VRD", "9001"), 1, "R. Tarnick"),))
    checks: dict[Place, LineCheck] = {
        (line.position, line.part): YES for line in found.lines if line.position and line.part
    }
    whole = settle(found, checks)
    assert whole.complete
    assert whole.count == "9 of 9"
    assert whole.lines[-1].state is LineState.CONSUMABLE
    checks[("pcv", ("VRD", "3307"))] = ONLY_IF
    short = settle(found, checks)
    assert not short.complete
    assert short.count == "8 of 9"


CHECKS = st.builds(
    LineCheck, st.sampled_from(Verdict), st.just("Said."), missing=st.sampled_from([(), (SERIAL,)]),
    approval=st.sampled_from([None, "A1"]),
)  # fmt: skip


@given(st.lists(st.one_of(st.none(), CHECKS), min_size=1, max_size=5))
def test_only_accepted_or_approved_lines_complete_a_kit_and_every_other_says_why(
    checks: list[LineCheck | None],
) -> None:
    lines = tuple(replace(PLUG, position=f"place {index}") for index in range(len(checks)))
    by_place = {(line.position, ("VRD", "4410-12")): check for line, check in zip(lines, checks, strict=True) if check}
    kit = settle(Contents(lines, ()), by_place)
    right = [
        check is not None
        and (check.verdict is Verdict.ACCEPTED or (check.verdict is Verdict.CONDITIONAL and check.approval is not None))
        for check in checks
    ]
    assert [line.settled for line in kit.lines] == right
    assert kit.complete == all(right)
    assert all(any(line.words) for line in kit.lines)
    assert all(bool(line.uses) == (line.state in SETTLED) for line in kit.lines)
