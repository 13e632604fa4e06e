"""One column: the variant of each row."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from catalog.domain.columnar.packing import Rows, Variation
from catalog.domain.columnar.variants import Variants

_MANY = 32  # variants, from which on it is quicker to look at every row


@dataclass(frozen=True, eq=False, slots=True)
class Column:
    """The variant of each row, as one weighing or several that read the same places see it.

    `order` are the rows sorted by variant, those of variant v at `order[starts[v]:starts[v + 1]]`, `counts[v]` in
    number.
    """

    variants: Variants
    codes: Variation
    order: npt.NDArray[np.int32]
    starts: Rows
    counts: Rows

    @classmethod
    def of(cls, variants: Variants, codes: npt.ArrayLike) -> Column:
        many = len(variants.parts)
        narrow = np.asarray(codes).astype(np.min_scalar_type(max(many - 1, 0)))
        order = np.argsort(narrow, kind="stable").astype(np.int32)
        counts = np.bincount(narrow, minlength=many)
        starts = np.concatenate([[0], np.cumsum(counts)]).astype(np.intp)
        for array in (narrow, order, starts, counts):
            array.setflags(write=False)
        return cls(variants, narrow, order, starts, counts)

    def rows_of(self, variants: Rows) -> Rows:
        """The rows of these variants, in no order that means anything."""
        if len(variants) > _MANY:
            wanted = np.zeros(len(self.variants.parts), dtype=np.bool_)
            wanted[variants] = True
            return np.flatnonzero(wanted[self.codes])
        found = [self.order[self.starts[at] : self.starts[at + 1]] for at in variants.tolist()]
        return np.concatenate(found).astype(np.intp) if found else np.empty(0, dtype=np.intp)
