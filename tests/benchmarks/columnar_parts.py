"""Forty thousand invented parts of one category in families of sixty, and positions that ask for one of them.

The rules are those of P2: fifteen, and the gate. Three in a hundred values are unknown. A strict position states what
each rule asks; a loose one states five of them.
"""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date

from catalog.domain.answers import COMMON_PRACTICE, Basis
from catalog.domain.applicability import Application
from catalog.domain.columnar.open_questions import OpenQuestion
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.parts import FUELS, Part, Position
from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.questions import Engine
from catalog.domain.rules import ComparisonKind as K
from catalog.domain.rules import Rulebook
from catalog.domain.values import Demand, Offer, Place, Value
from tests.benchmarks.pairs import CODES, KINDS, rulebook

PARTS, FAMILY = 40_000, 60
UNKNOWN, CHANGED = 0.03, 0.2
_LOOSE = frozenset({5, 7, 8, 9, 14})
_SPANS = frozenset({K.COVERS})
_NUMBERS = frozenset({K.AT_LEAST, K.AT_MOST, K.WITHIN})
Row = tuple[int | str, ...]


def parts(count: int = PARTS, seed: int = 1) -> list[tuple[int, Part]]:
    chance = random.Random(seed)  # noqa: S311 - invented data, no secret
    found: list[tuple[int, Part]] = []
    while len(found) < count:
        family, gas = _family(chance), chance.random() < 0.7
        for _ in range(min(FAMILY, count - len(found))):
            number = len(found) + 1
            found.append((number, _part(chance, number, _member(chance, family), gas=gas)))
    return found


def _family(chance: random.Random) -> Row:
    return tuple(chance.randint(100, 1000) if _numeric(kind) else chance.choice(CODES) for kind in KINDS)


def _numeric(kind: K) -> bool:
    return kind in _NUMBERS or kind in _SPANS


def _member(chance: random.Random, family: Row) -> Row:
    return tuple(
        value if chance.random() >= CHANGED
        else value + chance.randint(-9, 9) if isinstance(value, int)
        else chance.choice(CODES)
        for value in family
    )  # fmt: skip


def _part(chance: random.Random, number: int, row: Row, *, gas: bool) -> Part:
    offers: dict[Place, tuple[Offer, ...]] = {
        (f"x{at}", None): (Offer(_value(kind, row[at], slack=10), COMMON_PRACTICE),)
        for at, kind in enumerate(KINDS)
        if chance.random() >= UNKNOWN
    }
    if chance.random() >= UNKNOWN:
        offers[FUELS, None] = (Offer(Value(("natural_gas",) if gas else ("gasoline",)), COMMON_PRACTICE),)
    return Part("VRD", str(number), "plug", offers)


def _value(kind: K, value: int | str, slack: int) -> Value:
    if isinstance(value, str):
        return Value((value,))
    if kind in _SPANS:
        return Value(Interval(_mm(value - slack), _mm(value + slack)))
    return Value(_mm(value))


def _mm(amount: int) -> Quantity:
    return Quantity(amount, Dimension.LENGTH, "mm")


def question(part: Part, *, strict: bool) -> OpenQuestion:
    """A position that asks for what a part is, as far as that is recorded."""
    demands: dict[Place, tuple[Demand, ...]] = {}
    for at, kind in enumerate(KINDS):
        place = f"x{at}", None
        offers = part.at(place)
        if offers and (strict or at in _LOOSE):
            value = Value(("gas",)) if kind is K.RATED_FOR else _narrower(offers[0].value)
            demands[place] = (Demand(value, Basis.STATED, COMMON_PRACTICE),)
    record = FuelRecord((Fuel("natural_gas"),), RecordMode.ONLY_FUEL, date(2026, 1, 12))
    engine = Engine("E", (), (Position("plug", "plug", demands=demands),))
    return OpenQuestion(engine, "plug", Application("E", fuel_records=(record,), certified=False))


def _narrower(value: Value) -> Value:
    if not isinstance(value.payload, Interval) or value.payload.low is None or value.payload.high is None:
        return value
    low, high = value.payload.low.amount + 5, value.payload.high.amount - 5
    return Value(Interval(_mm(low), _mm(high)))


def loose_rulebook() -> Rulebook:
    """The same rules, asked only where a position states them."""
    book = rulebook()
    category = book.categories["plug"]
    rules = tuple(replace(rule, only_where_stated=True) for rule in category.rules)
    return replace(book, categories={"plug": replace(category, rules=rules)})
