"""Every comparison against every pair of states, open ends, bands and disagreeing sources; and the fold, complete.

The tables are the rules of the decision written out by hand; no source outside the project decides them.
"""

from __future__ import annotations

from itertools import product

import pytest

from catalog.domain.answers import COMMON_PRACTICE, Answer, Basis, Effect, Fact, Verdict
from catalog.domain.applicability import Application, located
from catalog.domain.case import Case
from catalog.domain.comparing import compare_one
from catalog.domain.findings import Finding
from catalog.domain.folding import decisive, fold, verdict_of
from catalog.domain.parts import Part, Position
from catalog.domain.quantities import Dimension, Interval, Quantity
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
from catalog.domain.values import KNOWN_NONE, NOT_APPLICABLE, Demand, Kind, Offer, Value
from catalog.domain.weighing_rules import weigh_rules

pytestmark = pytest.mark.domain
K = ComparisonKind
MET, MET_IF, NOT_MET, UNKNOWN = Answer.MET, Answer.MET_IF, Answer.NOT_MET, Answer.UNKNOWN


def mm(amount: int) -> Value:
    return Value(Quantity(amount, Dimension.LENGTH, "mm"))


def span(low: int | None, high: int | None) -> Value:
    def end(at: int | None) -> Quantity | None:
        return None if at is None else Quantity(at, Dimension.LENGTH, "mm")

    return Value(Interval(end(low), end(high)))


def codes(*found: str) -> Value:
    return Value(found)


TABLES = Tables(
    mates={"plugs": MateTable("plugs", ("member",), "", {})},
    orders={
        "grades": OrderTable(
            "grades", {"low": "s", "high": "s", "other": "c", "odd": "s"},
            {("high", "low"): MET, ("odd", "low"): UNKNOWN},
        )
    },
    ratings={
        "rubber": RatingTable(
            "rubber",
            {("NBR", "diesel"): "1", ("CR", "diesel"): "2", ("AU", "diesel"): "3", ("EPDM", "diesel"): "4"}, {}, {},
        )
    },
)  # fmt: skip
ORDERED = Comparison(K.CLASS_AT_LEAST, table="grades")
RATED = Comparison(K.RATED_FOR, table="rubber")
# A demand and an offer that meets it, for each comparison: the states are tried about these.
PAIRS = {
    K.EQUALS: (Comparison(K.EQUALS), codes("a"), codes("a")),
    K.ONE_OF: (Comparison(K.ONE_OF), codes("a", "b"), codes("a")),
    K.AT_LEAST: (Comparison(K.AT_LEAST), mm(5), mm(6)),
    K.AT_MOST: (Comparison(K.AT_MOST), mm(5), mm(4)),
    K.WITHIN: (Comparison(K.WITHIN), mm(5), mm(5)),
    K.COVERS: (Comparison(K.COVERS), span(2, 4), span(1, 5)),
    K.INSIDE: (Comparison(K.INSIDE), span(1, 5), span(2, 4)),
    K.INCLUDES: (Comparison(K.INCLUDES), codes("a"), codes("a", "b")),
    K.CLASS_AT_LEAST: (ORDERED, codes("low"), codes("high")),
    K.RATED_FOR: (RATED, codes("diesel"), codes("NBR")),
    K.DESIGNATION_MATCHES: (Comparison(K.DESIGNATION_MATCHES), codes("SAE J30 R9"), codes("sae-j30-r9")),
}
RATINGS = {K.AT_LEAST, K.AT_MOST, K.COVERS, K.INSIDE, K.INCLUDES, K.CLASS_AT_LEAST, K.RATED_FOR}
ABSENCES = {"known none": KNOWN_NONE, "not applicable": NOT_APPLICABLE}


def answer(comparison: Comparison, demand: Value, offer: Value | None) -> Answer:
    return compare_one(comparison, "member", demand, offer, TABLES).answer


@pytest.mark.parametrize("kind", PAIRS)
def test_a_value_that_meets_its_demand_is_met(kind: K) -> None:
    assert answer(*PAIRS[kind]) is MET


@pytest.mark.parametrize("kind", PAIRS)
def test_a_missing_value_is_unknown_and_named(kind: K) -> None:
    comparison, demand, _ = PAIRS[kind]
    weighed = compare_one(comparison, "member", demand, None, TABLES)
    assert (weighed.answer, weighed.lacks) == (UNKNOWN, ("member",))


@pytest.mark.parametrize("kind", PAIRS)
def test_a_missing_demand_is_unknown_and_asked_for(kind: K) -> None:
    comparison, _, offer = PAIRS[kind]
    weighed = compare_one(comparison, "member", None, offer, TABLES)
    assert (weighed.answer, weighed.asks) == (UNKNOWN, ("member",))


