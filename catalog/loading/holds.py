"""Open holds of a loaded part and of what it holds, as one dealer sees them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from uuid import UUID

from catalog.domain.outcomes import OnHold, OutcomeKind, ReportedOn
from catalog.domain.parts import PartKey
from catalog.loading.rows import LoadedPart


def holds_on(part: LoadedPart, specification: int, dealer: UUID) -> tuple[OnHold, ...]:
    """The reports about this part on a specification: the dealer's own, and those that hold for all. Each once."""
    if not part.held:
        return ()
    return tuple(sorted({hold for inner, hold in _seen(part, specification, dealer) if inner is None}))


def holds_inside(part: LoadedPart, specification: int, dealer: UUID) -> tuple[ReportedOn, ...]:
    """The same about all that lies in this part, however deep."""
    if not part.held:
        return ()
    found = {(inner, hold) for inner, hold in _seen(part, specification, dealer) if inner is not None}
    return tuple(ReportedOn(inner, hold) for inner, hold in sorted(found))


def _seen(part: LoadedPart, specification: int, dealer: UUID) -> Iterator[tuple[PartKey | None, OnHold]]:
    for held_on, position, owner, kind, reported_on, *inner in json.loads(part.held):
        if held_on == specification and owner in (None, str(dealer)):
            named = (inner[0][0], inner[0][1]) if inner else None
            yield named, OnHold(date.fromisoformat(reported_on), OutcomeKind(kind), position)
