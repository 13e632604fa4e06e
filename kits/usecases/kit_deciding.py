"""Deciding the lines of a kit: one batch of recorded checks, what each settles, and what it takes from the shelf."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from catalog.domain.answers import Fact, Verdict
from catalog.domain.parts import PartKey
from catalog.models import Check
from catalog.usecases.approval_reading import approvals_applying
from catalog.usecases.checking import Batch, batch_at, check_batch
from catalog.usecases.one_version import Asking, Machines
from catalog.usecases.reading import Published
from kits.domain.kit_changes import Standing
from kits.domain.kit_lines import Line, Unit
from kits.domain.kit_settling import Alternative, LineCheck, LineState, SettledLine, Use, settled
from service.errors import DomainError

Answer = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class ToDecide:
    """A line, and the row of its part where it has one."""

    line: Line
    part: int | None


@dataclass(frozen=True, slots=True)
class UsedPart:
    """A part to take from the shelf: pieces of it, or the microlitres of a fluid."""

    id: int
    key: PartKey
    amount: int


@dataclass(frozen=True, slots=True)
class Decided:
    """A line as its check settles it, and the parts it takes; none while it is not settled."""

    line: Line
    part: int | None
    settled: SettledLine
    check: Check | None = None
    uses: tuple[UsedPart, ...] = ()

    @property
    def standing(self) -> Standing:
        return standing_of(self.settled.state, self.check)


def decide(lines: Sequence[ToDecide], machine: UUID, asking: Asking) -> tuple[Decided, ...]:
    """Every line decided now, in order. All that names a part and a position is asked and recorded in one batch."""
    bodies = _questions(lines, machine)
    outcomes: tuple[Check | DomainError, ...] = ()
    if bodies:
        outcomes = check_batch(
            bodies, dealer=asking.dealer, asked_by=asking.asked_by, now=asking.now, tell=lambda _error, _at: {}
        )
    answers = {one.pk: json.loads(one.answer) for one in outcomes if isinstance(one, Check)}
    return _all_decided(lines, outcomes, answers, asking)


def decide_at(
    lines: Sequence[ToDecide], machine: UUID, known: Published, machines: Machines, asking: Asking
) -> tuple[tuple[Decided, ...], Batch]:
    """The same at a version that is looked at again before anything is saved; with the checks, to be recorded then."""
    batch = batch_at(_questions(lines, machine), known.standing, known.rulebook, machines, asking)
    return _all_decided(lines, batch.checks, batch.answers, asking), batch


def _all_decided(
    lines: Sequence[ToDecide],
    outcomes: Sequence[Check | DomainError],
    answers: Mapping[UUID, Answer],
    asking: Asking,
) -> tuple[Decided, ...]:
    """Each line by its own of the outcomes, which are those of the lines asked about; `answers` are by check."""
    checks = [one for one in outcomes if isinstance(one, Check)]
    approvals = approvals_applying(checks, asking.dealer, asking.now)
    found = iter(outcomes)
    return tuple(_decided(one, next(found) if asked_about(one) else None, answers, approvals) for one in lines)


def asked_about(one: ToDecide) -> bool:
    return one.part is not None and one.line.position is not None and one.line.quantity is not None


def _questions(lines: Sequence[ToDecide], machine: UUID) -> list[dict[str, Any]]:
    return [_question(one, machine) for one in lines if asked_about(one)]


def _question(one: ToDecide, machine: UUID) -> dict[str, Any]:
    """Fluids are asked about without a number: what they are, not how much."""
    item: dict[str, Any] = {"part": {"id": one.part}}
    if one.line.unit is Unit.EACH:
        item["quantity"] = one.line.quantity
    return {"candidate": [item], "position": one.line.position, "machine": machine}


def _decided(
    one: ToDecide,
    outcome: Check | DomainError | None,
    answers: Mapping[UUID, Answer],
    approvals: Mapping[UUID, Mapping[str, Any]],
) -> Decided:
    if isinstance(outcome, DomainError):
        refused = SettledLine(one.line, LineState.NOT_CHECKED, (outcome.message,))
        return Decided(one.line, one.part, refused)
    if outcome is None:
        found = settled(one.line, None)
        return Decided(one.line, one.part, found, None, _own(one, found))
    answer, approval = answers[outcome.pk], approvals.get(outcome.pk)
    found = settled(one.line, _line_check(outcome, answer, None if approval is None else approval["id"]))
    asked = _unnumbered(one.line, answer) if found.settled else ()
    if asked:
        line = replace(one.line, missing=asked)
        found = settled(line, found.check)
        return Decided(line, one.part, found, outcome)
    return Decided(one.line, one.part, found, outcome, _uses(one.line, answer) if found.settled else ())


def _line_check(check: Check, answer: Answer, approval: str | None) -> LineCheck:
    return LineCheck(
        verdict=Verdict(check.verdict),
        headline=answer["headline"],
        conditions=tuple(answer["conditions"]),
        missing=tuple(Fact(one["fact"], one["question"]) for one in answer["missing"]),
        approval=approval,
        approvable_by=answer["approvable_by"],
        use=use_of(answer),
        alternatives=tuple(
            Alternative(_key(one["part"]), Verdict(one["verdict"]), one["headline"]) for one in answer["alternatives"]
        ),
        id=str(check.pk),
    )


def use_of(answer: Answer) -> tuple[Use, ...]:
    """What an answer says to use; pieces of 0 are a number that it does not tell."""
    return tuple(Use(_key(one["part"]), one["quantity"] or 0) for one in answer["use"])


def _key(part: Mapping[str, Any]) -> PartKey:
    return part["maker"], part["number"]


def _unnumbered(line: Line, answer: Answer) -> tuple[Fact, ...]:
    """An answer that does not say how many to use, or of which fluid how much, leaves nothing to reserve."""
    if line.unit is not Unit.EACH:
        shown = " and ".join(" ".join(_key(one["part"])) for one in answer["use"])
        words = f"How much of {shown} does {line.position} take? Its replacement is more than one fluid."
        return () if len(answer["use"]) == 1 else (Fact(f"quantity of {shown}", words),)
    names = [" ".join(_key(one["part"])) for one in answer["use"] if one["quantity"] is None]
    return tuple(Fact(f"quantity of {name}", f"How many of {name} does {line.position} take?") for name in names)


def _own(one: ToDecide, found: SettledLine) -> tuple[UsedPart, ...]:
    line = one.line
    if not found.settled or one.part is None or line.part is None or line.quantity is None:
        return ()
    return (UsedPart(one.part, line.part, line.quantity),)


def _uses(line: Line, answer: Answer) -> tuple[UsedPart, ...]:
    """Each part once; all of a fluid is of the one that its check names."""
    found: dict[int, UsedPart] = {}
    for one in answer["use"]:
        number, key = one["part"]["id"], _key(one["part"])
        pieces = one["quantity"] if line.unit is Unit.EACH else line.quantity
        before = found[number].amount if number in found else 0
        found[number] = UsedPart(number, key, before + (pieces or 0))
    return tuple(found.values())


def as_kept(one: ToDecide, state: LineState, check: Check | None) -> Decided:
    """A line as it was decided by that check, without deciding anything anew."""
    kept = SettledLine(one.line, state, ())
    if check is None:
        return Decided(one.line, one.part, kept, None, _own(one, kept))
    return Decided(one.line, one.part, kept, check, _uses(one.line, json.loads(check.answer)) if kept.settled else ())


def standing_of(state: LineState, check: Check | None) -> Standing:
    """What a line rests on, from the check it was decided by."""
    if check is None:
        return Standing(state, None, "It was not checked.")
    answer = json.loads(check.answer)
    return Standing(state, Verdict(check.verdict), answer["headline"], tuple(answer["conditions"]), use_of(answer))
