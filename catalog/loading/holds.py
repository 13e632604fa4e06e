"""Open holds of a loaded part, as one dealer sees them."""

from __future__ import annotations

import json
from datetime import date
from uuid import UUID

from catalog.domain.outcomes import OnHold, OutcomeKind
from catalog.loading.rows import LoadedPart


def holds_on(part: LoadedPart, specification: int, dealer: UUID) -> tuple[OnHold, ...]:
    """The reports about this part on a specification: the dealer's own, and those that hold for all. Each once."""
    if not part.held:
        return ()
    rows = json.loads(part.held)
    found = {
        OnHold(date.fromisoformat(reported_on), OutcomeKind(kind), position)
        for held_on, position, owner, kind, reported_on in rows
        if held_on == specification and owner in (None, str(dealer))
    }
    return tuple(sorted(found))