@pytest.mark.parametrize(("kind", "absence"), list(product(PAIRS, ABSENCES)))
def test_a_part_known_to_be_without_what_is_asked_does_not_meet_it(kind: K, absence: str) -> None:
    comparison, demand, _ = PAIRS[kind]
    nothing_to_stand = kind is K.RATED_FOR and absence == "not applicable"
    assert answer(comparison, demand, ABSENCES[absence]) is (MET if nothing_to_stand else NOT_MET)


@pytest.mark.parametrize(
    ("kind", "absence", "offered"), list(product(PAIRS, ABSENCES, ["value", "missing", *ABSENCES]))
)
def test_where_nothing_is_asked_a_rating_is_met_and_an_identity_asks_for_none(
    kind: K, absence: str, offered: str
) -> None:
    comparison, _, value = PAIRS[kind]
    offer = {"value": value, "missing": None, **ABSENCES}[offered]
    identity = {"value": NOT_MET, "missing": UNKNOWN}.get(offered, MET)
    expected = MET if kind in RATINGS else identity
    assert answer(comparison, ABSENCES[absence], offer) is expected


BANDED = Tolerance(minus=2, plus=2)
NUMBERS = [
    # comparison, demand, offer, no band, band of 2 met_if
    (K.AT_LEAST, mm(5), mm(5), MET, MET),
    (K.AT_LEAST, mm(5), mm(4), NOT_MET, MET_IF),
    (K.AT_LEAST, mm(5), mm(3), NOT_MET, MET_IF),
    (K.AT_LEAST, mm(5), mm(2), NOT_MET, NOT_MET),
    (K.AT_LEAST, mm(5), span(5, 9), MET, MET),
    (K.AT_LEAST, mm(5), span(4, 9), UNKNOWN, MET_IF),
    (K.AT_LEAST, mm(5), span(1, 9), UNKNOWN, UNKNOWN),
    (K.AT_LEAST, mm(5), span(None, 9), UNKNOWN, UNKNOWN),
    (K.AT_LEAST, mm(5), span(6, None), MET, MET),
    (K.AT_LEAST, mm(5), span(None, 2), NOT_MET, NOT_MET),
    (K.AT_LEAST, span(3, 5), mm(4), NOT_MET, MET_IF),
    (K.AT_LEAST, span(None, None), mm(1), MET, MET),
    (K.AT_MOST, mm(5), mm(5), MET, MET),
    (K.AT_MOST, mm(5), mm(6), NOT_MET, MET_IF),
    (K.AT_MOST, mm(5), mm(7), NOT_MET, MET_IF),
    (K.AT_MOST, mm(5), mm(8), NOT_MET, NOT_MET),
    (K.AT_MOST, mm(5), span(1, 5), MET, MET),
    (K.AT_MOST, mm(5), span(1, 6), UNKNOWN, MET_IF),
    (K.AT_MOST, mm(5), span(1, None), UNKNOWN, UNKNOWN),
    (K.AT_MOST, mm(5), span(8, None), NOT_MET, NOT_MET),
    (K.AT_MOST, span(5, 9), mm(6), NOT_MET, MET_IF),
    (K.WITHIN, mm(5), mm(5), MET, MET),
    (K.WITHIN, mm(5), mm(6), NOT_MET, MET_IF),
    (K.WITHIN, mm(5), mm(3), NOT_MET, MET_IF),
    (K.WITHIN, mm(5), mm(8), NOT_MET, NOT_MET),
    (K.WITHIN, mm(5), span(4, 6), UNKNOWN, MET_IF),
    (K.WITHIN, mm(5), span(None, 5), UNKNOWN, UNKNOWN),
    (K.WITHIN, span(2, 6), mm(4), MET, MET),
    (K.WITHIN, span(2, None), mm(9), MET, MET),
    (K.WITHIN, span(None, None), mm(9), MET, MET),
    (K.COVERS, span(2, 6), span(2, 6), MET, MET),
    (K.COVERS, span(2, 6), span(3, 6), NOT_MET, MET_IF),
    (K.COVERS, span(2, 6), span(2, 5), NOT_MET, MET_IF),
    (K.COVERS, span(2, 6), span(5, 6), NOT_MET, NOT_MET),
    (K.COVERS, span(2, 6), span(None, 6), UNKNOWN, UNKNOWN),
    (K.COVERS, span(2, 6), span(2, None), UNKNOWN, UNKNOWN),
    (K.COVERS, span(2, 6), span(None, 1), NOT_MET, NOT_MET),
    (K.COVERS, span(2, None), span(1, None), MET, MET),
    (K.COVERS, span(None, 6), span(None, 7), MET, MET),
    (K.COVERS, span(None, None), span(None, None), MET, MET),
    (K.INSIDE, span(2, 6), span(2, 6), MET, MET),
    (K.INSIDE, span(2, 6), span(1, 6), NOT_MET, MET_IF),
    (K.INSIDE, span(2, 6), span(2, 8), NOT_MET, MET_IF),
    (K.INSIDE, span(3, 6), span(0, 6), NOT_MET, NOT_MET),
    (K.INSIDE, span(2, 6), span(3, None), UNKNOWN, UNKNOWN),
    (K.INSIDE, span(2, None), span(3, None), MET, MET),
    (K.INSIDE, span(2, 6), mm(4), MET, MET),
]


