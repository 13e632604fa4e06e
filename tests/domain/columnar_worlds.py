"""Small categories of arbitrary parts and the questions asked of them all; and both engines held side by side."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from catalog.domain.answers import COMMON_PRACTICE, Basis, Effect
from catalog.domain.applicability import Application
from catalog.domain.checking import decide
from catalog.domain.columnar.columns import Columns
from catalog.domain.columnar.look_ups import LookUps
from catalog.domain.columnar.open_questions import Need, OpenQuestion
from catalog.domain.columnar.packing import SILENT, effect_of, number_of, packed
from catalog.domain.columnar.pairs import judge_pairs
from catalog.domain.columnar.searching import search
from catalog.domain.findings import Lead
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.parts import FUELS, SERVICE, MatchedSet, Part, PortClasses, Position, Statement, StatementKind
from catalog.domain.questions import Decision, Engine
from catalog.domain.rules import FuelRole, MayServe, Rulebook
from catalog.domain.values import Demand
from catalog.domain.weighings import CIRCUMSTANCES, GATE, Weighing
from tests.domain.worlds import (
    FUEL_SETS,
    Choices,
    applicabilities,
    applications,
    categories,
    parts,
    positions,
    rulebook_of,
)

RUN = 2_000


@dataclass(frozen=True, slots=True)
class Crowd:
    """A category's parts by id, and questions about positions that ask for it."""

    rulebook: Rulebook
    parts: Mapping[int, Part]
    questions: tuple[OpenQuestion, ...]


