"""Where other numbers take the place of the one asked about, nothing given with the question is lost without a word.

Common practice, no source. Parts and figures are invented.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import Effect, Verdict
from catalog.domain.parts import Part
from catalog.domain.questions import Decision, Item, Replacements
from catalog.domain.values import How
from tests.domain import bench_parts, test_adapters, test_holds_along, test_sets_and_kits
from tests.domain.bench_parts import ON_LPG, ask, mm
from tests.domain.test_adapters import LPG_POSITION, adapter, valve
from tests.domain.test_superseded_candidates import now_a_set, replaced

pytestmark = pytest.mark.domain
OLD = replace(valve("cone"), number="9")
FITS, CONE = replace(valve("flare"), number="11"), replace(valve("cone"), number="12")
ADAPTER = adapter("flare", "cone")


def joined(known: Replacements, *adapters: Part, **more: object) -> Decision:
    item = Item(OLD, adapters=adapters)
    return ask(
        test_adapters.RULES, (item,), LPG_POSITION, application=ON_LPG, replacements=known, **more,  # type: ignore[arg-type]
    )  # fmt: skip


def notes(decision: Decision, attribute: str) -> list[str]:
    return [f.text for f in decision.findings if f.attribute == attribute and f.effect is Effect.NOTE]


def test_an_adapter_joins_the_one_piece_of_the_set_that_does_not_mate_by_itself() -> None:
    known = now_a_set(OLD, (FITS, 1), (CONE, 1))
    assert joined(known).verdict is Verdict.REJECTED
    made = joined(known, ADAPTER)
    assert (made.verdict, made.conditions) == (
        Verdict.CONDITIONAL, ("the joint is made with VRD A and leak-tested",),
    )  # fmt: skip
    assert notes(made, "adapter") == []


def test_one_adapter_does_not_join_two_pieces_of_a_set_and_that_is_said() -> None:
    known = now_a_set(OLD, (CONE, 1), (replace(CONE, number="13"), 1))
    refused = joined(known, ADAPTER)
    assert refused.verdict is Verdict.REJECTED
    (said,) = notes(refused, "adapter")
    assert all(name in said for name in ("VRD A", "VRD 12", "VRD 13"))


def test_an_adapter_that_no_piece_needs_is_left_out_and_heard_where_it_is_on_hold() -> None:
    known = now_a_set(OLD, (FITS, 1), (replace(FITS, number="13"), 1))
    assert joined(known).verdict is Verdict.ACCEPTED
    assert joined(known, ADAPTER).conditions == ("VRD A is left out: the part mates here without it",)
    held = joined(known, ADAPTER, reported=test_holds_along.reported(ADAPTER, "place"))
    assert held.verdict is Verdict.UNDETERMINED
    assert [f.attribute for f in held.findings if f.effect is Effect.UNDETERMINED] == ["hold"]


def test_an_adapter_named_with_one_number_for_another_is_weighed_with_it() -> None:
    assert joined(replaced((OLD, CONE)), ADAPTER).verdict is Verdict.CONDITIONAL


def measured(one: Part) -> Part:
    return bench_parts.told(one, "size", mm("10"), How.MEASURED)


@pytest.mark.parametrize("count", [1, 2])
def test_what_was_told_of_the_old_number_says_nothing_of_the_new_and_that_is_said(count: int) -> None:
    old, new = test_sets_and_kits.seal("9"), tuple(test_sets_and_kits.seal(f"1{number}") for number in range(count))
    known = now_a_set(old, *((one, 1) for one in new)) if count > 1 else replaced((old, new[0]))

    def asked(candidate: Part) -> Decision:
        return ask(test_sets_and_kits.PLAIN, (Item(candidate),), test_sets_and_kits.POSITION, replacements=known)

    plain, told = asked(old), asked(measured(old))
    assert notes(plain, "told") == []
    (said,) = notes(told, "told")
    assert all(name in said for name in ("size", *(one.shown for one in (old, *new))))
    assert (told.verdict, told.headline) == (plain.verdict, plain.headline)


def test_what_was_told_is_heard_of_old_stock_that_is_judged_as_itself() -> None:
    old, new = test_sets_and_kits.seal("9"), test_sets_and_kits.seal("11")
    wrong = bench_parts.told(old, "size", mm("12"), How.MEASURED)
    decision = ask(
        test_sets_and_kits.PLAIN, (Item(wrong),), test_sets_and_kits.POSITION,
        replacements=replaced((old, new), both_ways=True),
    )  # fmt: skip
    assert notes(decision, "told") == []
    assert decision.verdict is not Verdict.ACCEPTED
