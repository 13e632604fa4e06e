"""The verdict of every part at one position: what is rejected drops out first, and nobody looks at it again."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from catalog.domain.answers import Verdict
from catalog.domain.checking import decide
from catalog.domain.columnar.column import Column
from catalog.domain.columnar.columns import Columns
from catalog.domain.columnar.look_ups import LookUps, Table
from catalog.domain.columnar.open_questions import Need, OpenQuestion
from catalog.domain.columnar.packing import (
    BITS,
    REJECTED,
    UNDETERMINED,
    VERDICT,
    Bytes,
    Rows,
    number_of,
    packed,
)
from catalog.domain.columnar.variants import Numbers
from catalog.domain.folding import VERDICTS

_REJECTED = number_of(Verdict.REJECTED)


@dataclass(frozen=True, slots=True)
class Found:
    """`verdicts`, numbered from the best, and `ids` by row.

    `specified` are the rows of parts that the engine's maker specifies here. Sentences and sources are nobody's yet:
    what is shown is decided anew from the part as it is loaded.
    """

    ids: Numbers
    verdicts: Bytes
    specified: Rows

    def counts(self, left_out: Collection[int] = ()) -> dict[Verdict, int]:
        """How many parts have each verdict, without those of these ids."""
        counts = np.bincount(self.verdicts, minlength=len(VERDICTS))
        if left_out:
            counts -= np.bincount(self.verdicts[np.isin(self.ids, list(left_out))], minlength=len(VERDICTS))
        return dict(zip(VERDICTS, counts.tolist(), strict=True))

    def ranked(self, verdicts: Iterable[Verdict] = (Verdict.ACCEPTED, Verdict.CONDITIONAL)) -> Numbers:
        """The parts of these verdicts, the best first, in each those that the engine's maker specifies, then by id."""
        chosen = np.zeros(len(VERDICTS), dtype=np.bool_)
        chosen[[number_of(verdict) for verdict in verdicts]] = True
        # Almost all are rejected: one comparison takes most away before the rest is looked up.
        rows = np.flatnonzero(self.verdicts <= max(np.flatnonzero(chosen), default=0))
        wanted = rows[chosen.take(self.verdicts[rows])]
        others = ~np.isin(wanted, self.specified) if len(self.specified) else np.ones(len(wanted), dtype=np.bool_)
        order = np.lexsort((self.ids[wanted], others, self.verdicts[wanted]))
        found: Numbers = self.ids[wanted[order]]
        return found


def search(columns: Columns, asked: OpenQuestion, look_ups: LookUps) -> Found:
    """The verdict of every part, equal to what the reference engine decides of each by itself.

    Raises ValueError where the engine has not exactly one position of the code, or it asks for another category.
    """
    need = ready(columns, asked)
    special = columns.special(need)
    verdicts: Bytes = np.full(len(columns), _REJECTED, dtype=np.uint8)
    if not need.kit:
        rows, bits = _surviving(columns, columns.tables(need, look_ups), at_first(need))
        verdicts[rows] = VERDICT[bits]
    specified = []
    for row in special.tolist():
        part = columns.part(row)
        verdicts[row] = number_of(decide(need.question(part)).verdict)
        if need.case_of(part).specified.holds:
            specified.append(row)
    return Found(columns.ids, verdicts, np.array(specified, dtype=np.intp))


def ready(columns: Columns, asked: OpenQuestion) -> Need:
    """The question made ready for these columns."""
    need = Need.of(asked, columns.rulebook)
    wanted = need.case.position.category
    if wanted != columns.category:
        raise ValueError(f"These are columns of {columns.category}; the position asks for {wanted}.")
    return need


def at_first(need: Need) -> int:
    """The folded bits before any part is looked at: how many are asked for, and that without rules nothing is a yes."""
    category = need.case.category
    no_rules = 0 if category is not None and category.rules else UNDETERMINED
    return int(BITS[packed(need.counts)]) | no_rules


def _surviving(columns: Columns, tables: Sequence[Table], bits: int) -> tuple[Rows, Bytes]:
    """The rows that nothing rejects, with their folded bits."""
    rejecting, others, bits = _in_order(columns, tables, bits)
    if bits & REJECTED:
        return np.empty(0, dtype=np.intp), np.empty(0, dtype=np.uint8)
    rows = rejecting[0].rows() if rejecting else np.arange(len(columns), dtype=np.intp)
    folded: Bytes = np.full(len(rows), bits, dtype=np.uint8)
    for step in (*rejecting, *others):
        if not len(rows):
            break
        found = step.table.bits_of(step.column.codes.take(rows))
        folded |= found
        stays = found < REJECTED
        if np.count_nonzero(stays) < len(stays):
            rows, folded = rows.compress(stays), folded.compress(stays)
    return rows, folded


@dataclass(frozen=True, slots=True)
class _Step:
    """A column with its table. `passing` are the rows that it does not reject, where that is known beforehand."""

    column: Column
    table: Table
    passing: int = 0

    def rows(self) -> Rows:
        summary = self.table.summary
        if summary is None:
            return np.arange(len(self.column.codes), dtype=np.intp)
        return self.column.rows_of(summary.passing)


def _in_order(columns: Columns, tables: Sequence[Table], bits: int) -> tuple[list[_Step], list[_Step], int]:
    """What is known to reject, the most selective first; then what is not whole yet, and what rejects nothing.

    Of what is not whole the tables of few variants come first, since they take the least asking.
    A table that says the same of every part is folded into the bits at once.
    """
    rejecting, quiet, unread = [], [], []
    for column, table in zip(columns.columns, tables, strict=True):
        summary = table.summary
        if summary is None:
            unread.append(_Step(column, table))
        elif summary.constant is not None:
            bits |= summary.constant
        elif summary.rejects:
            rejecting.append(_Step(column, table, table.passing_in(column)))
        else:
            quiet.append(_Step(column, table))
    rejecting.sort(key=lambda step: step.passing)
    unread.sort(key=lambda step: len(step.table.codes))
    return rejecting, [*unread, *quiet], bits


def nearest_misses(columns: Columns, asked: OpenQuestion, look_ups: LookUps, most: int) -> Numbers:
    """The rejected parts that the fewest things reject, then by id; at most so many.

    Only parts of which nobody makes a statement are among them: what is said of the others is the reason by itself.
    """
    need = ready(columns, asked)
    if need.kit or not len(columns):
        return np.empty(0, dtype=np.int64)
    refusing = np.zeros(len(columns), dtype=np.int16)
    for column, table in zip(columns.columns, columns.tables(need, look_ups), strict=True):
        refusing += (table.bits_of(column.codes) & REJECTED) != 0
    refusing[columns.special(need)] = 0
    rejected = np.flatnonzero(refusing)
    if len(rejected) > most:  # all that are shown, and none that is further off than the last of them, are put in order
        furthest = np.partition(refusing[rejected], most - 1)[most - 1]
        rejected = rejected[refusing[rejected] <= furthest]
    order = np.lexsort((columns.ids[rejected], refusing[rejected]))
    found: Numbers = columns.ids[rejected[order[:most]]]
    return found
