"""Reports on what comes along with a candidate: its adapters, what a kit holds. Parts and figures are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from catalog.domain.answers import Effect, Verdict
from catalog.domain.outcomes import OnHold, OutcomeKind, ReportedOn
from catalog.domain.parts import Contained, Part
from catalog.domain.questions import Decision, Item
from tests.domain.bench_parts import ON_LPG, ask, asked, finding, says
from tests.domain.test_adapters import LPG_POSITION, adapter, valve
from tests.domain.test_adapters import RULES as JOINTS
from tests.domain.test_sets_and_kits import GOOD, INSIDE, LARGE, PLAIN, POSITION, SMALL, kit, seal

pytestmark = pytest.mark.domain
SAID = "is on hold: did not fit, reported 2026-03-09"


def reported(part: Part, *positions: str) -> tuple[ReportedOn, ...]:
    return tuple(
        ReportedOn(part.key, OnHold(date(2026, 3, 9), OutcomeKind.DID_NOT_FIT, position)) for position in positions
    )


def joined(end: str, made_with: Part, at: str) -> Decision:
    item = Item(valve(end), adapters=(made_with,))
    return ask(JOINTS, (item,), LPG_POSITION, application=ON_LPG, reported=reported(made_with, at))


@pytest.mark.parametrize("end", ["cone", "flare"])
def test_an_adapter_on_hold_where_it_is_named_can_not_be_told(end: str) -> None:
    """Whether or not the part would mate without it: it is named to be fitted."""
    decision = joined(end, adapter("flare", "cone"), "place")
    assert decision.verdict is Verdict.UNDETERMINED
    assert finding(decision, "hold").text == f"Adapter VRD A: VRD A {SAID}."
    assert asked(decision) == ["report on hold"]


def test_a_refusal_through_an_adapter_on_hold_stays_one() -> None:
    assert joined("cone", adapter("flare", "cone", service="GAS-PI"), "place").verdict is Verdict.REJECTED


def test_an_adapter_on_hold_elsewhere_is_a_joint_like_any_other() -> None:
    assert joined("cone", adapter("flare", "cone"), "elsewhere").verdict is Verdict.CONDITIONAL


@pytest.mark.parametrize("at", ["upper", "place"])
def test_what_a_kit_holds_is_on_hold_by_what_was_reported_at_its_place_and_at_the_kits(at: str) -> None:
    """As a piece of a set is."""
    whole = kit((SMALL, 4), (LARGE, 2))
    decision = ask(PLAIN, whole, INSIDE, reported=reported(SMALL, at))
    assert decision.verdict is Verdict.UNDETERMINED
    assert decision.headline == f"Upper, {SMALL.shown}: {SMALL.shown} {SAID}."
    assert asked(decision) == ["report on hold"]


@pytest.mark.parametrize("at", ["lower", "elsewhere"])
def test_what_was_reported_at_a_place_where_it_does_not_go_is_not_heard(at: str) -> None:
    assert ask(PLAIN, kit((SMALL, 4), (LARGE, 2)), INSIDE, reported=reported(SMALL, at)).verdict is Verdict.ACCEPTED


def test_a_kit_that_fills_its_places_without_the_part_on_hold_is_used_without_it() -> None:
    spare = kit((SMALL, 4), (LARGE, 2), (seal("13", "10"), 4))
    decision = ask(PLAIN, spare, INSIDE, reported=reported(SMALL, "upper"))
    assert (decision.verdict, decision.conditions) == (
        Verdict.CONDITIONAL, (f"the spare {SMALL.shown} is discarded",),
    )  # fmt: skip


def test_a_part_that_fills_no_place_and_is_on_hold_there_is_discarded() -> None:
    odd = seal("16", "30")
    decision = ask(PLAIN, kit((SMALL, 4), (LARGE, 2), (odd, 1)), INSIDE, reported=reported(odd, "place"))
    assert (decision.verdict, decision.conditions) == (Verdict.CONDITIONAL, (f"the spare {odd.shown} is discarded",))


def test_a_kit_on_hold_says_so_of_itself_and_not_of_what_it_holds() -> None:
    whole = kit((SMALL, 4), (LARGE, 2))
    hold = OnHold(date(2026, 3, 9), OutcomeKind.DID_NOT_FIT, "place")
    decision = ask(PLAIN, (Item(whole, holds=(hold,)),), INSIDE)
    assert [found.text for found in decision.findings if found.effect is Effect.UNDETERMINED] == [f"VRD K {SAID}."]


def test_a_kit_that_is_specified_is_no_yes_with_a_part_on_hold_in_it() -> None:
    whole = kit((SMALL, 4), (LARGE, 2))
    nowhere = replace(INSIDE, inside=())
    sets = replace(PLAIN, categories={**PLAIN.categories, "seal_kit": replace(PLAIN.categories["seal_kit"], kit=True)})
    for book, position in ((PLAIN, INSIDE), (sets, nowhere)):
        assert ask(book, whole, position, says(whole)).verdict is Verdict.ACCEPTED
        held = ask(book, whole, position, says(whole), reported=reported(SMALL, "place"))
        assert held.verdict is Verdict.UNDETERMINED


def test_a_part_on_hold_inside_an_assembly_that_is_judged_whole_is_heard_too() -> None:
    """However deep it lies."""
    inner = replace(seal("21"), contains=(Contained(seal("22"), 1),))
    assembly = replace(GOOD, contains=(Contained(inner, 1),))
    for one in (inner, seal("22")):
        decision = ask(PLAIN, assembly, POSITION, reported=reported(one, "place"))
        assert decision.verdict is Verdict.UNDETERMINED
        assert decision.headline == f"Inside {GOOD.shown}: {one.shown} {SAID}."
    assert ask(PLAIN, assembly, POSITION, reported=reported(inner, "elsewhere")).verdict is Verdict.ACCEPTED