def crowd(seed: int, *, of_parts: int, of_questions: int, role: FuelRole | None = None) -> Crowd:
    """Arbitrary, the same for the same seed; a fifth of what is recorded of a part is taken away again."""
    chance = random.Random(seed)  # noqa: S311 - invented data, no secret
    category = categories(_choices(chance), role)
    attributes = tuple(dict.fromkeys(member for rule in category.rules for member in rule.attributes))
    found = {number: some_part(chance, attributes, number) for number in range(1, of_parts + 1)}
    book = replace(rulebook_of(category), may_serve=_may_serve(chance))
    asked = [_question(chance, attributes, tuple(found.values())) for _ in range(of_questions - of_questions // 2)]
    return Crowd(book, found, (*asked, *neighbours(chance, asked, of_questions - len(asked))))


def neighbours(chance: random.Random, asked: Sequence[OpenQuestion], count: int) -> list[OpenQuestion]:
    """Questions that differ from one of these in one thing only: what is kept of that one might be taken for theirs."""
    found = []
    for _ in range(count):
        one, other = chance.choices(asked, k=2)
        ours, theirs = (next(p for p in q.engine.positions if p.code == q.position) for q in (one, other))
        position = chance.choice(
            (
                ours,
                replace(ours, ports=theirs.ports),
                replace(ours, ports=tuple(replace(port, classes=()) for port in ours.ports)),
                replace(ours, branch=theirs.branch),
                replace(ours, carries_fuel=not ours.carries_fuel),
                replace(ours, media=theirs.media),
            )
        )
        engine = replace(one.engine, positions=(position,))
        application = chance.choice((one.application, other.application)) if position is ours else one.application
        found.append(replace(one, engine=engine, application=application))
    return found


def some_part(chance: random.Random, attributes: tuple[str, ...], number: int) -> Part:
    part = parts(_choices(chance), attributes, str(number))
    kept = {place: offers for place, offers in part.offers.items() if chance.random() >= 0.2}
    own = (part.key, chance.choice((1, 2)))
    pieces = chance.choice(((own,), (own, (("VRD", "other"), 1)), ()))
    return replace(part, offers=kept, member_of=MatchedSet("set", pieces) if chance.random() < 0.1 else None)


def _choices(chance: random.Random) -> Choices:
    return Choices(chance.randbytes(RUN))


def _may_serve(chance: random.Random) -> tuple[MayServe, ...]:
    condition = chance.choice((None, "", "looked at"))
    return () if condition is None else (MayServe("other", "thing", condition, COMMON_PRACTICE),)


def _question(chance: random.Random, attributes: tuple[str, ...], known: Sequence[Part]) -> OpenQuestion:
    drawn = _choices(chance)
    statements = tuple(
        Statement(
            drawn.pick(list(StatementKind)), drawn.pick(known), drawn.pick(["place", "place", "elsewhere"]),
            applicabilities(drawn), "VRD", COMMON_PRACTICE,
        )
        for _ in range(drawn.pick(range(4)))
    )  # fmt: skip
    position, application = positions(drawn, attributes), applications(drawn)
    if drawn.pick((True, False)):
        position, application = _asking_for(drawn.pick(known), position, application)
    engine = Engine("E", drawn.pick(FUEL_SETS), (position,), statements)
    replaced = drawn.pick([None, drawn.pick(known)])
    return OpenQuestion(engine, "place", application, replaced, drawn.pick([None, 1, 4]))


def _asking_for(part: Part, position: Position, application: Application) -> tuple[Position, Application]:
    """A place where this very part would do, so that not everything is rejected or cannot be told."""
    demands = {
        place: (Demand(offers[0].value, Basis.STATED, COMMON_PRACTICE),)
        for place, offers in part.offers.items()
        if place not in ((FUELS, None), (SERVICE, "inlet"))
    }
    services = [code for offer in part.at((SERVICE, "inlet")) for code in offer.value.codes]
    fuels = tuple(Fuel.parse(code) for offer in part.at((FUELS, None)) for code in offer.value.codes)
    record = FuelRecord(fuels or (Fuel("gasoline", "E10"),), RecordMode.ONLY_FUEL, date(2026, 1, 12), True)
    ports = (PortClasses("inlet", tuple(services)),) if position.ports and services else ()
    told = replace(application, plate_fuels=(), fuel_records=(record,), certified=False)
    return replace(position, demands=demands, branch=None, ports=ports), told


def differences(
    columns: Columns, parts: Mapping[int, Part], questions: Sequence[OpenQuestion], look_ups: LookUps
) -> list[str]:
    """Where the engines differ on any part and question: in the verdict searched or judged, or in a finding's code."""
    decided = [[decide(asked.about(parts[int(at)], columns.rulebook)) for at in columns.ids] for asked in questions]
    every_row = np.arange(len(columns), dtype=np.intp)
    asked_of = np.repeat(np.arange(len(questions), dtype=np.intp), len(columns))
    # With the rows in turn first, so that some tables are whole when they are searched and some are not.
    searched = [search(columns, asked, look_ups).verdicts for asked in questions]
    judged = judge_pairs(
        columns, questions, asked=asked_of, rows=np.tile(every_row, len(questions)), look_ups=look_ups
    )  # fmt: skip
    # What a kit holds is among the findings of a decision and not in the codes of the kit itself.
    kits = [Need.of(asked, columns.rulebook).kit for asked in questions]
    found = []
    for pair, decision in enumerate(decision for row in decided for decision in row):
        at, row = divmod(pair, len(columns))
        told = number_of(decision.verdict), int(searched[at][row]), int(judged.verdicts[pair])
        if len(set(told)) > 1:
            found.append(f"question {at}, part {columns.ids[row]}: decided, searched, judged {told}")
        if kits[at]:
            continue
        expected = _said(decision, columns.weighings)
        said = zip(columns.weighings, judged.codes[:, pair].tolist(), strict=True)
        codes = [code if weighing.rule else effect_of(code) for weighing, code in said]
        if codes != expected:
            found.append(f"question {at}, part {columns.ids[row]}: codes {codes}, expected {expected}")
    return found


def _said(decision: Decision, weighings: Sequence[Weighing]) -> list[int | Effect | None]:
    """The code of each rule as its one finding has it; of gate and circumstances the strongest effect."""
    strongest: dict[str, Effect | None] = {GATE: None, CIRCUMSTANCES: None}
    rules = {}
    for finding in decision.findings:
        kind = GATE if finding.lead is Lead.GATE else CIRCUMSTANCES
        if kind is GATE or finding.attribute in _CIRCUMSTANCES:
            strongest[kind] = max(strongest[kind] or finding.effect, finding.effect, key=_EFFECTS.index)
        else:
            rules[finding.attribute, finding.slot] = packed((finding,))
    return [rules.get((w.name, w.slot), SILENT) if w.rule else strongest[w.name] for w in weighings]


_EFFECTS = list(Effect)
_CIRCUMSTANCES = frozenset(
    {"category", "exclusion", "conversion", "emission", "supplied_as", "condition", "each_piece", "identity", "set"}
)


def verdicts_of(columns: Columns, questions: Iterable[OpenQuestion], look_ups: LookUps) -> list[dict[int, int]]:
    """The verdict of each part by its id, so that columns with other rows can be set beside these."""
    searched = [search(columns, asked, look_ups) for asked in questions]
    return [dict(zip(found.ids.tolist(), found.verdicts.tolist(), strict=True)) for found in searched]
