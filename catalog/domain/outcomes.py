"""What became of a part that was checked, and the holds that follow from it.

A hold is on one part at one position of one engine specification, wherever that is asked: who reports that a set did
not fit seldom says which piece of it, so each of its parts is held. (common practice, no source)
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from catalog.domain.answers import Answer, Effect, Fact, Source, SourceKind
from catalog.domain.findings import Finding, Lead
from catalog.domain.parts import PartKey


class OutcomeKind(StrEnum):
    FITTED = "fitted"
    DID_NOT_FIT = "did_not_fit"
    FAILED = "failed"
    RETURNED = "returned"


HOLDING = frozenset({OutcomeKind.DID_NOT_FIT, OutcomeKind.FAILED, OutcomeKind.RETURNED})
WORDS = {
    OutcomeKind.FITTED: "fitted",
    OutcomeKind.DID_NOT_FIT: "did not fit",
    OutcomeKind.FAILED: "failed",
    OutcomeKind.RETURNED: "was returned",
}


@dataclass(frozen=True, slots=True, order=True)
class OnHold:
    """A report that has not been settled: the part at that position, what became of it, and when that was said."""

    reported_on: date
    kind: OutcomeKind
    position: str

    @property
    def words(self) -> str:
        return f"{WORDS[self.kind]}, reported {self.reported_on.isoformat()}"


@dataclass(frozen=True, slots=True)
class ReportedOn:
    """An open report about a part that comes along with others: an adapter, or what a kit holds."""

    part: PartKey
    hold: OnHold


def held_finding(part: str, holds: tuple[OnHold, ...]) -> Finding:
    """The finding on a part with these open reports, the first of them first."""
    said = "; ".join(hold.words for hold in sorted(holds))
    fact = Fact(
        "report on hold", f"What came of the report that {part} {WORDS[min(holds).kind]}? A catalogue editor closes it."
    )
    source = Source(SourceKind.RECORD, "reported outcome")
    return Finding(
        "hold", Answer.UNKNOWN, Effect.UNDETERMINED, f"{part} is on hold: {said}.", source,
        missing=(fact,), worst=Effect.REJECT, lead=Lead.EXCLUSION,
    )  # fmt: skip
