"""Other parts the engine's maker specifies at the position, judged from what the question has loaded already."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from catalog.domain.answers import Verdict
from catalog.domain.checking import decide
from catalog.domain.parts import SPECIFIES, Part, PartKey
from catalog.domain.questions import NOTHING_REPLACED, Decision, Engine, Item, Question

MOST_ALTERNATIVES = 5
_FIT_TO_USE = (Verdict.ACCEPTED, Verdict.CONDITIONAL)


@dataclass(frozen=True, slots=True)
class Alternative:
    part: Part
    verdict: Verdict
    headline: str


def alternatives_to(question: Question, decision: Decision, left_out: frozenset[int]) -> tuple[Alternative, ...]:
    """Accepted ones first; none of what was asked about, none that is not specified here for sure.

    `left_out` are parts that are withdrawn, or on hold here.
    """
    if question.engine is None or decision.position is None:
        return ()
    judged: dict[PartKey, Alternative] = {}
    seen = {use.part.key for use in decision.use}
    for part in _specified(question, decision.position):
        other = _judged(question, question.engine, part, decision.position)
        # A specified number may be another one today; a set of several is no alternative to name in a line.
        if other.verdict in _FIT_TO_USE and len(other.use) == 1:
            (use,) = other.use
            if use.part.id not in left_out and use.part.key not in seen:
                judged.setdefault(use.part.key, Alternative(use.part, other.verdict, other.headline))
        if len(judged) == MOST_ALTERNATIVES:
            break
    return tuple(sorted(judged.values(), key=lambda found: _FIT_TO_USE.index(found.verdict)))


def _judged(question: Question, engine: Engine, part: Part, position: str) -> Decision:
    """Decided once for all that ask about other parts at the same place, whatever the serial where no break is near.

    Kept under the rulebook beside the findings, which bound it; what its key names by identity is kept with it. Where
    numbers replace numbers, every question is decided by itself.
    """
    if question.replacements is not NOTHING_REPLACED:
        return _decided(question, part, position)
    kept, application = question.rulebook.kept, question.application
    if not any(said.applicability.serials for said in engine.statements):
        application = replace(application, serial=None, serial_in_no_block=False)
    named = (part, question.replaces, *engine.positions, *engine.statements)
    key = "alternative", position, application, engine.name, engine.fuels, *map(id, named)
    decision: Decision | None = kept.get(key, (None,))[0]
    if decision is None:
        decision = _decided(question, part, position)
        kept[key] = decision, named
    return decision


def _decided(question: Question, part: Part, position: str) -> Decision:
    """Reports are of what was asked about; what is on hold of others is left out as a whole."""
    return decide(replace(question, candidate=(Item(part),), position=position, reported=()))


def _specified(question: Question, position: str) -> Iterator[Part]:
    seen = {item.part.key for item in question.candidate}
    for statement in question.engine.statements if question.engine else ():
        specifies = statement.kind in SPECIFIES and statement.position == position
        if specifies and statement.part.key not in seen and statement.applicability.holds(question.where).holds:
            seen.add(statement.part.key)
            yield statement.part
