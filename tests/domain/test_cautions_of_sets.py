"""The hazards to state with several parts are those of each of them, said once. Parts and figures are invented."""

from __future__ import annotations

from dataclasses import replace

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Verdict
from catalog.domain.checking import decide
from catalog.domain.questions import Engine, Item, Question
from catalog.domain.rules import Caution
from tests.domain.bench_parts import ON_GASOLINE, K, book, category, mm, part, place, rule, says
from tests.domain.test_superseded_candidates import now_a_set

pytestmark = pytest.mark.domain
BODY = category(rule("size", K.EQUALS), code="body", cautions=("hot", "sharp"))
COIL = category(rule("size", K.EQUALS), code="coil", cautions=("sharp", "live"))
HAZARDS = {code: Caution(code, f"It is {code}.", source=COMMON_PRACTICE) for code in ("hot", "sharp", "live")}
RULES = book(BODY, COIL, cautions=HAZARDS)
AT_BODY, AT_COIL = (place({"size": mm("10")}, code=kind, kind=kind) for kind in ("body", "coil"))
OLD, NEW, WOUND = (part(number, {"size": mm("10")}, kind) for number, kind in (("9", "body"), ("11", "body"),
                                                                               ("12", "coil")))  # fmt: skip
ENGINE = Engine("E", (), (AT_BODY, AT_COIL), (says(OLD, position="body"), says(WOUND, position="coil")))


def test_each_hazard_of_each_piece_is_said_once() -> None:
    question = Question(
        RULES, (Item(OLD),), ON_GASOLINE, ENGINE, "body", replacements=now_a_set(OLD, (NEW, 1), (WOUND, 1))
    )
    decision = decide(question)
    assert decision.verdict is Verdict.ACCEPTED
    assert [caution.code for caution in decision.cautions] == ["hot", "sharp", "live"]
    named = decide(replace(question, candidate=(Item(NEW, 1), Item(WOUND, 1))))
    assert (named.verdict, named.cautions) == (Verdict.ACCEPTED, decision.cautions)


def test_part_against_part_the_hazards_of_each_part_are_said_too() -> None:
    decision = decide(Question(RULES, (Item(NEW), Item(WOUND))))
    assert [caution.code for caution in decision.cautions] == ["hot", "sharp", "live"]
