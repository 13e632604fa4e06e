"""A candidate is judged as what it is supplied as today; a supersession opens no gate (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from catalog.domain.answers import Answer, Effect, Verdict
from catalog.domain.applicability import Applicability, Application
from catalog.domain.checking import decide, positions_meant
from catalog.domain.fuels import FuelRecord, RecordMode, known_fuel
from catalog.domain.parts import FUELS, SERVICE, Part
from catalog.domain.questions import Decision, Item, Question, Replacements
from catalog.domain.serials import Serial, SerialRange
from catalog.domain.supersession_chains import Chains, Counted, InCatalogue, Numbered, Supersession
from catalog.domain.supersessions import SupersessionKind
from tests.demo_world import engine, part, rulebook
from tests.domain import bench_parts
from tests.domain.cast import GASOLINE_INJECTOR

pytestmark = pytest.mark.domain
LOCK_OFF = part("VRD", "6600")
NEWER = replace(LOCK_OFF, number="6600-N", name="lock-off of a later year")


def silent(newer: Part) -> Part:
    """A part of which nobody recorded what fuel it is for."""
    return replace(newer, offers={at: found for at, found in newer.offers.items() if at[0] not in (SERVICE, FUELS)})


def replaced(*pairs: tuple[Part, Part], withdrawn: tuple[Part, ...] = (), both_ways: bool = False) -> Replacements:
    parts = dict(enumerate(dict.fromkeys(one.key for pair in pairs for one in pair)))
    known = {one.key: one for pair in pairs for one in pair}
    gone = {one.key for one in withdrawn}
    numbered = {
        key: Numbered(index, *key, InCatalogue.WITHDRAWN if key in gone else InCatalogue.LIVE)
        for index, key in parts.items()
    }
    steps = (
        Supersession(
            order, SupersessionKind.ONE_FOR_ONE, (Counted(numbered[old.key]),), (Counted(numbered[new.key]),), both_ways
        )
        for order, (old, new) in enumerate(pairs)
    )
    return Replacements(Chains.of(steps), {index: known[key] for index, key in parts.items()}, numbered)


def now_a_set(old: Part, *pieces: tuple[Part, int]) -> Replacements:
    """A number that is now a set, all of it or nothing."""
    parts = (old, *(piece for piece, _ in pieces))
    numbered = {one.key: Numbered(index, *one.key) for index, one in enumerate(parts)}
    new = tuple(Counted(numbered[piece.key], count) for piece, count in pieces)
    step = Supersession(1, SupersessionKind.SET, (Counted(numbered[old.key]),), new)
    return Replacements(Chains.of((step,)), dict(enumerate(parts)), numbered)


def asked(
    candidate: Part | tuple[Item, ...],
    replacements: Replacements,
    serial: int | None = None,
    position: str = "lock_off",
) -> Decision:
    items = (Item(candidate),) if isinstance(candidate, Part) else candidate
    burned = (known_fuel("lpg_liquid:HD-5", rulebook().fuels),)
    record = FuelRecord(burned, RecordMode.ONLY_FUEL, date(2026, 1, 12))
    application = Application(
        specification="VRD-H40 S-131",
        plate_fuels=burned,
        fuel_records=(record,),
        certified=False,
        ecu=True,
        serial=None if serial is None else Serial("", serial),
    )
    return decide(
        Question(
            rulebook(), items, application, engine("VRD-H40", "S-131"), position,
            replacements=replacements,
        )
    )  # fmt: skip


def test_the_newer_number_is_judged_and_used() -> None:
    decision = asked(LOCK_OFF, replaced((LOCK_OFF, NEWER)))
    assert decision.verdict is Verdict.ACCEPTED
    assert [use.part.key for use in decision.use] == [NEWER.key]
    assert decision.headline.startswith("VRD 6600-N replaces VRD 6600, one for one.")


def test_a_withdrawn_number_is_answered_with_what_replaces_it() -> None:
    decision = asked(LOCK_OFF, replaced((LOCK_OFF, NEWER), withdrawn=(LOCK_OFF,)))
    assert [use.part.key for use in decision.use] == [NEWER.key]


def test_what_the_maker_says_of_the_older_number_opens_no_gate_for_the_newer() -> None:
    """Architecture, rules 2 and 3: a statement counts at the gate only where its own applicability names the fuel."""
    decision = asked(LOCK_OFF, replaced((LOCK_OFF, silent(NEWER))))
    assert decision.verdict is Verdict.UNDETERMINED
    assert decision.missing
    gate = [found for found in decision.findings if found.attribute == SERVICE]
    assert {found.outcome for found in gate} == {Answer.UNKNOWN}


def test_old_stock_that_may_be_used_up_is_judged_as_itself() -> None:
    both = replaced((NEWER, LOCK_OFF), both_ways=True)
    decision = asked(NEWER, both)
    assert [use.part.key for use in decision.use] == [NEWER.key]
    assert decision.verdict is Verdict.ACCEPTED
    assert "may still be used in place of VRD 6600" in decision.headline
    one_way = asked(NEWER, replaced((NEWER, LOCK_OFF)))
    assert [use.part.key for use in one_way.use] == [LOCK_OFF.key]


def test_numbers_that_replace_each_other_are_undetermined_before_anything_is_compared() -> None:
    decision = asked(LOCK_OFF, replaced((LOCK_OFF, NEWER), (NEWER, LOCK_OFF)))
    assert (decision.verdict, len(decision.findings), decision.use) == (Verdict.UNDETERMINED, 1, ())
    assert decision.chain_errors
    assert decision.missing


def test_a_piece_of_the_set_that_replaces_a_number_is_no_part_by_itself() -> None:
    """Architecture, rule 7: all or nothing; a member of a set alone is undetermined."""
    body, coil = replace(NEWER, number="6601"), replace(NEWER, number="6602")
    known = now_a_set(LOCK_OFF, (body, 1), (coil, 2))
    for alone in ((Item(body),), (Item(coil),), (Item(body, 1), Item(coil, 1))):
        decision = asked(alone, known)
        assert decision.verdict is Verdict.UNDETERMINED
        assert "candidate: the whole set" in [fact.name for fact in decision.missing]
    for whole in ((Item(LOCK_OFF),), (Item(body, 1), Item(coil, 2)), (Item(coil, 1), Item(body, 1), Item(coil, 1))):
        assert asked(whole, known).verdict is Verdict.ACCEPTED


def test_one_of_two_alike_pieces_is_half_of_the_set() -> None:
    half = replace(NEWER, number="6601")
    known = now_a_set(LOCK_OFF, (half, 2))
    assert asked((Item(half, 1),), known).verdict is Verdict.UNDETERMINED
    assert asked((Item(half, 2),), known).verdict is Verdict.ACCEPTED
    assert [(use.part.key, use.quantity) for use in asked(LOCK_OFF, known).use] == [(half.key, 2)]


def test_two_numbers_that_are_one_today_are_judged_and_used_once() -> None:
    other = replace(LOCK_OFF, number="6600-2")
    both = (Item(LOCK_OFF, 2), Item(other, 1))
    decision = asked(both, replaced((LOCK_OFF, NEWER), (other, NEWER)))
    assert [(use.part.key, use.quantity) for use in decision.use] == [(NEWER.key, 3)]
    assert all(text in decision.use[0].why for text in ("replaces VRD 6600,", "replaces VRD 6600-2,"))


def test_numbers_that_together_became_one_are_used_as_that_one() -> None:
    other = replace(LOCK_OFF, number="6600-2")
    known = replaced((LOCK_OFF, NEWER), (other, NEWER))
    numbered = known.numbered
    pair = (Counted(numbered[LOCK_OFF.key]), Counted(numbered[other.key]))
    step = Supersession(1, SupersessionKind.TOGETHER, pair, (Counted(numbered[NEWER.key]),))
    decision = asked((Item(LOCK_OFF, 1), Item(other, 1)), replace(known, chains=Chains.of((step,))))
    assert [(use.part.key, use.quantity) for use in decision.use] == [(NEWER.key, 1)]
    assert decision.use[0].why == "VRD 6600 and VRD 6600-2 together are now VRD 6600-N."


def test_goods_that_are_only_described_are_not_resolved_by_the_number_written_of_them() -> None:
    """Contract: what is described is never better than conditional; another part's yes is none of theirs."""
    described = replace(LOCK_OFF, described=True)
    decision = asked(described, replaced((LOCK_OFF, NEWER)))
    assert decision.verdict is not Verdict.ACCEPTED
    assert [use.part for use in decision.use] == [described]