@pytest.mark.parametrize(("kind", "demand", "offer", "plain", "banded"), NUMBERS)
def test_numbers_with_open_ends_and_bands(kind: K, demand: Value, offer: Value, plain: Answer, banded: Answer) -> None:
    assert answer(Comparison(kind), demand, offer) is plain
    weighed = compare_one(Comparison(kind, outer=(BANDED,), condition="looked at"), "member", demand, offer, TABLES)
    assert weighed.answer is banded
    assert (weighed.condition == "looked at") == (banded is MET_IF)


CODES = [
    (Comparison(K.EQUALS), codes("a", "b"), codes("b", "a"), MET),
    (Comparison(K.EQUALS), codes("a"), codes("a", "b"), NOT_MET),
    (Comparison(K.EQUALS), Value(True), Value(False), NOT_MET),
    (Comparison(K.EQUALS), mm(5), span(5, 5), MET),
    (Comparison(K.AT_LEAST), Value(True), Value(False), NOT_MET),
    (Comparison(K.AT_LEAST), Value(False), Value(True), MET),
    (Comparison(K.AT_LEAST), Value(False), Value(False), MET),
    (Comparison(K.ONE_OF), codes("a", "b"), codes("c"), NOT_MET),
    (Comparison(K.ONE_OF), codes("a", "b"), codes("a", "c"), NOT_MET),
    (Comparison(K.INCLUDES), codes("a", "b"), codes("a"), NOT_MET),
    (Comparison(K.DESIGNATION_MATCHES), codes("R9"), codes("R6", "r 9"), MET),
    (Comparison(K.DESIGNATION_MATCHES), codes("R9"), codes("R90"), NOT_MET),
    (ORDERED, codes("low"), codes("low"), MET),
    (ORDERED, codes("high"), codes("low"), NOT_MET),
    (ORDERED, codes("low"), codes("odd"), UNKNOWN),
    (ORDERED, codes("low"), codes("other"), UNKNOWN),
    (ORDERED, codes("low"), codes("other", "high"), MET),
    (ORDERED, codes("low", "other"), codes("high"), UNKNOWN),
    (ORDERED, codes("low"), codes("never heard of"), UNKNOWN),
    (RATED, codes("diesel"), codes("CR"), MET_IF),
    (RATED, codes("diesel"), codes("AU"), NOT_MET),
    (RATED, codes("diesel"), codes("EPDM"), NOT_MET),
    (RATED, codes("diesel"), codes("VMQ"), UNKNOWN),
    (RATED, codes("diesel"), codes("NBR", "EPDM"), NOT_MET),
    (RATED, codes("diesel", "glycol"), codes("NBR"), UNKNOWN),
]


@pytest.mark.parametrize(("comparison", "demand", "offer", "expected"), CODES)
def test_codes_flags_and_classes(comparison: Comparison, demand: Value, offer: Value, expected: Answer) -> None:
    assert answer(comparison, demand, offer) is expected


# Two sources of one attribute: the worse where both give one answer, else unknown.
SOURCES = [
    ((6,), MET), ((4,), NOT_MET), ((6, 7), MET), ((4, 3), NOT_MET), ((6, 4), UNKNOWN), ((), UNKNOWN),
]  # fmt: skip


@pytest.mark.parametrize(("values", "expected"), SOURCES)
def test_disagreeing_sources_are_unknown_and_both_are_shown(values: tuple[int, ...], expected: Answer) -> None:
    offers = tuple(Offer(mm(value), COMMON_PRACTICE) for value in values)
    finding = weigh_rules(_case(Part("VRD", "1", "thing", {("size", None): offers} if offers else {})))[0]
    assert finding.outcome is expected
    if values == (6, 4):
        assert "disagree" in finding.text


