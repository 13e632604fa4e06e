"""Rows as they were at one version of the catalogue, kept by the process until the version moves.

The key is the version's stamp, which is drawn anew by every write and never comes back, not even where a write was
rolled back or a database replaced. Whoever reads the catalogue reads the stamp first and once more before saving:
what was loaded in between under a stamp that has been replaced is thrown away with it.
"""

from __future__ import annotations

from collections.abc import Hashable
from typing import Any

from catalog.loading.standing import forget_standing

MOST_KEPT = 10_000


class _Shelf:
    """One stamp with what is known under it, swapped as a whole so that threads never mix two versions."""

    def __init__(self) -> None:
        self._current: tuple[str, dict[Hashable, Any]] = ("", {})

    def at(self, stamp: str) -> dict[Hashable, Any]:
        kept_for, kept = self._current
        if kept_for != stamp or len(kept) > MOST_KEPT:
            kept = {}
            self._current = (stamp, kept)
        return kept


_shelf = _Shelf()


def at(stamp: str) -> dict[Hashable, Any]:
    """What is known at this stamp, to read from and to add to."""
    return _shelf.at(stamp)


def forget() -> None:
    """Drop all that is kept, as a process just started has it."""
    _shelf.at("")
    forget_standing()
