"""P3, P4 and P6: the columnar engine over 40,000 parts, against reading the same arrays once and against SQL.

P3 asks one position of all parts: every column read once is the other side. Warm means that the demand sides have been
asked before; the question is made ready anew each time. Each part that a maker names at the position costs an answer of
the reference engine besides, so one row has two of them. P6 judges a million pairs of many positions with a code for
each thing weighed: gathering the variants of the same rows is the other side. All raise RuntimeError where the
reference engine gives another verdict on any part looked at.
"""

from __future__ import annotations

import csv
import random
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from io import StringIO
from time import perf_counter

import numpy as np

from catalog.domain.answers import COMMON_PRACTICE, Verdict
from catalog.domain.applicability import Applicability
from catalog.domain.checking import decide
from catalog.domain.columnar.columns import Columns
from catalog.domain.columnar.look_ups import LookUps
from catalog.domain.columnar.open_questions import OpenQuestion
from catalog.domain.columnar.packing import Rows, number_of
from catalog.domain.columnar.pairs import judge_pairs
from catalog.domain.columnar.searching import search
from catalog.domain.folding import VERDICTS
from catalog.domain.parts import FUELS, Part, Statement, StatementKind
from tests.benchmarks.columnar_parts import loose_rulebook, parts, question
from tests.benchmarks.measuring import Row, interleaved
from tests.benchmarks.slots import CATEGORIES, Slots

SEARCH_AIM, PAIRS_AIM = 10.0, 20.0
STRICT_SQL, LOOSE_SQL, FILE_AIM = 0.25, 0.125, 4.0
POSITIONS, PAIRS, QUESTIONS, LOOKED_AT = 8, 1_000_000, 200, 400
SHOWN = 50


@dataclass(frozen=True, slots=True)
class Catalogue:
    known: Mapping[int, Part]
    columns: Columns
    building: float

    @classmethod
    def of(cls, found: Sequence[tuple[int, Part]]) -> Catalogue:
        began = perf_counter()
        columns = Columns.of("plug", found, loose_rulebook())
        return cls(dict(found), columns, perf_counter() - began)

    def questions(self, count: int, *, strict: bool, named: int = 0) -> list[OpenQuestion]:
        """Positions that ask for parts of the right fuel; at each the engine's maker specifies so many other parts."""
        chance = random.Random(1)  # noqa: S311 - invented data, no secret
        gas = [part for part in self.known.values() if _for_gas(part)]
        asked = [question(chance.choice(gas), strict=strict) for _ in range(count)]
        return [_specifying(each, chance.sample(gas, named)) for each in asked]


def _for_gas(part: Part) -> bool:
    return any("natural_gas" in offer.value.codes for offer in part.at((FUELS, None)))


def _specifying(asked: OpenQuestion, named: Sequence[Part]) -> OpenQuestion:
    statements = tuple(
        Statement(StatementKind.SPECIFIED, part, asked.position, Applicability(), "VRD", COMMON_PRACTICE)
        for part in named
    )
    return replace(asked, engine=replace(asked.engine, statements=statements))


def measure() -> list[Row]:
    catalogue = Catalogue.of(parts())
    return [
        _search(catalogue, "strict", catalogue.questions(POSITIONS, strict=True)),
        _search(catalogue, "loose", catalogue.questions(POSITIONS, strict=False)),
        _search(catalogue, "strict, two named", catalogue.questions(POSITIONS, strict=True, named=2)),
        *_against_sql(catalogue),
        _pairs(catalogue),
        _file(catalogue),
    ]


def _search(catalogue: Catalogue, name: str, asked: Sequence[OpenQuestion]) -> Row:
    columns, look_ups = catalogue.columns, LookUps()
    hits = [_agreed(catalogue, each, look_ups) for each in asked]

    def warm() -> None:
        for each in asked:
            search(columns, each, look_ups).ranked()[:SHOWN]

    def cold() -> None:
        for each in asked:
            search(columns, each, LookUps())

    def read_once() -> None:
        for _ in asked:
            for column in set(columns.columns):
                column.codes.max()

    taken = _each(POSITIONS, {"warm": warm, "read once": read_once}, repeat=3)
    taken |= _each(POSITIONS, {"cold": cold}, repeat=1)
    ratio = taken["warm"] / taken["read once"]
    beside = {f"{name} us": time for name, time in taken.items()}
    beside |= {"bytes": sum(column.codes.nbytes for column in set(columns.columns)), "parts to use": sum(hits)}
    return Row(f"P3 search, {name}", ratio, "of reading once", f"<= {SEARCH_AIM:.0f}", ratio <= SEARCH_AIM,
               {**beside, "columns built in s": catalogue.building})  # fmt: skip


def _against_sql(catalogue: Catalogue) -> Iterator[Row]:
    """Both sides give the ids of what is not rejected with their verdicts; ours ranks the first fifty besides."""
    slots, look_ups = Slots(list(catalogue.known.items())), LookUps()
    for name, strict, aim in (("strict", True, STRICT_SQL), ("loose", False, LOOSE_SQL)):
        asked = catalogue.questions(POSITIONS, strict=strict)
        for each in asked:
            _same_as_sql(catalogue, each, look_ups, slots)

        def ours(asked: Sequence[OpenQuestion] = asked) -> None:
            for each in asked:
                search(catalogue.columns, each, look_ups).ranked()[:SHOWN]

        def theirs(asked: Sequence[OpenQuestion] = asked) -> None:
            for each in asked:
                slots.search(each)

        taken = _each(POSITIONS, {"ours": ours, "SQL": theirs}, repeat=3)
        ratio = taken["ours"] / taken["SQL"]
        beside = {f"{name} us": time for name, time in taken.items()} | {"rows": CATEGORIES * len(catalogue.columns)}
        yield Row(f"search beside SQL, {name}", ratio, "of typed slots", f"<= {aim}", ratio <= aim, beside)


