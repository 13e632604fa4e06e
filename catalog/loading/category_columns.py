"""All parts of a category as columns, kept by the process and brought up to the version of the catalogue just read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from threading import Lock

from catalog.domain.columnar.columns import Columns
from catalog.domain.columnar.look_ups import LookUps
from catalog.domain.parts import Part
from catalog.domain.rules import Rulebook
from catalog.loading.standing import Standing
from catalog.loading.values import part_from
from catalog.models import Part as PartRow
from catalog.models import Status

CATEGORIES_KEPT = 64
FEW_CHANGED = 100  # of so many rows one may have changed; of more the category is read anew


@dataclass(frozen=True, slots=True)
class Kept:
    """Columns as they were at a version; `look_ups` hold what the reference engine was asked of them already."""

    version: int
    stamp: str
    columns: Columns
    look_ups: LookUps


class _Shelf:
    def __init__(self) -> None:
        self._kept: dict[tuple[str, str], Kept] = {}
        self._lock = Lock()

    def get(self, category: str, standing: Standing, rulebook: Rulebook) -> Kept:
        key = category, rulebook.digest
        kept = self._kept.get(key)
        if kept is not None and kept.stamp == standing.stamp:
            return kept
        # Read by one at a time: a large category takes seconds, and two readers would come to the same.
        with self._lock:
            kept = self._kept.get(key)
            if kept is None or kept.stamp != standing.stamp:
                kept = _brought_up(kept, category, standing, rulebook)
                self._kept.pop(key, None)
                self._kept[key] = kept
                while len(self._kept) > CATEGORIES_KEPT:
                    del self._kept[next(iter(self._kept))]
            return kept

    def forget(self) -> None:
        with self._lock:
            self._kept.clear()


_shelf = _Shelf()


def columns_of(category: str, standing: Standing, rulebook: Rulebook) -> Kept:
    """The parts that may stand where this category is asked for, never older than `standing`.

    What another write has put there meanwhile may be in them; whoever answers from them reads the standing again
    before saying so.
    """
    return _shelf.get(category, standing, rulebook)


def forget_columns() -> None:
    """Drop all that is kept, as a process just started has it."""
    _shelf.forget()


def _brought_up(kept: Kept | None, category: str, standing: Standing, rulebook: Rulebook) -> Kept:
    offered = offered_for(category, rulebook)
    # A version below the one that is kept is another database's.
    if kept is not None and kept.version < standing.version:
        changed = PartRow.objects.filter(changed_in__gt=kept.version)
        most = max(len(kept.columns) // FEW_CHANGED, FEW_CHANGED)
        rows = list(changed.values_list("id", "category", "status", "facts")[: most + 1])
        if len(rows) <= most:
            known = set(kept.columns.ids.tolist())
            latest = ((number, _standing(row, offered)) for number, *row in rows)
            moved = [(number, part) for number, part in latest if part is not None or number in known]
            columns = kept.columns.with_changed(moved) if moved else kept.columns
            return Kept(standing.version, standing.stamp, columns, kept.look_ups)
    return Kept(standing.version, standing.stamp, Columns.of(category, _read(offered), rulebook), LookUps())


def offered_for(category: str, rulebook: Rulebook) -> frozenset[str]:
    """The categories whose parts may stand where this one is asked for."""
    return frozenset({category, *(row.offered for row in rulebook.may_serve if row.position == category)})


def _read(offered: frozenset[str]) -> Iterator[tuple[int, Part]]:
    rows = PartRow.objects.filter(category__in=sorted(offered), status=Status.ACTIVE).order_by("id")
    for number, text in rows.values_list("id", "facts").iterator(chunk_size=2_000):
        yield number, part_from(text)


def _standing(row: list[str], offered: frozenset[str]) -> Part | None:
    category, status, text = row
    return part_from(text) if category in offered and status == Status.ACTIVE else None
