"""Supersessions of an import: added where they are not there yet."""

from __future__ import annotations

from collections.abc import Sequence

from catalog.domain.import_rows import Gathering
from catalog.usecases.import_outcomes import Batch, write_sound
from catalog.usecases.supersessions import read_supersessions, write_supersessions
from service.errors import DomainError


def import_supersessions(batch: Batch, entries: Sequence[Gathering]) -> None:
    """Write the supersessions of a batch; one that names a part or build that is not there is left out."""
    pairs = []
    for entry in entries:
        try:
            (draft,) = read_supersessions([entry.document], batch.rulebook)
            pairs.append((entry, draft))
        except DomainError as error:
            batch.refuse(entry, error)
    write_sound(batch, pairs, write_supersessions)