def _same_as_sql(catalogue: Catalogue, asked: OpenQuestion, look_ups: LookUps, slots: Slots) -> None:
    found = search(catalogue.columns, asked, look_ups)
    rejected = number_of(Verdict.REJECTED)
    ours = {int(i): int(v) for i, v in zip(found.ids, found.verdicts, strict=True) if v != rejected}
    theirs = dict(slots.search(asked))
    if ours != theirs:
        raise RuntimeError(f"SQL and the columns differ on {len(set(ours.items()) ^ set(theirs.items()))} parts.")


def _each(count: int, sides: Mapping[str, Callable[[], object]], *, repeat: int) -> dict[str, float]:
    return {name: time / count for name, time in interleaved(sides, repeat=repeat).items()}


def _agreed(catalogue: Catalogue, asked: OpenQuestion, look_ups: LookUps) -> int:
    """How many parts are to be used; both engines are asked of these, of what cannot be told, and of some others."""
    columns, found = catalogue.columns, search(catalogue.columns, asked, look_ups)
    rejected = number_of(Verdict.REJECTED)
    some = [*np.flatnonzero(found.verdicts != rejected)[:LOOKED_AT], *range(0, len(columns), len(columns) // LOOKED_AT)]
    _same(catalogue, ((asked, int(row), int(found.verdicts[row])) for row in some))
    return len(found.ranked())


def _same(catalogue: Catalogue, pairs: Iterable[tuple[OpenQuestion, int, int]]) -> None:
    """Ask the reference engine of pairs of a question and a row with the verdict found."""
    for asked, row, verdict in pairs:
        part = catalogue.known[int(catalogue.columns.ids[row])]
        if number_of(decide(asked.about(part, catalogue.columns.rulebook)).verdict) != verdict:
            raise RuntimeError(f"The engines differ on part {part.shown}; there is nothing to compare.")


def _pairs(catalogue: Catalogue) -> Row:
    columns, questions, look_ups = catalogue.columns, catalogue.questions(QUESTIONS, strict=True, named=2), LookUps()
    chance = np.random.default_rng(1)
    asked: Rows = chance.integers(0, QUESTIONS, PAIRS)
    rows: Rows = chance.integers(0, len(columns), PAIRS)
    began = perf_counter()
    judged = judge_pairs(columns, questions, asked=asked, rows=rows, look_ups=look_ups)
    first = perf_counter() - began
    _same(catalogue, ((questions[asked[i]], int(rows[i]), int(judged.verdicts[i])) for i in range(LOOKED_AT)))

    def ours() -> None:
        judge_pairs(columns, questions, asked=asked, rows=rows, look_ups=look_ups)

    def touched() -> None:
        for column in set(columns.columns):
            column.codes[rows].max()

    taken = interleaved({"pairs": ours, "touch rows": touched}, repeat=1)
    ratio = taken["pairs"] / taken["touch rows"]
    beside = {f"{name} ms": time / 1e3 for name, time in taken.items()} | {"first time ms": first * 1e3}
    return Row("P6 a million pairs with codes", ratio, "of touching the rows", f"<= {PAIRS_AIM:.0f}",
               ratio <= PAIRS_AIM, {**beside, "pairs a second": PAIRS / taken["pairs"] * 1e6})  # fmt: skip


def _file(catalogue: Catalogue) -> Row:
    """A file of questions and part ids in, the same with verdicts out, against reading and writing it as it is."""
    columns, questions, look_ups = catalogue.columns, catalogue.questions(QUESTIONS, strict=True, named=2), LookUps()
    chance = np.random.default_rng(1)
    numbers = zip(
        chance.integers(0, QUESTIONS, PAIRS).tolist(), chance.choice(columns.ids, PAIRS).tolist(), strict=True
    )
    text = "\n".join(f"{question},{part}" for question, part in numbers)

    def copied() -> str:
        written = StringIO()
        csv.writer(written).writerows(csv.reader(StringIO(text)))
        return written.getvalue()

    def judged() -> str:
        read = [(int(question), int(part)) for question, part in csv.reader(StringIO(text))]
        pairs = np.array(read, dtype=np.int64)
        rows = columns.rows_of(pairs[:, 1])
        found = judge_pairs(columns, questions, asked=pairs[:, 0].astype(np.intp), rows=rows, look_ups=look_ups)
        words = [VERDICTS[number].value for number in found.verdicts.tolist()]
        written = StringIO()
        csv.writer(written).writerows(zip(pairs[:, 0].tolist(), pairs[:, 1].tolist(), words, strict=True))
        return written.getvalue()

    taken = interleaved({"judged": judged, "copied": copied}, repeat=1, rounds=5)
    ratio = taken["judged"] / taken["copied"]
    beside = {f"{name} ms": time / 1e3 for name, time in taken.items()} | {"lines": PAIRS}
    return Row("P6 a file in and out", ratio, "of copying it", f"<= {FILE_AIM:.0f}", ratio <= FILE_AIM, beside)
