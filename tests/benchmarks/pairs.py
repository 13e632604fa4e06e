"""Fifteen rules and mixed pairs for P2, once for the reference engine and once in the peer's own language.

The mix follows the measured prototypes: four equal, one mating table, one rating table, one ordered class, two at
least, one covers, four within, one at most; three in a hundred values unknown. Everything is invented.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date
from functools import cache
from itertools import count

from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Effect
from catalog.domain.applicability import Application
from catalog.domain.fuels import Fuel, FuelDefinition, FuelRecord, RecordMode
from catalog.domain.parts import FUELS, Part, Position
from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.questions import Engine, Item, Question
from catalog.domain.rules import (
    AttributeDefinition,
    Category,
    Comparison,
    ComparisonKind,
    FuelRole,
    MateTable,
    OrderTable,
    RatingTable,
    Rule,
    Rulebook,
    Tables,
    Tolerance,
)
from catalog.domain.values import Demand, Kind, Offer, Place, Value

K = ComparisonKind
Need = str | int
Given = int | tuple[str, ...] | tuple[int, ...]
_numbers = count(1)
CODES = ("a", "b", "c", "d")
FUEL = FuelDefinition("natural_gas", "natural gas", "natural gas", (), "", (), COMMON_PRACTICE)
GRADES = {"a": "1", "b": "2", "c": "4", "d": "1"}
LADDER = {(high, low) for i, high in enumerate(CODES) for low in CODES[: i + 1]}
KINDS = (*(K.EQUALS,) * 4, K.MATES_WITH, K.RATED_FOR, K.CLASS_AT_LEAST, *(K.AT_LEAST,) * 2, K.COVERS,
         *(K.WITHIN,) * 4, K.AT_MOST)  # fmt: skip
_BY_CODE = frozenset({K.EQUALS, K.MATES_WITH, K.CLASS_AT_LEAST})
BAND = 3
# What the peer is told: 0 met, 1 met on a condition, 2 unknown, 3 not met, one expression a rule.
PEER = {
    K.EQUALS: "o{0} == null ? 2 : (o{0} == d{0} ? 0 : 3)",
    K.MATES_WITH: "o{0} == null ? 2 : (mates[d{0}] == o{0} ? 0 : 3)",
    K.RATED_FOR: "o{0} == null ? 2 : (graded[o{0}] == 1 ? 0 : (graded[o{0}] == 2 ? 1 : 3))",
    K.CLASS_AT_LEAST: "o{0} == null ? 2 : (rank[o{0}] >= rank[d{0}] ? 0 : 3)",
    K.AT_LEAST: "o{0} == null ? 2 : (o{0} >= d{0} ? 0 : 3)",
    K.COVERS: "o{0}_lo == null ? 2 : ((o{0}_lo <= d{0}_lo and o{0}_hi >= d{0}_hi) ? 0 : 3)",
    K.WITHIN: "o{0} == null ? 2 : ((o{0} >= d{0} - 3 and o{0} <= d{0} + 3) ? 0 : 3)",
    K.AT_MOST: "o{0} == null ? 2 : (o{0} <= d{0} ? 0 : 3)",
}
GATE = 'o_fuel == null ? 2 : (("natural_gas" in o_fuel) ? 0 : 3)'
HOST = {
    "mates": {code: code for code in CODES},
    "graded": {code: int(grade) for code, grade in GRADES.items()},
    "rank": {code: float(at) for at, code in enumerate(CODES)},
}


@dataclass(frozen=True, slots=True)
class Pair:
    question: Question
    context: dict[str, object]


def rulebook() -> Rulebook:
    rules = tuple(_rule(number, kind) for number, kind in enumerate(KINDS))
    category = Category("plug", "plug", "plug", FuelRole.COMBUSTION, tuple(r.attributes[0] for r in rules), rules)
    definitions = {
        rule.attributes[0]: AttributeDefinition(rule.attributes[0], rule.name, Kind.QUANTITY, Dimension.LENGTH)
        for rule in rules
    }
    tables = Tables(
        {"mates": MateTable("mates", (), "x4", {(code, code): (Answer.MET, "") for code in CODES})},
        {"ladder": OrderTable("ladder", dict.fromkeys(CODES, "one"), dict.fromkeys(LADDER, Answer.MET))},
        {"rubber": RatingTable("rubber", {(code, "gas"): grade for code, grade in GRADES.items()}, {}, {})},
    )
    return Rulebook(1, definitions, {"plug": category}, {"natural_gas": FUEL}, tables=tables)


def _rule(number: int, kind: K) -> Rule:
    table = {K.MATES_WITH: "mates", K.CLASS_AT_LEAST: "ladder", K.RATED_FOR: "rubber"}.get(kind, "")
    inner = (Tolerance(minus=BAND, plus=BAND),) if kind is K.WITHIN else ()
    comparison = Comparison(kind, inner, condition="confirmed", table=table)
    not_met = Effect.CONDITION if number in (3, 13) else Effect.REJECT
    return Rule(f"rule {number}", f"rule {number}", (f"x{number}",), comparison, not_met, Effect.UNDETERMINED,
                COMMON_PRACTICE, condition="looked at", rank=number)  # fmt: skip


def pairs(positions: int, seed: int = 1, *, parts: int = 1) -> list[Pair]:
    """Mixed pairs: mostly fitting, so that every verdict is among them; `parts` in a row are for one position."""
    chance, book = random.Random(seed), rulebook()  # noqa: S311 - invented data, no secret
    return [pair for _ in range(positions) for pair in _at_a_position(chance, book, parts)]


def _at_a_position(chance: random.Random, book: Rulebook, parts: int) -> list[Pair]:
    needs = [_need(chance, kind) for kind in KINDS]
    demands: dict[Place, tuple[Demand, ...]] = {
        (f"x{number}", None): (Demand(_demanded(kind, need), Basis.STATED, COMMON_PRACTICE),)
        for number, (kind, need) in enumerate(zip(KINDS, needs, strict=True))
    }
    position = Position("plug", "plug", demands=demands)
    return [_pair(chance, book, position, needs) for _ in range(parts)]


def _pair(chance: random.Random, book: Rulebook, position: Position, needs: list[Need]) -> Pair:
    offers: dict[Place, tuple[Offer, ...]] = {}
    context: dict[str, object] = dict(HOST)
    for number, (kind, need) in enumerate(zip(KINDS, needs, strict=True)):
        offer, told = _offered(chance, kind, need)
        unknown = chance.random() < 0.01
        if not unknown:
            offers[f"x{number}", None] = _said(offer)
        for name, value in told.items():
            context[name.format(number)] = None if unknown and name.startswith("o") else value
    fuels = ("natural_gas",) if chance.random() < 0.9 else ("gasoline",)
    offers[FUELS, None] = _said(fuels)
    context["o_fuel"] = list(fuels)
    part = Part("VRD", str(next(_numbers)), "plug", offers)
    record = FuelRecord((Fuel("natural_gas"),), RecordMode.ONLY_FUEL, date(2026, 1, 12))
    application = Application("E", fuel_records=(record,), certified=False)
    return Pair(Question(book, (Item(part),), application, Engine("E", (), (position,)), "plug"), context)


def _need(chance: random.Random, kind: K) -> Need:
    """A code of the position, or the size that its demand is about."""
    if kind is K.RATED_FOR:
        return "gas"
    return chance.choice(CODES[1:]) if kind in _BY_CODE else chance.randint(100, 1000)


def _demanded(kind: K, need: Need) -> Value:
    if isinstance(need, str):
        return Value((need,))
    return Value(_span((need - 5, need + 5)) if kind is K.COVERS else _mm(need))


def _offered(chance: random.Random, kind: K, need: Need) -> tuple[Given, dict[str, object]]:
    """What a part says, and what the peer is told of both sides; one in twenty does not fit."""
    off = chance.random() < 0.05
    if kind is K.RATED_FOR:
        given = "c" if off else chance.choice("aabd")
        return (given,), {"o{0}": given}
    if isinstance(need, str):
        given = CODES[0] if off else need
        return (given,), {"d{0}": need, "o{0}": given}
    if kind is K.COVERS:
        low, high = need - 10, need + (-5 if off else 10)
        return (low, high), {"d{0}_lo": need - 5, "d{0}_hi": need + 5, "o{0}_lo": low, "o{0}_hi": high}
    miss = {K.AT_LEAST: -9, K.AT_MOST: 9, K.WITHIN: 9}[kind] if off else 0
    return need + miss, {"d{0}": need, "o{0}": need + miss}


@cache
def _said(given: Given) -> tuple[Offer]:
    """Parts that say the same share it, as those do that are loaded from rows."""
    if isinstance(given, int):
        return (Offer(Value(_mm(given)), COMMON_PRACTICE),)
    codes = tuple(one for one in given if isinstance(one, str))
    ends = tuple(one for one in given if isinstance(one, int))
    return (Offer(Value(codes or _span(ends)), COMMON_PRACTICE),)


def _mm(amount: int) -> Quantity:
    return Quantity(amount, Dimension.LENGTH, "mm")


def _span(ends: tuple[int, ...]) -> Interval:
    low, high = ends
    return Interval(_mm(low), _mm(high))
