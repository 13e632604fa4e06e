"""The columnar engine equals the reference engine on every pair: arbitrary categories, parts and questions.

No source outside the project decides these: the reference engine is the other side.
"""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from catalog.domain.answers import Verdict
from catalog.domain.applicability import located
from catalog.domain.checking import decide
from catalog.domain.columnar.columns import Columns
from catalog.domain.columnar.look_ups import FEW, LookUps
from catalog.domain.columnar.open_questions import OpenQuestion
from catalog.domain.columnar.searching import search
from catalog.domain.parts import SPECIFIES, Part
from catalog.domain.rules import FuelRole, Rulebook
from tests.domain.columnar_worlds import crowd, differences, some_part, verdicts_of

pytestmark = pytest.mark.domain
ROLES = (None, FuelRole.NONE, *FuelRole)
CROWDS, PARTS, QUESTIONS = 10, 100, 10


@pytest.mark.parametrize(
    "role", range(len(ROLES)), ids=[str(role or "any") + f"-{at}" for at, role in enumerate(ROLES)]
)
def test_every_part_of_a_category_is_judged_as_by_itself(role: int) -> None:
    """Look-ups are kept from question to question, so that a side that leaves out what is read would show.

    In every other crowd no variant is weighed before it is met.
    """
    for seed in range(CROWDS):
        people = crowd(seed * len(ROLES) + role, of_parts=PARTS, of_questions=QUESTIONS, role=ROLES[role])
        columns = Columns.of("thing", people.parts.items(), people.rulebook)
        look_ups = LookUps(few=seed % 2 * FEW)
        assert differences(columns, people.parts, people.questions, look_ups) == []


@pytest.mark.parametrize("seed", range(10))
def test_columns_that_have_caught_up_say_what_new_ones_say(seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311 - invented data, no secret
    people = crowd(seed, of_parts=60, of_questions=5)
    attributes = tuple(people.rulebook.categories["thing"].attributes)
    columns, look_ups, parts = Columns.of("thing", people.parts.items(), people.rulebook), LookUps(), dict(people.parts)
    for _ in range(4):
        before = verdicts_of(columns, people.questions, look_ups)
        gone = chance.sample(sorted(parts), 5)
        changed = {at: some_part(chance, attributes, at) for at in (*chance.sample(sorted(parts), 8), max(parts) + 1)}
        caught_up = columns.with_changed({**changed, **dict.fromkeys(gone)}.items())
        assert verdicts_of(columns, people.questions, look_ups) == before
        parts = {at: part for at, part in {**parts, **changed}.items() if at not in gone}
        columns = caught_up
        fresh = Columns.of("thing", parts.items(), people.rulebook)
        assert verdicts_of(columns, people.questions, look_ups) == verdicts_of(fresh, people.questions, LookUps())
        assert differences(columns, parts, people.questions, look_ups) == []


@pytest.mark.parametrize("seed", range(20))
def test_parts_to_use_come_by_verdict_then_as_specified_then_by_id(seed: int) -> None:
    people = crowd(seed, of_parts=60, of_questions=10)
    columns = Columns.of("thing", people.parts.items(), people.rulebook)
    for asked in people.questions:
        verdicts = {at: decide(asked.about(part, people.rulebook)).verdict for at, part in people.parts.items()}
        specified = {at for at, part in people.parts.items() if _specified(asked, part, people.rulebook)}
        found, best_first = search(columns, asked, LookUps()), list(Verdict)
        order = sorted(verdicts, key=lambda at: (best_first.index(verdicts[at]), at not in specified, at))
        usable = (Verdict.ACCEPTED, Verdict.CONDITIONAL)
        assert found.ranked().tolist() == [at for at in order if verdicts[at] in usable]
        some = set(order[::3])
        for verdict in Verdict:
            of_it = [at for at in order if verdicts[at] is verdict]
            assert found.ranked([verdict]).tolist() == of_it
            assert found.counts()[verdict] == len(of_it)
            assert found.counts(some)[verdict] == len(set(of_it) - some)


def _specified(asked: OpenQuestion, part: Part, rulebook: Rulebook) -> bool:
    where = located(asked.application, rulebook.fuels)
    about = [s for s in asked.engine.statements if s.position == asked.position and s.part.key == part.key]
    return any(s.kind in SPECIFIES and s.applicability.holds(where).holds for s in about)


@pytest.mark.parametrize("most", [1, 3])
def test_few_look_ups_kept_change_no_verdict_and_are_never_exceeded(most: int) -> None:
    people = crowd(5, of_parts=60, of_questions=8)
    columns, few = Columns.of("thing", people.parts.items(), people.rulebook), LookUps(most)
    assert verdicts_of(columns, people.questions, few) == verdicts_of(columns, people.questions, LookUps())
    assert 0 < len(few) <= most


def test_a_part_or_number_that_stands_twice_is_refused() -> None:
    people = crowd(1, of_parts=3, of_questions=1)
    columns = Columns.of("thing", people.parts.items(), people.rulebook)
    with pytest.raises(ValueError, match="named twice"):
        columns.with_changed([(7, None), (7, None)])
    with pytest.raises(ValueError, match="VRD 2 stands twice"):
        columns.with_changed([(7, replace(people.parts[1], number="2"))])
    with pytest.raises(ValueError, match="zero character"):
        columns.with_changed([(7, replace(people.parts[1], number="2\x00"))])


def test_a_question_of_another_category_or_of_no_one_position_is_refused() -> None:
    people = crowd(1, of_parts=3, of_questions=1)
    columns, (asked,) = Columns.of("thing", people.parts.items(), people.rulebook), people.questions
    (position,) = asked.engine.positions
    for positions, words in (
        ((replace(position, category="other"),), "columns of thing"),
        ((), "0 positions"),
        ((position, position), "2 positions"),
    ):
        with pytest.raises(ValueError, match=words):
            search(columns, replace(asked, engine=replace(asked.engine, positions=positions)), LookUps())


def test_no_parts_are_no_verdicts() -> None:
    people = crowd(1, of_parts=1, of_questions=3)
    empty = Columns.of("thing", (), people.rulebook)
    assert verdicts_of(empty, people.questions, LookUps()) == [{}, {}, {}]
    assert differences(empty, {}, people.questions, LookUps()) == []