def test_a_serial_that_would_tell_whether_a_number_stands_for_the_specified_one_is_asked_for() -> None:
    bare = replace(NEWER, offers={at: found for at, found in NEWER.offers.items() if at[0] in (SERVICE, FUELS)})
    for newer in (bare, NEWER):
        always = replaced((LOCK_OFF, newer))
        (step,) = always.chains.out_of[0]
        late = replace(step, applicability=Applicability(serials=(SerialRange(200000),)))
        known = replace(always, chains=Chains.of((late,)), blocks=("",))
        assert asked(newer, known, 200000).verdict is Verdict.ACCEPTED
        blank, below = asked(newer, known), asked(newer, known, 199999)
        wanted = "serial (change at 200000)"
        assert blank.verdict is below.verdict
        assert (wanted in [fact.name for fact in blank.missing]) == (newer is bare)
        assert wanted not in [fact.name for fact in below.missing]


def late(old: Part, newer: Part) -> Replacements:
    """One number for another from serial 200000 on."""
    always = replaced((old, newer))
    (step,) = always.chains.out_of[0]
    from_there = replace(step, applicability=Applicability(serials=(SerialRange(200000),)))
    return replace(always, chains=Chains.of((from_there,)), blocks=("",))


def test_what_is_wrong_by_its_record_and_perhaps_specified_is_not_refused_before_the_serial_is_known() -> None:
    """Laws worth a property test: filling one unknown fact never leaves rejected. From serial 200000 on the number is
    the live replacement of what is specified, and contradicted by its record: an error in the data (rule 3 a)."""
    thick = bench_parts.part("9", {"size": bench_parts.mm("12")})
    right = bench_parts.part("8", {"size": bench_parts.mm("10")})
    rules = bench_parts.book(bench_parts.category(bench_parts.rule("size", bench_parts.K.EQUALS)))
    position = bench_parts.place({"size": bench_parts.mm("10")})

    def at(serial: int | None, **more: Any) -> Decision:
        given = None if serial is None else Serial("", serial)
        application = replace(bench_parts.ON_GASOLINE, serial=given)
        return bench_parts.ask(
            rules, thick, position, bench_parts.says(right), application=application,
            replacements=late(right, thick), **more,
        )  # fmt: skip

    blank, below, above = at(None), at(199_999), at(200_000)
    assert (below.verdict, above.verdict) == (Verdict.REJECTED, Verdict.UNDETERMINED)
    assert blank.verdict is Verdict.UNDETERMINED
    assert [fact.name for fact in blank.missing] == ["serial (change at 200000)"]
    assert blank.headline == "Cannot tell whether VRD 9 stands here for what the engine's maker specifies."
    assert not blank.conditions
    assert not any(found.effect is Effect.REJECT for found in blank.findings)


