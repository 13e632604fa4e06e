"""What is kept under a rulebook never changes an answer.

No source outside the project decides these: the same question decided with nothing kept is the other side.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Basis, Effect
from catalog.domain.checking import decide
from catalog.domain.columnar.open_questions import OpenQuestion
from catalog.domain.findings import Lead
from catalog.domain.parts import Part, Position
from catalog.domain.quantities import quantity
from catalog.domain.questions import Engine, Item, Question
from catalog.domain.rules import Category, Comparison, ComparisonKind, FuelRole, Rule, Rulebook
from catalog.domain.serials import Serial
from catalog.domain.values import Demand, Offer, Value
from tests.domain.columnar_worlds import crowd

pytestmark = pytest.mark.domain
CROWDS, PARTS, QUESTIONS = 12, 24, 8


def with_shared_offers(parts: Iterator[Part]) -> list[Part]:
    """As they are loaded from rows: parts that say the same in a place share what they say."""
    shared: dict[str, tuple[Offer, ...]] = {}
    return [
        replace(part, offers={place: shared.setdefault(repr(said), said) for place, said in part.offers.items()})
        for part in parts
    ]


def on_other_engines(chance: random.Random, asked: OpenQuestion) -> Iterator[OpenQuestion]:
    """The same question for engines that differ from it in one fact: a serial near a break, the place, a flag."""
    application = asked.application
    yield asked
    yield replace(asked, application=replace(application, serial=chance.choice((None, Serial("", 1)))))
    yield replace(asked, application=replace(application, serial=Serial("", 10**6)))
    yield replace(asked, application=replace(application, place_of_use=chance.choice((None, "indoors", "outdoors"))))
    told = chance.choice((None, True, False))
    yield replace(asked, application=replace(application, dusty=told))
    yield replace(asked, application=replace(application, certified=told))


@pytest.mark.parametrize("seed", range(CROWDS))
def test_an_answer_does_not_hang_on_what_was_asked_before(seed: int) -> None:
    people = crowd(seed, of_parts=PARTS, of_questions=QUESTIONS)
    parts = with_shared_offers(iter(people.parts.values()))
    chance = random.Random(seed)  # noqa: S311 - an order, no secret
    pairs = [(one, part) for asked in people.questions for one in on_other_engines(chance, asked) for part in parts]
    chance.shuffle(pairs)
    for asked, part in pairs:
        found = decide(asked.about(part, people.rulebook))
        afresh = decide(asked.about(part, replace(people.rulebook)))
        assert repr(found) == repr(afresh), (part.shown, asked)
    assert people.rulebook.kept


def test_positions_of_two_engines_that_ask_the_same_share_what_is_found_of_a_part() -> None:
    people = crowd(1, of_parts=PARTS, of_questions=QUESTIONS)
    shared = 0
    for asked in people.questions:
        (position,) = (one for one in asked.engine.positions if one.code == asked.position)
        elsewhere = replace(asked, engine=replace(asked.engine, name="F", positions=(replace(position),)))
        for part in people.parts.values():
            here, there = (decide(one.about(part, people.rulebook)).findings for one in (asked, elsewhere))
            assert here == there
            known = {id(found) for found in here}
            shared += sum(id(found) in known for found in there if found.lead is Lead.RULE)
    assert shared


def test_an_equal_measure_in_another_unit_is_shown_in_its_own() -> None:
    rule = Rule("size", "size", ("size",), Comparison(ComparisonKind.AT_LEAST), Effect.REJECT, Effect.UNDETERMINED,
                COMMON_PRACTICE)  # fmt: skip
    book = Rulebook(1, {}, {"thing": Category("thing", "thing", "thing", FuelRole.NONE, ("size",), (rule,))})
    for text, unit in (("10", "mm"), ("1", "cm"), ("10", "mm")):
        asked = Demand(Value(quantity(text, unit)), Basis.STATED, COMMON_PRACTICE)
        position = Position("place", "thing", demands={("size", None): (asked,)})
        decision = decide(Question(book, (Item(Part("VRD", "1", "thing")),), engine=Engine("E", (), (position,))))
        shown = [found.demand.value.shown() for found in decision.findings if found.demand]
        assert shown == [f"{text} {unit}"]