def _case(part: Part) -> Case:
    rule = Rule("size", "size", ("size",), Comparison(K.AT_LEAST), Effect.REJECT, Effect.UNDETERMINED, COMMON_PRACTICE)
    category = Category("thing", "thing", "thing", FuelRole.NONE, ("size",), (rule,))
    definition = AttributeDefinition("size", "size", Kind.QUANTITY, Dimension.LENGTH)
    demands: dict[tuple[str, str | None], tuple[Demand, ...]] = {
        ("size", None): (Demand(mm(5), Basis.STATED, COMMON_PRACTICE),)
    }
    rulebook = Rulebook(1, {"size": definition}, {"thing": category})
    return Case(rulebook, located(Application(), {}), Position("place", "thing", demands=demands), part)


EFFECTS = [Effect.NOT_ASKED, Effect.NONE, Effect.NOTE, Effect.CONDITION, Effect.UNDETERMINED, Effect.REJECT]
BRINGS = {Effect.CONDITION: Verdict.CONDITIONAL, Effect.UNDETERMINED: Verdict.UNDETERMINED,
          Effect.REJECT: Verdict.REJECTED}  # fmt: skip
STRENGTH = [Verdict.ACCEPTED, Verdict.CONDITIONAL, Verdict.UNDETERMINED, Verdict.REJECTED]


def _finding(effect: Effect, *facts: Fact, worst: Effect = Effect.REJECT, name: str = "x") -> Finding:
    outcome = UNKNOWN if facts else NOT_MET
    return Finding(name, outcome, effect, name, COMMON_PRACTICE, missing=facts, worst=worst)


@pytest.mark.parametrize("effects", list(product(EFFECTS, repeat=3)))
def test_the_fold_is_the_strongest_effect(effects: tuple[Effect, ...]) -> None:
    expected = max((BRINGS.get(effect, Verdict.ACCEPTED) for effect in effects), key=STRENGTH.index)
    assert verdict_of(_finding(effect) for effect in effects) is expected
    assert fold((_finding(effect) for effect in effects), accepted_words="yes").verdict is expected


def test_nothing_folded_is_accepted_only_by_the_fold_never_by_a_check() -> None:
    """The fold of nothing is its neutral element; a check of nothing adds the finding that nothing was compared."""
    assert verdict_of(()) is Verdict.ACCEPTED


SERIAL, GAP = Fact("serial", "Which serial?"), Fact("gap", "Which gap?")
DECISIVE = [
    # fixed effect, then (effect now, worst it can become) of the serial and of the gap -> facts, most decisive first
    (Effect.NONE, (Effect.UNDETERMINED, Effect.REJECT), (Effect.CONDITION, Effect.CONDITION), (SERIAL, GAP)),
    (Effect.REJECT, (Effect.UNDETERMINED, Effect.REJECT), (Effect.CONDITION, Effect.CONDITION), ()),
    (Effect.UNDETERMINED, (Effect.UNDETERMINED, Effect.REJECT), (Effect.CONDITION, Effect.CONDITION), (SERIAL,)),
    (Effect.CONDITION, (Effect.UNDETERMINED, Effect.REJECT), (Effect.CONDITION, Effect.CONDITION), (SERIAL,)),
    (Effect.NONE, (Effect.NOTE, Effect.NOTE), (Effect.CONDITION, Effect.CONDITION), (GAP,)),
    (Effect.CONDITION, (Effect.NOTE, Effect.NOTE), (Effect.CONDITION, Effect.CONDITION), ()),
]


@pytest.mark.parametrize(("fixed", "serial", "gap", "expected"), DECISIVE)
def test_only_facts_that_can_change_the_verdict_are_asked(
    fixed: Effect, serial: tuple[Effect, Effect], gap: tuple[Effect, Effect], expected: tuple[Fact, ...]
) -> None:
    findings = [
        _finding(fixed, name="fixed"),
        _finding(serial[0], SERIAL, worst=serial[1], name="serial"),
        _finding(gap[0], GAP, worst=gap[1], name="gap"),
    ]
    assert decisive(findings) == expected
    assert decisive(reversed(findings)) == expected


SUCTION_AND_PRESSURE = Comparison(
    K.WITHIN,
    inner=(Tolerance(minus=1, plus=1), Tolerance(minus=3, plus=3, starts_at=1), Tolerance(minus_ppm=50_000,
           plus_ppm=50_000, starts_at=1000)),
)  # fmt: skip


@pytest.mark.parametrize(
    ("asked", "met", "refused"), [(-400, -399, -398), (0, 1, 2), (100, 103, 104), (2000, 1900, 1899)]
)
def test_a_band_follows_the_sign_and_the_size_of_what_is_asked(asked: int, met: int, refused: int) -> None:
    """A suction is held to the band at zero, a small pressure to a steady one, a larger pressure to a share of it."""
    assert answer(SUCTION_AND_PRESSURE, mm(asked), mm(met)) is MET
    assert answer(SUCTION_AND_PRESSURE, mm(asked), mm(refused)) is NOT_MET