def test_a_refusal_at_the_gate_stays_one_before_the_serial_is_known() -> None:
    """Rule 2: no statement about what it stands for opens the gate."""
    gasoline = {at: found for at, found in GASOLINE_INJECTOR.offers.items() if at[0] in (SERVICE, FUELS)}
    wrong = replace(NEWER, offers={**NEWER.offers, (SERVICE, "inlet"): gasoline[SERVICE, "inlet"]})
    known = late(LOCK_OFF, wrong)
    verdicts = [asked(wrong, known, serial).verdict for serial in (None, 199_999, 200_000)]
    assert verdicts == [Verdict.REJECTED] * 3


def test_of_what_wears_together_the_sets_are_counted_and_not_their_pieces() -> None:
    """Four plugs wear together, and each of them is now several pieces: half of that is not all of them."""
    specified = part("VRD", "4410-12")
    _all_of_four_sets(specified)
    _all_of_four_sets(replace(specified, number="4410-X"))  # as good, and named by nobody


def _all_of_four_sets(plug: Part) -> None:
    halves, body = replace(plug, number="4410-H"), replace(plug, number="4410-B")
    alike, unlike = now_a_set(plug, (halves, 2)), now_a_set(plug, (halves, 2), (body, 1))
    for known in (alike, unlike):
        few = asked((Item(plug, 2),), known, position="spark_plug")
        assert (few.verdict, few.conditions) == (Verdict.CONDITIONAL, ("all 4 are replaced together",))
        assert asked((Item(plug, 4),), known, position="spark_plug").verdict is Verdict.ACCEPTED
    for count in (None, 4):
        used = asked((Item(plug, count),), alike, position="spark_plug").use
        assert [(use.part.key, use.quantity) for use in used] == [(halves.key, 8)]


