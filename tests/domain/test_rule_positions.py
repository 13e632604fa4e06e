"""Which position a question is about, and what two halves of a joint have to state before they mate.

Rules 4 and 5 and the contract's word on a question without a position. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from catalog.domain.answers import Answer, TakenOver, Verdict
from catalog.domain.applicability import Application
from catalog.domain.checking import decide
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.parts import Part, Position, Statement, StatementKind
from catalog.domain.questions import Decision, Engine, Item, Question
from tests.domain.cast import (
    CONVERTED,
    DUAL_PLUG,
    GAS_PLUG,
    ON_VAPOUR,
    PLUG_WELL,
    VAPOUR_INJECTOR,
    VAPOUR_RAIL,
    Values,
    ask,
    finding,
    part,
    place,
    says,
    with_value,
    without,
)
from tests.domain.cast_rulebook import RULEBOOK, codes, psi

pytestmark = pytest.mark.domain
SECOND_WELL = replace(PLUG_WELL, code="second_plug")


def unplaced(
    candidate: Part, positions: tuple[Position, ...], *statements: Statement, replaces: Part | None = None
) -> Decision:
    engine = Engine("E", (), positions, statements)
    return decide(Question(RULEBOOK, (Item(candidate),), CONVERTED, engine, replaces=replaces))


def test_without_a_position_the_only_one_of_the_category_is_taken_and_shown() -> None:
    """A position that is not given."""
    assert unplaced(DUAL_PLUG, (PLUG_WELL, VAPOUR_RAIL)).position == "plug"


def test_the_position_that_names_the_part_or_what_it_replaces_comes_first() -> None:
    """A position that is not given."""
    wells = (PLUG_WELL, SECOND_WELL)
    assert unplaced(DUAL_PLUG, wells, says(DUAL_PLUG, at="second_plug")).position == "second_plug"
    assert unplaced(DUAL_PLUG, wells, says(GAS_PLUG, at="second_plug"), replaces=GAS_PLUG).position == "second_plug"


def test_a_third_partys_list_finds_no_position() -> None:
    """Rule 3d."""
    hint = says(DUAL_PLUG, StatementKind.THIRD_PARTY, at="second_plug")
    assert unplaced(DUAL_PLUG, (PLUG_WELL, SECOND_WELL), hint).verdict is Verdict.UNDETERMINED


@pytest.mark.parametrize(("positions", "words"), [((PLUG_WELL, SECOND_WELL), "several positions could be meant"),
                                                 ((VAPOUR_RAIL,), "no position here takes such a part")])  # fmt: skip
def test_several_positions_or_none_are_undetermined_and_ask_which(positions: tuple[Position, ...], words: str) -> None:
    """A position that is not given; the conflict with the plate stays on this answer too."""
    decision = unplaced(DUAL_PLUG, positions)
    assert decision.verdict is Verdict.UNDETERMINED
    assert decision.headline == f"Cannot tell which position of E is meant: {words}."
    assert [fact.name for fact in decision.missing] == ["position"]
    assert decision.conflicts


def nowhere(candidate: Part, *fuels: str, mode: RecordMode = RecordMode.ONLY_FUEL) -> Decision:
    """On an engine that was found burning these fuels and has no position for such a part."""
    record = FuelRecord(tuple(Fuel.parse(fuel) for fuel in fuels), mode, date(2026, 1, 12))
    engine = Engine("E", (), (replace(PLUG_WELL, code="oil", category="oil"),), ())
    return decide(
        Question(RULEBOOK, (Item(candidate),), Application(specification="E", fuel_records=(record,)), engine)
    )


@pytest.mark.parametrize(
    ("candidate", "words"),
    [(GAS_PLUG, "is a plug for natural gas"), (VAPOUR_INJECTOR, "is an injector for LP-gas")],
)
def test_a_part_for_fuels_that_the_engine_does_not_burn_is_refused_wherever_it_was_meant(
    candidate: Part, words: str
) -> None:
    """The gate comes before anything else; common practice, no source."""
    decision = nowhere(candidate, "diesel")
    assert decision.verdict is Verdict.REJECTED
    assert f"{candidate.shown} {words}; this engine burns diesel (found 2026-01-12)." in decision.headline
    assert "No position of E takes such a part." in decision.headline


@pytest.mark.parametrize("fuels", [("natural_gas",), ("diesel", "natural_gas")])
def test_a_part_for_a_fuel_that_is_burned_is_not_refused_before_its_place_is_known(fuels: tuple[str, ...]) -> None:
    assert nowhere(GAS_PLUG, *fuels).verdict is Verdict.UNDETERMINED


def test_a_part_is_not_refused_while_the_engine_may_burn_another_fuel() -> None:
    """Missing is unknown: somebody saw it burning diesel, and it may burn natural gas too."""
    assert nowhere(GAS_PLUG, "diesel", mode=RecordMode.BURNS_TODAY).verdict is Verdict.UNDETERMINED
    assert nowhere(without(GAS_PLUG, "fuels"), "diesel").verdict is Verdict.UNDETERMINED


def rail(**needs: str) -> Position:
    """The vapour rail with only these members of its connector stated."""
    values: Values = {"max_pressure": psi("30"), **{code: codes(value) for code, value in needs.items()}}
    return place("injector", values, *VAPOUR_RAIL.ports)


@pytest.mark.parametrize(
    ("needs", "answer"),
    [
        ({"connector_family": "C-24", "connector_ways": "2", "connector_gender": "male"}, Answer.MET),
        ({"connector_family": "C-24", "connector_ways": "2"}, Answer.UNKNOWN),
        ({"connector_ways": "2", "connector_gender": "male"}, Answer.UNKNOWN),
        ({"connector_family": "C-24", "connector_gender": "male"}, Answer.UNKNOWN),
        ({"connector_family": "C-24", "connector_gender": "female", "connector_ways": "2"}, Answer.NOT_MET),
        ({"connector_ways": "3"}, Answer.NOT_MET),
    ],
)  # fmt: skip
def test_a_joint_is_met_only_where_the_place_states_all_that_has_to_mate(needs: dict[str, str], answer: Answer) -> None:
    """Rule 5: a member the place does not state is asked for, and one that differs refuses whatever else is missing."""
    decision = ask(VAPOUR_INJECTOR, rail(**needs), ON_VAPOUR)
    assert finding(decision, "connector").outcome is answer
    if answer is Answer.UNKNOWN:
        assert [fact.name for fact in decision.missing] == ["position: connector"]


def test_a_member_that_neither_half_states_is_not_asked_unless_it_decides() -> None:
    """Rule 5: the family and the gender decide."""
    waysless = without(VAPOUR_INJECTOR, "connector_ways")
    at = rail(connector_family="C-24", connector_gender="male")
    assert finding(ask(waysless, at, ON_VAPOUR), "connector").outcome is Answer.MET
    genderless = without(VAPOUR_INJECTOR, "connector_gender")
    assert finding(ask(genderless, rail(connector_family="C-24"), ON_VAPOUR), "connector").outcome is Answer.UNKNOWN


def test_a_joint_taken_over_is_the_same_in_every_member_recorded_of_either() -> None:
    """Rule 4, same: the specified part and the candidate face the same mating half."""
    specified = part("6210-S", "injector", {"connector_family": codes("C-24"), "connector_gender": codes("female")})
    bare = rail()
    answers = {
        number: finding(ask(one, bare, ON_VAPOUR, says(specified)), "connector").outcome
        for number, one in (("more recorded", VAPOUR_INJECTOR), ("alike", without(VAPOUR_INJECTOR, "connector_ways")),
                            ("turned", with_value(without(VAPOUR_INJECTOR, "connector_gender"),
                                                  {"connector_gender": codes("male")})))
    }  # fmt: skip
    assert answers == {"more recorded": Answer.UNKNOWN, "alike": Answer.MET, "turned": Answer.NOT_MET}


def test_a_rule_that_takes_the_same_over_accepts_nothing_better() -> None:
    """Rule 4, same means equal, also where the comparison itself would let more pass."""
    same = replace(RULEBOOK.categories["injector"].rules[0], taken_over=TakenOver.SAME)
    known = RULEBOOK.categories["injector"]
    book = replace(RULEBOOK, categories={**RULEBOOK.categories, "injector": replace(known, rules=(same,))})
    specified = part("6210-S", "injector", {"max_pressure": VAPOUR_INJECTOR.at(("max_pressure", None))[0].value})
    stronger = with_value(without(VAPOUR_INJECTOR, "max_pressure"), {"max_pressure": psi("150")})
    unstated = replace(VAPOUR_RAIL, demands={})
    for candidate, verdict in ((VAPOUR_INJECTOR, Verdict.ACCEPTED), (stronger, Verdict.REJECTED)):
        assert ask(candidate, unstated, ON_VAPOUR, says(specified), rulebook=book).verdict is verdict
