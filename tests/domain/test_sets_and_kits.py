"""Candidates of several parts, matched sets, kits and goods that wear together. Parts and figures are invented."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from catalog.domain.answers import Answer, Aspect, Effect, Verdict
from catalog.domain.parts import Contained, MatchedSet, Part, Position
from catalog.domain.questions import Decision, Item
from tests.domain.bench_parts import (
    K,
    Values,
    ask,
    asked,
    book,
    category,
    codes,
    finding,
    kpa,
    mm,
    part,
    place,
    rule,
    says,
)

pytestmark = pytest.mark.domain
SIZE = rule("size", K.EQUALS)
STRENGTH = rule("strength", K.AT_LEAST, aspect=Aspect.MATERIAL)
SEAL = category(SIZE, STRENGTH, code="seal")
KIT = category(code="seal_kit")
PLAIN = book(SEAL, KIT)
ASKED: Values = {"size": mm("10"), "strength": kpa("300")}
POSITION = place(ASKED, kind="seal")


def seal(number: str, size: str = "10", strength: str = "300", **more: Any) -> Part:
    return replace(part(number, {"size": mm(size), "strength": kpa(strength)}, "seal"), **more)


GOOD, WEAK = seal("1"), seal("2", strength="200")


def test_of_several_parts_together_the_worst_decides_and_is_named() -> None:
    """Rule 7: all or nothing."""
    both = ask(PLAIN, (Item(GOOD), Item(seal("3"))), POSITION)
    one_bad = ask(PLAIN, (Item(GOOD), Item(WEAK)), POSITION)
    assert (both.verdict, one_bad.verdict) == (Verdict.ACCEPTED, Verdict.REJECTED)
    assert WEAK.shown in one_bad.headline
    assert [use.part for use in one_bad.use] == [GOOD, WEAK]


SET = MatchedSet("S1", ((("VRD", "1"), 1), (("VRD", "3"), 2)))
FIRST, SECOND = seal("1", member_of=SET), seal("3", member_of=SET)


def test_a_member_of_a_matched_set_alone_cannot_be_judged_and_the_set_is_asked_for() -> None:
    """Rule 7."""
    decision = ask(PLAIN, FIRST, POSITION)
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == ["candidate: the whole set"]


@pytest.mark.parametrize(("second", "verdict"), [(2, Verdict.ACCEPTED), (1, Verdict.UNDETERMINED)])
def test_a_matched_set_is_judged_where_it_is_offered_whole_and_in_number(second: int, verdict: Verdict) -> None:
    """Rule 7."""
    assert ask(PLAIN, (Item(FIRST, 1), Item(SECOND, second)), POSITION).verdict is verdict


def test_a_whole_matched_set_with_a_bad_member_is_refused() -> None:
    """Rule 7: the worst member decides."""
    bad = seal("3", strength="200", member_of=SET)
    assert ask(PLAIN, (Item(FIRST, 1), Item(bad, 2)), POSITION).verdict is Verdict.REJECTED


UPPER = place({"size": mm("10"), "strength": kpa("300")}, code="upper", kind="seal", quantity=4)
LOWER = place({"size": mm("20"), "strength": kpa("300")}, code="lower", kind="seal", quantity=2)
INSIDE = place(kind="seal_kit", inside=(UPPER, LOWER))
SMALL, LARGE = seal("11", "10"), seal("12", "20")


def kit(*contents: tuple[Part, int]) -> Part:
    return part("K", kind="seal_kit", contains=tuple(Contained(one, count) for one, count in contents))


def of_kit(*contents: tuple[Part, int], position: Position = INSIDE) -> Decision:
    return ask(PLAIN, kit(*contents), position)


def test_a_kit_that_holds_the_right_part_for_every_place_in_number_is_accepted() -> None:
    """Rule 7."""
    assert of_kit((SMALL, 4), (LARGE, 2)).verdict is Verdict.ACCEPTED


@pytest.mark.parametrize(("count", "words"), [(3, "3 of 4"), (0, "nothing")])
def test_a_kit_short_for_a_place_is_refused_with_its_number_said(count: int, words: str) -> None:
    """Rule 7."""
    decision = of_kit((SMALL, count), (LARGE, 2)) if count else of_kit((LARGE, 2))
    assert decision.verdict is Verdict.REJECTED
    assert words in decision.headline
    assert "upper" in decision.headline


def test_a_kit_may_fill_one_place_from_two_kinds_of_part() -> None:
    """Rule 7: each place takes an accepted part, in number."""
    assert of_kit((SMALL, 2), (seal("13", "10"), 2), (LARGE, 2)).verdict is Verdict.ACCEPTED


def test_a_part_that_suits_two_places_is_kept_for_the_one_nothing_else_fills() -> None:
    """Rule 7: the order in which a kit is written down changes nothing."""
    lower = place({"strength": kpa("200")}, code="lower", kind="seal", quantity=2)
    open_book = book(category(replace(SIZE, only_where_stated=True), STRENGTH, code="seal"), KIT)
    position = place(kind="seal_kit", inside=(lower, UPPER))
    weaker = seal("14", "20", "200")
    for contents in (((SMALL, 4), (weaker, 2)), ((weaker, 2), (SMALL, 4))):
        assert ask(open_book, kit(*contents), position).verdict is Verdict.ACCEPTED


def test_a_kit_whose_member_is_refused_in_its_place_is_refused_and_names_both() -> None:
    """Rule 7."""
    bad = seal("15", "10", "200")
    decision = of_kit((bad, 4), (LARGE, 2))
    assert decision.verdict is Verdict.REJECTED
    assert decision.headline.startswith(f"Upper, {bad.shown}")


def test_a_kit_whose_contents_are_not_recorded_is_open_and_asks_for_each_place_by_name() -> None:
    """Rule 7."""
    decision = of_kit()
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == ["candidate: contents"]
    assert "upper" in decision.missing[0].question
    assert "lower" in decision.missing[0].question


def test_contents_that_are_not_recorded_are_met_where_the_engines_maker_specifies_the_kit() -> None:
    """Rules 3 (a) and 7."""
    assert ask(PLAIN, kit(), INSIDE, says(kit())).verdict is Verdict.ACCEPTED


def test_a_kit_cannot_be_counted_where_nobody_knows_how_many_the_place_takes() -> None:
    """Rule 7: missing is never one."""
    position = replace(INSIDE, inside=(replace(UPPER, quantity=None), LOWER))
    decision = of_kit((SMALL, 4), (LARGE, 2), position=position)
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == ["position: number of upper"]


def test_a_spare_that_is_right_or_fits_nowhere_is_only_a_note() -> None:
    """Rule 7."""
    right, nowhere = of_kit((SMALL, 5), (LARGE, 2)), of_kit((SMALL, 4), (LARGE, 2), (seal("16", "30"), 1))
    for decision in (right, nowhere):
        assert (decision.verdict, decision.conditions) == (Verdict.ACCEPTED, ())
        assert finding(decision, "spare").effect is Effect.NOTE


def test_a_spare_that_fits_a_place_and_is_not_rated_for_it_has_to_be_discarded() -> None:
    """Rule 7."""
    weak = seal("17", "20", "200")
    decision = of_kit((SMALL, 4), (LARGE, 2), (weak, 2))
    assert decision.verdict is Verdict.CONDITIONAL
    assert decision.conditions == (f"the spare {weak.shown} is discarded",)


TOGETHER = book(category(SIZE, STRENGTH, code="seal", replace_together=True))
FOUR = replace(POSITION, quantity=4)


def test_fewer_than_all_of_what_wears_together_is_used_only_if_all_are_replaced() -> None:
    """Rule 7."""
    decision = ask(TOGETHER, (Item(GOOD, 1),), FOUR)
    assert (decision.verdict, decision.conditions) == (Verdict.CONDITIONAL, ("all 4 are replaced together",))


@pytest.mark.parametrize("count", [None, 4])
def test_all_of_what_wears_together_is_no_condition(count: int | None) -> None:
    """Rule 7."""
    decision = ask(TOGETHER, (Item(GOOD, count),), FOUR)
    assert decision.verdict is Verdict.ACCEPTED
    notes = [found for found in decision.findings if found.attribute == "quantity"]
    assert [(found.outcome, found.effect) for found in notes] == ([(Answer.MET, Effect.NOTE)] if count else [])


@pytest.mark.parametrize("count", [None, 1, 4])
def test_what_to_use_is_always_all_of_what_wears_together(count: int | None) -> None:
    """Rule 7."""
    (use,) = ask(TOGETHER, (Item(GOOD, count),), FOUR).use
    assert (use.part, use.quantity, use.why) == (GOOD, 4, "replace all together")


def test_parts_that_do_not_wear_together_may_be_replaced_one_by_one() -> None:
    """Rule 7."""
    decision = ask(PLAIN, (Item(GOOD, 1),), FOUR)
    assert decision.verdict is Verdict.ACCEPTED
    assert decision.use[0].quantity == 1


def test_two_numbers_that_make_up_the_whole_number_together_are_all_of_them() -> None:
    """Rule 7."""
    decision = ask(TOGETHER, (Item(GOOD, 2), Item(seal("3"), 2)), FOUR)
    assert decision.verdict is Verdict.ACCEPTED


def test_a_kits_own_rules_are_asked_of_the_kit_and_not_of_its_members() -> None:
    """Rule 7: members are judged at the places inside; what the category asks of a kit is asked of the kit."""
    grease = category(rule("grease", K.EQUALS), code="seal_kit")
    position = replace(INSIDE, demands=place({"grease": codes("g1")}).demands)
    plain = kit((SMALL, 4), (LARGE, 2))
    greased, wrongly = (replace(plain, offers=part("K", {"grease": codes(text)}).offers) for text in ("g1", "g2"))
    verdicts = [ask(book(SEAL, grease), one, position).verdict for one in (greased, plain, wrongly)]
    assert verdicts == [Verdict.ACCEPTED, Verdict.UNDETERMINED, Verdict.REJECTED]


def test_a_kit_is_not_judged_where_nobody_recorded_what_it_has_to_fill() -> None:
    """Rule 7: what a kit holds proves nothing without the places it is for."""
    sets = book(SEAL, replace(KIT, kit=True, rules=(rule("grease", K.EQUALS),)))
    greased = part("K", {"grease": codes("g1")}, "seal_kit", contains=(Contained(SMALL, 4),))
    decision = ask(sets, greased, place({"grease": codes("g1")}, kind="seal_kit"))
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == ["position: what the kit fills"]


def test_a_withdrawn_member_is_open_at_its_place_and_a_withdrawn_spare_that_would_fit_is_discarded() -> None:
    """What the catalogue has no more may not lie in the kit any more either: common practice, no source."""
    gone = replace(SMALL, withdrawn=True)
    decision = of_kit((gone, 4), (LARGE, 2))
    assert decision.verdict is Verdict.UNDETERMINED
    assert asked(decision) == ["candidate: contents"]
    assert SMALL.shown in decision.missing[0].question
    spare = of_kit((gone, 4), (seal("13", "10"), 4), (LARGE, 2))
    assert (spare.verdict, spare.conditions) == (Verdict.CONDITIONAL, (f"the spare {SMALL.shown} is discarded",))
    assert ask(PLAIN, replace(GOOD, contains=(Contained(gone),)), POSITION).verdict is Verdict.ACCEPTED


def test_a_member_that_is_refused_stays_so_where_it_is_withdrawn() -> None:
    """Rule 6: any refusal stays one."""
    assert of_kit((seal("15", "10", "200", withdrawn=True), 4), (LARGE, 2)).verdict is Verdict.REJECTED
