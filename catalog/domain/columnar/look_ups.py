"""What the reference engine says of each variant under one demand side, asked once and kept."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, replace
from threading import Lock

import numpy as np

from catalog.domain.case import Case
from catalog.domain.columnar.column import Column
from catalog.domain.columnar.packing import BITS, REJECTED, UNREAD, UNREAD_BITS, Bytes, Rows, Variation, packed
from catalog.domain.columnar.sides import asks_of_parts, side_of
from catalog.domain.columnar.variants import Numbers, Variants
from catalog.domain.comparing_numbers import turning_points
from catalog.domain.demands import asked_of
from catalog.domain.weighings import Weighing

FEW = 64  # so many variants are weighed at once; of more, only those that are still in question
MOST_KEPT = 4_096


@dataclass(frozen=True, slots=True)
class Summary:
    """Of a table that is whole: the bits if all variants have the same, and the variants that are not rejected."""

    constant: int | None
    passing: Rows
    rejects: bool

    @classmethod
    def of(cls, bits: Bytes) -> Summary:
        passing = np.flatnonzero(bits < REJECTED)
        same = len(bits) > 0 and bool((bits == bits[0]).all())
        return cls(int(bits[0]) if same else None, passing, len(passing) < len(bits))


class Table:
    """Codes and folded bits by variant. Filled as variants are met; each is weighed by the reference engine.

    Two threads may weigh one variant at the same time: both write the same.
    """

    def __init__(self, weighing: Weighing, variants: Variants, case: Case, few: int = FEW) -> None:
        self._weighing, self._parts, self._case = weighing, variants.parts, case
        self._summary: Summary | None = None
        self._counted: tuple[Column, int] | None = None
        self.codes: Bytes = np.full(len(variants.parts), UNREAD, dtype=np.uint8)
        self.bits: Bytes = np.full(len(variants.parts), UNREAD_BITS, dtype=np.uint8)
        if len(self._parts) > few:
            self._weigh_alike(variants)
        left = np.flatnonzero(self.codes == UNREAD)
        if len(left) <= few:
            self.weigh(left.tolist())

    @property
    def summary(self) -> Summary | None:
        """What is known once every variant has been weighed; None until then."""
        if self._summary is None and not bool((self.codes == UNREAD).any()):
            self._summary = Summary.of(self.bits)
        return self._summary

    def passing_in(self, column: Column) -> int:
        """How many rows of a column a whole table does not reject; kept for the column that was asked about last."""
        counted, summary = self._counted, self.summary
        if counted is None or counted[0] is not column:
            number = int(column.counts[summary.passing].sum()) if summary else len(column.codes)
            counted = self._counted = column, number
        return counted[1]

    def bits_of(self, variants: Variation) -> Bytes:
        """The folded bits of each of these variants, of which there may be many rows; what is unread is weighed."""
        found = self.bits.take(variants)
        if self._summary is None and bool((unread := found == UNREAD_BITS).any()):
            self.weigh(np.unique(variants[unread]).tolist())
            found = self.bits.take(variants)
        return found

    def weigh(self, codes: Iterable[int]) -> None:
        """Ask the reference engine about these variants, those it has been asked about already apart."""
        for code in codes:
            if self.codes[code] == UNREAD:
                self._set(code, self._weighed(code))

    def _set(self, codes: int | Numbers, found: int | Bytes) -> None:
        # The bits first: where no code is unread, no bits are either, whoever looks in between.
        self.bits[codes] = BITS[found]
        self.codes[codes] = found

    def _weighed(self, code: int) -> int:
        return packed(self._weighing.weigh(replace(self._case, candidate=self._parts[code])))

    def _weigh_alike(self, variants: Variants) -> None:
        """Weigh one for many that are answered alike.

        These are all goods of a kind where nothing is asked of what they offer, and all measures whose ends lie between
        the same two turning points.
        """
        if not asks_of_parts(self._weighing, self._case):
            self._weigh_one_of_each(np.arange(len(self._parts)), variants.goods)
        elif self._weighing.of_one_number:
            measures, turns = variants.measures, self._turns()
            pieces = 2 * len(turns) + 1
            alike = (measures.kinds * pieces + _pieces(turns, measures.low)) * pieces + _pieces(turns, measures.high)
            self._weigh_one_of_each(measures.codes, alike)

    def _weigh_one_of_each(self, codes: Numbers, alike: Numbers) -> None:
        _, first, inverse = np.unique(alike, return_index=True, return_inverse=True)
        answers = [self._weighed(int(code)) for code in codes[first]]
        self._set(codes, np.array(answers, dtype=np.uint8)[inverse])

    def _turns(self) -> Numbers:
        rule, slot = self._weighing.rule, self._weighing.slot
        if rule is None:
            raise ValueError(f"{self._weighing.name} compares no amounts.")
        asked = asked_of(self._case, rule, slot)
        values = [value for demand in asked for value in demand.reading.values()]
        return np.array(
            sorted({turn for value in values for turn in turning_points(rule.comparison, value)}), dtype=np.int64
        )


def _pieces(turns: Numbers, ends: Numbers) -> Numbers:
    """In which piece each end lies: 2 k before turning point k, 2 k + 1 on it."""
    found: Numbers = np.searchsorted(turns, ends, "left") + np.searchsorted(turns, ends, "right")
    return found


class LookUps:
    """Tables kept for whoever holds this object, at most `most` of them; the one unused for longest goes first.

    Of a new table up to `few` variants are weighed at once, and of more only those that turn out to be in question.
    """

    def __init__(self, most: int = MOST_KEPT, few: int = FEW) -> None:
        self._most, self._few = most, few
        self._kept: dict[Hashable, Table] = {}
        self._lock = Lock()

    def __len__(self) -> int:
        return len(self._kept)

    def table(self, weighing: Weighing, variants: Variants, case: Case) -> Table:
        """The table of one weighing for any case of the same side.

        Made outside the lock, since that takes long, and by each who is first to ask.
        """
        key = variants, weighing.name, weighing.slot, side_of(weighing, case)
        with self._lock:
            found = self._kept.pop(key, None)
            if found is not None:
                self._kept[key] = found
                return found
        made = Table(weighing, variants, case, self._few)
        with self._lock:
            self._kept[key] = made
            while len(self._kept) > self._most:
                del self._kept[next(iter(self._kept))]
        return made
