"""What people put into a kit besides its work: refused where its place is taken already."""

from __future__ import annotations

from collections.abc import Iterable

from catalog.usecases.refusals import Gathered, below
from kits.domain.kit_lines import Extra, Filled


def refuse_filled(extras: Iterable[tuple[int, Extra]], filled: Filled) -> None:
    """Each with its place in the body. Raises what `Gathered.tell` raises, with every one whose position is filled."""
    problems = Gathered()
    for at, extra in extras:
        with problems.each(), below(f"/extras/{at}/position"):
            filled.take(extra)
    problems.tell()
