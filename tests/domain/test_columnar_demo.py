"""The columnar engine equals the reference engine over the reference rulebook: golden cases, and parts like the demo's.

The golden cases bring their own sources; on the rest the reference engine is the other side.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import product

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Basis, Verdict
from catalog.domain.checking import decide
from catalog.domain.columnar.columns import Columns
from catalog.domain.columnar.look_ups import LookUps
from catalog.domain.columnar.open_questions import OpenQuestion
from catalog.domain.columnar.packing import number_of
from catalog.domain.columnar.searching import search
from catalog.domain.parts import Part, PortClasses, Position
from catalog.domain.questions import Engine, Question
from catalog.domain.values import Demand, Offer, Place, Value
from tests.demo_world import engines, parts, question, rulebook
from tests.domain.columnar_worlds import differences, neighbours
from tests.domain.test_golden_cases import CASES, read

pytestmark = pytest.mark.domain
CATEGORIES = sorted(rulebook().categories)
HYBRIDS, QUESTIONS = 30, 6
KITS = {"diaphragm_kit", "injector_seal_set"}  # all by the reference engine, so a few show it
CANDIDATE = 1_000_000


@dataclass(frozen=True, slots=True)
class Golden:
    name: str
    question: Question
    asked: OpenQuestion
    category: str
    verdict: str


@cache
def golden() -> tuple[Golden, ...]:
    """The cases of one part at one position of an engine, from wherever it comes; a search has no adapters."""
    found = []
    for path in CASES:
        case = read(path)
        asked = question(case["question"])
        position = _position(asked)
        item, *others = asked.candidate
        if not others and not item.adapters and position is not None and asked.engine is not None:
            opened = OpenQuestion(asked.engine, position.code, asked.application, asked.replaces, item.quantity)
            found.append(Golden(path.stem, asked, opened, position.category, case["expected"]["verdict"]))
    return tuple(found)


def _position(asked: Question) -> Position | None:
    code = decide(asked).position
    positions = asked.engine.positions if asked.engine else ()
    return next((position for position in positions if position.code == code), None)


def of_category(category: str) -> list[Part]:
    """The demo's parts of a category, and two of others, which are offered there too."""
    everything = sorted(parts().values(), key=lambda part: part.key)
    others = [part for part in everything if part.category != category][::171]
    return [*(part for part in everything if part.category == category), *others]


def test_nearly_every_golden_case_is_one_part_at_one_position() -> None:
    assert len(golden()) > 0.95 * len(CASES)
    assert {case.category for case in golden()} <= set(CATEGORIES)


@pytest.mark.parametrize("category", CATEGORIES)
def test_golden_cases_come_out_as_written_among_all_parts_of_their_category(category: str) -> None:
    """The candidate, with what the case tells of it, takes the place of the demo's part, as a changed part does."""
    known = dict(enumerate(of_category(category), start=1))
    columns, look_ups = Columns.of(category, known.items(), rulebook()), LookUps(few=0)
    for case in golden():
        if case.category == category:
            part = case.question.candidate[0].part
            number = next((at for at, other in known.items() if other.key == part.key), CANDIDATE)
            told = columns.with_changed([(number, part)])
            verdicts = search(told, case.asked, look_ups).verdicts
            assert verdicts[told.rows_of([number])[0]] == number_of(Verdict(case.verdict)), case.name
            assert differences(told, {**known, number: part}, [case.asked], look_ups) == [], case.name


def hybrid(chance: random.Random, models: Sequence[Part], number: int) -> Part:
    """A part that has each of its values from one of several, or none; sometimes two that may disagree."""
    offers: dict[Place, tuple[Offer, ...]] = {}
    for place in sorted({place for part in models for place in part.offers}, key=str):
        sources = [part.at(place) for part in chance.choices(models, k=chance.choice((1, 1, 1, 1, 2)))]
        found = tuple(offer for offers in sources for offer in offers)
        if found and chance.random() >= 0.2:
            offers[place] = found
    model = chance.choice(models)
    return replace(model, maker="VRD", number=f"hybrid {number}", offers=offers, contains=model.contains)


@pytest.mark.parametrize("category", CATEGORIES)
def test_parts_like_the_demos_are_judged_as_by_themselves(category: str) -> None:
    chance = random.Random(category)  # noqa: S311 - invented data, no secret
    models = of_category(category)
    crossed = [hybrid(chance, models, number) for number in range(3 if category in KITS else HYBRIDS)]
    known = dict(enumerate([*models, *crossed], start=1))
    applications = [case.asked.application for case in golden()]
    places = [(e, position.code) for e in engines() for position in e.positions if position.category == category]
    if not places:
        pytest.skip("no engine of the demo has such a position")
    asked = [
        OpenQuestion(engine, code, chance.choice(applications), chance.choice([None, chance.choice(models)]))
        for engine, code in chance.choices(places, k=2 if category in KITS else QUESTIONS)
    ]
    columns = Columns.of(category, known.items(), rulebook())
    assert differences(columns, known, [*asked, *neighbours(chance, asked, len(asked))], LookUps()) == []


def test_a_joint_that_seals_oil_and_not_fuel_gas_is_judged_by_what_passes_here() -> None:
    """The same demand and parts, and only what passes differs; the reference table refuses this pair on fuel gas."""
    ends = {"joint_form": ("bspt", "bspp"), "joint_size": ("1/4", "1/4"), "joint_gender": ("male", "female")}
    slot = "end_a"
    demands: dict[Place, tuple[Demand, ...]] = {
        (m, slot): (Demand(Value((asked,)), Basis.STATED, COMMON_PRACTICE),) for m, (asked, _) in ends.items()
    }
    offers: dict[Place, tuple[Offer, ...]] = {
        (m, slot): (Offer(Value((given,)), COMMON_PRACTICE),) for m, (_, given) in ends.items()
    }
    services = [(), ("LPG-CV",), ("GAS-PI",)]
    ports = [tuple(PortClasses(port, classes) for classes in services) for port in ("inside", slot)]
    places = [
        Position("place", "fitting", ports=found, demands=demands, carries_fuel=carries_fuel)
        for found in [(), *((port,) for row in ports for port in row), *product(*ports)]
        for carries_fuel in (True, False)
    ]
    known = {1: Part("VRD", "1", "fitting", offers)}
    columns = Columns.of("fitting", known.items(), rulebook())
    asked = [OpenQuestion(Engine("E", (), (place,)), "place") for place in places]
    assert differences(columns, known, asked, LookUps()) == []
    outcomes = {finding.outcome for q in asked for finding in decide(q.about(known[1], rulebook())).findings
                if (finding.attribute, finding.slot) == ("ends", slot)}  # fmt: skip
    assert len(outcomes) == 3
