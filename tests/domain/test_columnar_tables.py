"""The columnar engine over every comparison and every state of both sides; and what its short cut for numbers rests on.

The tables are complete over the states and values named; the reference engine is the other side, and its own truth
tables say what it answers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Answer, Aspect, Basis, Effect, TakenOver
from catalog.domain.applicability import Applicability
from catalog.domain.columnar.columns import Columns
from catalog.domain.columnar.look_ups import LookUps
from catalog.domain.columnar.open_questions import OpenQuestion
from catalog.domain.columnar.packing import UNREAD, effect_of, outcome_of, packed
from catalog.domain.columnar.variants import Excerpt
from catalog.domain.comparing import compare_one
from catalog.domain.comparing_numbers import turning_points
from catalog.domain.findings import Finding
from catalog.domain.parts import (
    MATERIAL,
    SEAL_TEMPERATURE,
    Medium,
    Part,
    Position,
    Statement,
    StatementKind,
    SuppliedAs,
)
from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.questions import Engine
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
from catalog.domain.seal_size import CROSS_SECTION, INNER_DIAMETER, RING_SIZE
from catalog.domain.values import KNOWN_NONE, NOT_APPLICABLE, Demand, How, Kind, Offer, Place, Value
from tests.demo_world import rulebook as reference
from tests.domain.columnar_worlds import differences

pytestmark = pytest.mark.domain
K = ComparisonKind
STATES: tuple[Value | None, ...] = (None, KNOWN_NONE, NOT_APPLICABLE)  # None: missing, or nothing asked


def mm(amount: int) -> Value:
    return Value(Quantity(amount, Dimension.LENGTH, "mm"))


def span(low: int | None, high: int | None) -> Value:
    ends = (None if end is None else Quantity(end, Dimension.LENGTH, "mm") for end in (low, high))
    return Value(Interval(*ends))


def codes(*found: str) -> Value:
    return Value(found)


# Ranges that share one end, so that each end shows by itself.
_ENDS_OF_NUMBERS = ((5, 6), (5, 9), (1, 9), (1, 4), (None, 5), (None, 9), (5, None), (2, None), (None, None))
NUMBERS = (*map(mm, (2, 3, 4, 5, 6, 7, 8)), *(span(low, high) for low, high in _ENDS_OF_NUMBERS))
NEEDS = (mm(5), span(3, 5), span(5, None), span(None, None))
LETTERS = (codes("a"), codes("b"), codes("a", "b"), codes("c"), codes("b", "a"))
FLAGS = (Value(True), Value(False))
BAND = (Tolerance(minus=2, plus=2),)
TABLES = Tables(
    mates={"plugs": MateTable("plugs", ("x",), "y", {("a", "b"): (Answer.MET, ""), ("a", "c"): (Answer.MET_IF, "if")})},
    orders={"grades": OrderTable("grades", {"a": "s", "b": "s", "c": "t"}, {("b", "a"): Answer.MET})},
    ratings={
        "rubber": RatingTable(
            "rubber", {("a", "diesel"): "1", ("b", "diesel"): "2", ("c", "diesel"): "4"},
            {"a": Interval(Quantity(1, Dimension.TEMPERATURE), Quantity(8, Dimension.TEMPERATURE))}, {},
        )
    },
    reference=reference().tables.reference,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Subject:
    """A comparison with the values that either side of each member is tried with, beside the states without a value."""

    comparison: Comparison
    asked: Mapping[str, Sequence[Value]]
    given: Mapping[str, Sequence[Value]]


def of_one(comparison: Comparison, asked: Sequence[Value], given: Sequence[Value]) -> Subject:
    return Subject(comparison, {"x": asked}, {"x": given})


def _heat(low: int, high: int) -> Value:
    return Value(Interval(Quantity(low, Dimension.TEMPERATURE), Quantity(high, Dimension.TEMPERATURE)))


_RINGS = tuple(codes(size) for size in ("2-214", "2-113"))
SUBJECTS = {
    **{kind.value: of_one(Comparison(kind), LETTERS, LETTERS) for kind in (K.EQUALS, K.ONE_OF, K.INCLUDES)},
    "designation": of_one(Comparison(K.DESIGNATION_MATCHES), (codes("SAE J30 R9"),), (codes("sae-j30-r9"), codes("R"))),
    "class": of_one(Comparison(K.CLASS_AT_LEAST, table="grades"), LETTERS, LETTERS),
    "one of, or serving": of_one(Comparison(K.ONE_OF, table="grades"), LETTERS, LETTERS),
    "flag": of_one(Comparison(K.AT_LEAST), FLAGS, FLAGS),
    "equal flags": of_one(Comparison(K.EQUALS), FLAGS, FLAGS),
    "equal numbers": of_one(Comparison(K.EQUALS), NEEDS, NUMBERS),
    **{
        f"{kind.value}{' in bands' if outer else ''}": of_one(
            Comparison(kind, inner, outer, "looked at"), NEEDS, NUMBERS
        )
        for kind in (K.AT_LEAST, K.AT_MOST, K.WITHIN, K.COVERS, K.INSIDE)
        for inner, outer in (((), ()), ((Tolerance(minus=1, plus=1),), BAND))
    },
    "settable": Subject(
        Comparison(K.WITHIN, outer=BAND, condition="set"), {"x": NEEDS[:2]}, {"x": NUMBERS, "y": (*FLAGS, span(4, 9))}
    ),
    "flow": Subject(
        Comparison(K.WITHIN, BAND, liquids=("a",)),
        {"x": NEEDS[:1], "y": (mm(4),), "z": LETTERS[:1]},
        {"x": (mm(4), mm(8), span(1, 9)), "y": (mm(4), mm(9)), "z": LETTERS[:2]},
    ),
    "on one basis": Subject(
        Comparison(K.AT_MOST, same=("y",), table="grades", where_stated=("z",)),
        {"x": NEEDS[:1], "y": LETTERS[:1], "z": LETTERS[:1]},
        {"x": (mm(4), mm(5), mm(6)), "y": LETTERS[:4], "z": LETTERS[:2]},
    ),
    "beside its own": Subject(
        Comparison(K.EQUALS, not_below="y"), {"x": NEEDS[:1], "y": (mm(4), mm(6))}, {"x": NUMBERS}
    ),
    "mates": Subject(
        Comparison(K.MATES_WITH, table="plugs"), {"x": LETTERS[:2], "y": LETTERS[:1]}, {"x": LETTERS[:2], "y": LETTERS}
    ),
    "rated for": Subject(
        Comparison(K.RATED_FOR, table="rubber"), {MATERIAL: (codes("diesel"), codes("diesel", "glycol"))},
        {MATERIAL: LETTERS, SEAL_TEMPERATURE: (_heat(2, 6), _heat(0, 9))},
    ),
    "size seals": Subject(
        Comparison(K.SIZE_SEALS),
        {RING_SIZE: _RINGS, INNER_DIAMETER: (span(24_000, 25_500),), CROSS_SECTION: (span(3_400, 3_700),)},
        {RING_SIZE: _RINGS, INNER_DIAMETER: (span(24_900, 25_100),), CROSS_SECTION: (span(3_400, 3_700), mm(9_000))},
    ),
}  # fmt: skip
PLAIN = tuple(name for name, subject in SUBJECTS.items() if len(subject.asked) == 1)
EFFECTS = ((Effect.REJECT, Effect.UNDETERMINED), (Effect.CONDITION, Effect.CONDITION), (Effect.NOTE, Effect.NOTE))
MEDIA = (Medium("diesel", Interval(Quantity(3, Dimension.TEMPERATURE), Quantity(7, Dimension.TEMPERATURE)), False),)


def rulebook_of(subject: Subject, effects: tuple[Effect, Effect], **more: object) -> Rulebook:
    members = tuple(dict.fromkeys((*subject.asked, *(m for m in subject.given if m != SEAL_TEMPERATURE))))
    rule = Rule("rule", "rule", members, subject.comparison, *effects, COMMON_PRACTICE, **more)  # type: ignore[arg-type]
    definitions = {
        member: AttributeDefinition(member, member, Kind.QUANTITY, Dimension.LENGTH, geometry=True, of_piece=True)
        for member in members
    }
    category = Category("thing", "thing", "thing", FuelRole.NONE, members, (rule,))
    return Rulebook(1, definitions, {"thing": category}, tables=TABLES)


def every_part(subject: Subject) -> dict[int, Part]:
    """Each combination of states and values of the members, from one source; some from two, told, or cut to length."""
    choices = [[*STATES, *values] for values in subject.given.values()]
    sides = [dict(zip(subject.given, chosen, strict=True)) for chosen in product(*choices)]
    recorded = [{member: value for member, value in side.items() if value is not None} for side in sides]
    lead = next(iter(subject.given))
    few = subject.given[lead][::4]
    places: list[dict[str, tuple[Value, ...]]] = [
        *(_each_alone(found) for found in recorded),
        *({lead: two} for two in product(few, repeat=2)),
    ]
    offers: list[dict[Place, tuple[Offer, ...]]] = [
        {(m, None): tuple(Offer(v, COMMON_PRACTICE) for v in values) for m, values in p.items()} for p in places
    ]
    offers += [{(lead, None): (Offer(value, COMMON_PRACTICE, how=How.TOLD),)} for value in few]
    goods = [*((found, None) for found in offers), *((found, SuppliedAs.CUT_LENGTH) for found in offers[:6])]
    return {
        at: Part("VRD", str(at), "thing", found, supplied_as=supplied)
        for at, (found, supplied) in enumerate(goods, start=1)
    }


def _each_alone(found: Mapping[str, Value]) -> dict[str, tuple[Value, ...]]:
    return {member: (value,) for member, value in found.items()}


def every_question(subject: Subject) -> list[OpenQuestion]:
    """Each combination of states and values of the members, stated; with media where a material is asked for."""
    choices = [[*STATES, *values] for values in subject.asked.values()]
    media: tuple[tuple[Medium, ...], ...] = ((), MEDIA) if subject.comparison.kind is K.RATED_FOR else ((),)
    sides = [dict(zip(subject.asked, chosen, strict=True)) for chosen in product(*choices)]
    return [_asked(side, around) for side in sides for around in media]


def _asked(side: Mapping[str, Value | None], media: tuple[Medium, ...]) -> OpenQuestion:
    stated = {(member, None): value for member, value in side.items() if value is not None}
    demands: dict[Place, tuple[Demand, ...]] = {
        place: (Demand(value, Basis.STATED, COMMON_PRACTICE),) for place, value in stated.items()
    }
    return OpenQuestion(Engine("E", (), (Position("place", "thing", demands=demands, media=media),)), "place")


def test_every_comparison_has_its_table() -> None:
    assert {subject.comparison.kind for subject in SUBJECTS.values()} == set(ComparisonKind)


EVERY = [(name, effects) for name in SUBJECTS for effects in (EFFECTS if name in PLAIN else EFFECTS[:1])]


@pytest.mark.parametrize(("name", "effects"), EVERY)
def test_every_state_and_value_of_both_sides(name: str, effects: tuple[Effect, Effect]) -> None:
    subject = SUBJECTS[name]
    known, book = every_part(subject), rulebook_of(subject, effects, aspect=Aspect.PRESSURE, condition="checked")
    columns = Columns.of("thing", known.items(), book)
    assert differences(columns, known, every_question(subject), LookUps(few=0)) == []


@pytest.mark.parametrize("taken_over", TakenOver)
@pytest.mark.parametrize("name", PLAIN)
def test_what_is_taken_over_from_parts_specified_here(name: str, taken_over: TakenOver) -> None:
    """From one part, from two that disagree, and from one that may be specified here: by how many are asked of."""
    subject = SUBJECTS[name]
    member, values = next(iter(subject.asked.items()))
    known = every_part(subject)
    book = rulebook_of(subject, (Effect.REJECT, Effect.UNDETERMINED), taken_over=taken_over)
    lenders = [
        Part("OLM", str(at), "thing", {(member, None): (Offer(value, COMMON_PRACTICE),)})
        for at, value in enumerate(values)
    ]
    sure, perhaps = Applicability(), Applicability(places=("indoors",))
    asked = [
        _lending(tuple(_specified(part, when) for part, when in zip(chosen, holds, strict=True)), replaced)
        for chosen in product(lenders[:2], repeat=2)
        for holds in ((sure, sure), (sure, perhaps), (perhaps, perhaps))
        for replaced in (None, lenders[0])
    ]
    columns = Columns.of("thing", known.items(), book)
    assert differences(columns, known, asked, LookUps(few=0)) == []


def _specified(part: Part, holds: Applicability) -> Statement:
    return Statement(StatementKind.SPECIFIED, part, "place", holds, "OLM", COMMON_PRACTICE)


def _lending(statements: tuple[Statement, ...], replaced: Part | None) -> OpenQuestion:
    return OpenQuestion(Engine("E", (), (Position("place", "thing"),), statements), "place", replaces=replaced)


REGIONS = (
    (),
    BAND,
    (Tolerance(minus=1, plus=3),),
    (
        Tolerance(1, 1),
        Tolerance(minus=3, plus=2, starts_at=6),
        Tolerance(minus_ppm=250_000, plus_ppm=500_000, starts_at=8),
    ),
)
_ENDS = (None, *range(-3, 14, 4), 7)
ASKED = [
    *map(mm, range(-3, 14, 4)),
    *(span(low, high) for low, high in product(_ENDS, repeat=2) if low is None or high is None or low <= high),
]


@pytest.mark.parametrize("kind", [K.EQUALS, K.AT_LEAST, K.AT_MOST, K.WITHIN, K.COVERS, K.INSIDE])
@pytest.mark.parametrize("outer", REGIONS)
@pytest.mark.parametrize("inner", REGIONS[::2])
def test_between_turning_points_every_amount_is_answered_alike(
    kind: K, inner: tuple[Tolerance, ...], outer: tuple[Tolerance, ...]
) -> None:
    """Complete over small numbers: the answer to a step hangs only on which turning points lie below or at it."""
    comparison = Comparison(kind, inner, outer, "looked at")
    for demand in ASKED:
        turns = turning_points(comparison, demand)
        answers: dict[tuple[object, ...], Answer] = {}
        for low, high in product((None, *range(-15, 30, 5), *turns), repeat=2):
            if low is None or high is None or low <= high:
                pieces = (_piece(turns, low), _piece(turns, high))
                answer = compare_one(comparison, "x", demand, span(low, high), TABLES).answer
                assert answers.setdefault(pieces, answer) is answer, (demand.shown(), low, high)


def _piece(turns: Sequence[int], end: int | None) -> object:
    return None if end is None else (sum(turn < end for turn in turns), end in turns)


def test_a_code_says_what_was_found() -> None:
    def finding(outcome: Answer, effect: Effect, *, critical: bool = False) -> Finding:
        return Finding("x", outcome, effect, "X.", COMMON_PRACTICE, critical=critical)

    for outcome, effect, critical in product(Answer, Effect, (True, False)):
        code = packed((finding(outcome, effect, critical=critical),))
        assert (outcome_of(code), effect_of(code)) == (outcome, effect)
        assert code != UNREAD
    worse = packed((finding(Answer.MET, Effect.NONE), finding(Answer.NOT_MET, Effect.REJECT)))
    assert (outcome_of(worse), effect_of(worse)) == (Answer.NOT_MET, Effect.REJECT)
    assert (outcome_of(packed(())), effect_of(packed(()))) == (None, None)


def test_reading_a_place_that_is_not_listed_is_an_error_and_no_empty_place() -> None:
    part = Part("VRD", "1", "thing", Excerpt({("x", None): ()}))
    assert part.at(("x", None)) == ()
    with pytest.raises(LookupError, match="not among the places listed"):
        part.at(("y", None))
