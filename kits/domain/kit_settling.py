"""Whether each line of a kit is settled by its check, and whether the kit is complete. Nothing is swapped here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from catalog.domain.answers import Fact, Verdict
from catalog.domain.parts import PartKey
from kits.domain.kit_lines import Contents, LeftOut, Line


class LineState(StrEnum):
    """How a line stands. Only the first three are settled."""

    ACCEPTED = "accepted"
    APPROVED = "approved"  # conditional, and an approval applies
    CONSUMABLE = "consumable"  # put in by a person and fitted nowhere, so there is nothing it must fit
    NEEDS_APPROVAL = "needs_approval"
    REJECTED = "rejected"
    UNDETERMINED = "undetermined"
    NOT_CHECKED = "not_checked"
    INCOMPLETE = "incomplete"  # the part or the quantity is not known


SETTLED = frozenset({LineState.ACCEPTED, LineState.APPROVED, LineState.CONSUMABLE})


def complete(states: Iterable[LineState]) -> bool:
    """Whether every line is settled. A kit of no lines is none: all that its tasks take may have been left out."""
    found = tuple(states)
    return bool(found) and SETTLED.issuperset(found)


@dataclass(frozen=True, slots=True)
class Alternative:
    part: PartKey
    verdict: Verdict
    headline: str


@dataclass(frozen=True, slots=True)
class Use:
    """What a check says to take for the number asked: another part, or several."""

    part: PartKey
    quantity: int


@dataclass(frozen=True, slots=True)
class LineCheck:
    """What the check of a line answered. `approval` is the one that applies today, by its id."""

    verdict: Verdict
    headline: str
    conditions: tuple[str, ...] = ()
    missing: tuple[Fact, ...] = ()
    approval: str | None = None
    approvable_by: str | None = None
    use: tuple[Use, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    id: str | None = None


@dataclass(frozen=True, slots=True)
class SettledLine:
    """A line and how it stands: in words, with what is missing, and what else could be used if somebody decides so."""

    line: Line
    state: LineState
    words: tuple[str, ...]
    missing: tuple[Fact, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    check: LineCheck | None = None

    @property
    def settled(self) -> bool:
        return self.state in SETTLED

    @property
    def uses(self) -> tuple[Use, ...]:
        """The parts to reserve and order; none while the line is not settled."""
        if not self.settled or self.line.part is None or self.line.quantity is None:
            return ()
        named = self.check.use if self.check else ()
        return named or (Use(self.line.part, self.line.quantity),)


@dataclass(frozen=True, slots=True)
class Kit:
    lines: tuple[SettledLine, ...]
    left_out: tuple[LeftOut, ...]

    @property
    def complete(self) -> bool:
        return complete(line.state for line in self.lines)

    @property
    def count(self) -> str:
        """As the box label says it: ``11 of 12``."""
        return f"{sum(line.settled for line in self.lines)} of {len(self.lines)}"


Place = tuple[str | None, PartKey]  # position and part


def settle(found: Contents, checks: Mapping[Place, LineCheck]) -> Kit:
    """Every line with how its check settles it. A line without a check is not settled."""
    lines = (settled(line, checks.get((line.position, line.part)) if line.part else None) for line in found.lines)
    return Kit(tuple(lines), found.left_out)


def settled(line: Line, check: LineCheck | None) -> SettledLine:
    if line.missing or line.part is None or line.quantity is None:
        return SettledLine(line, LineState.INCOMPLETE, _questions(line.missing), line.missing, check=check)
    if check is None and line.position is None:
        return SettledLine(line, LineState.CONSUMABLE, (f"Put in by {line.asked_by}; fitted to no place.",))
    if check is None:
        return SettledLine(line, LineState.NOT_CHECKED, ("Not checked yet.",))
    state = _state(check)
    words = _words(check, state)
    offered = () if state in SETTLED else _offered(check)
    missing = check.missing if state is LineState.UNDETERMINED else ()
    return SettledLine(line, state, words, missing, offered, check)


def _state(check: LineCheck) -> LineState:
    if check.verdict is Verdict.ACCEPTED:
        return LineState.ACCEPTED
    if check.verdict is Verdict.CONDITIONAL:
        return LineState.APPROVED if check.approval else LineState.NEEDS_APPROVAL
    return LineState.REJECTED if check.verdict is Verdict.REJECTED else LineState.UNDETERMINED


def _words(check: LineCheck, state: LineState) -> tuple[str, ...]:
    if state is LineState.APPROVED:
        return (f"Use it only if: {'; '.join(check.conditions)}", f"Approval {check.approval} applies.")
    if state is LineState.NEEDS_APPROVAL:
        who = f"Needs the approval of {check.approvable_by}." if check.approvable_by else "Nobody here may approve it."
        return (f"Use it only if: {'; '.join(check.conditions)}", who)
    if state is LineState.REJECTED:
        return (check.headline,) if _offered(check) else (check.headline, "No alternative is known.")
    return (check.headline, *_questions(check.missing)) if state is LineState.UNDETERMINED else (check.headline,)


def _questions(missing: tuple[Fact, ...]) -> tuple[str, ...]:
    return tuple(fact.question for fact in missing)


def _offered(check: LineCheck) -> tuple[Alternative, ...]:
    usable = (Verdict.ACCEPTED, Verdict.CONDITIONAL)
    return tuple(entry for entry in check.alternatives if entry.verdict in usable)