def test_a_position_is_named_by_the_candidates_own_chain_and_by_no_other() -> None:
    """Only OLM 7701 of the gaskets specified is in a chain; that says nothing of where another old gasket belongs."""
    gasket = part("OLM", "7701")
    newer = replace(gasket, number="7701-N")
    strange, after = replace(gasket, number="9901"), replace(gasket, number="9902")
    known = replaced((gasket, newer), (strange, after))
    build = engine("OLM-K55", "D-30A")

    def meant(candidate: Part) -> list[str]:
        question = Question(rulebook(), (Item(candidate),), engine=build, replacements=known)
        return [position.code for position in positions_meant(question, build)]

    assert meant(newer) == ["manifold_gasket"]
    assert meant(strange) == [position.code for position in build.positions if position.category == "gasket"]


def test_pieces_asked_about_are_counted_by_the_set_too() -> None:
    plug = part("VRD", "4410-12")
    halves, body = replace(plug, number="4410-H"), replace(plug, number="4410-B")
    alike, unlike = now_a_set(plug, (halves, 2)), now_a_set(plug, (halves, 2), (body, 1))
    assert asked((Item(halves, 4),), alike, position="spark_plug").verdict is Verdict.CONDITIONAL
    assert asked((Item(halves, 8), Item(body, 4)), unlike, position="spark_plug").verdict is Verdict.ACCEPTED


def test_a_serial_break_of_the_older_number_is_none_of_the_newer() -> None:
    """Specified up to serial 204999 and replaced everywhere: beyond the break no maker excludes the newer number."""
    pump, newer = part("OLM", "5520-A"), replace(part("OLM", "5520-A"), number="5520-N")
    burned = (known_fuel("diesel:B7", rulebook().fuels),)
    record = FuelRecord(burned, RecordMode.ONLY_FUEL, date(2026, 1, 12))
    built = engine("OLM-K55", "D-30A")

    def at(serial: int) -> Decision:
        application = Application(
            specification="OLM-K55 D-30A", serial=Serial("", serial), plate_fuels=burned, fuel_records=(record,),
            certified=False,
        )  # fmt: skip
        known = replaced((pump, newer))
        return decide(
            Question(rulebook(), (Item(newer),), application, built, "water_pump", replacements=known)
        )  # fmt: skip

    assert not any(found.attribute == "exclusion" for found in at(205_000).findings)
    assert at(204_999).verdict is Verdict.ACCEPTED
