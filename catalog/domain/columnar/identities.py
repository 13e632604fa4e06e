"""Who makes the part of each row and under which number, in arrays, since there may be very many rows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from catalog.domain.columnar.packing import Rows
from catalog.domain.parts import Part

Key = tuple[str, str]


@dataclass(frozen=True, eq=False, slots=True)
class Identities:
    """`makers` are numbered by `maker_of` of each row; `numbers` are UTF-8, as printed; `order` sorts them."""

    makers: tuple[str, ...]
    maker_of: npt.NDArray[np.int32]
    numbers: npt.NDArray[np.bytes_]
    order: npt.NDArray[np.int32]

    @classmethod
    def none(cls) -> Identities:
        return _sorted((), np.empty(0, dtype=np.int32), np.empty(0, dtype=np.bytes_))

    def changed(self, stays: npt.NDArray[np.bool_], new: Iterable[Part]) -> Identities:
        """Those that stay, and then the new ones. Raises ValueError where a maker's number would stand twice."""
        keys = [part.key for part in new]
        if any("\x00" in number for _, number in keys):
            raise ValueError("A number holds a zero character, which no printed number does.")
        makers = tuple(dict.fromkeys((*self.makers, *(maker for maker, _ in keys))))
        at = {maker: number for number, maker in enumerate(makers)}
        added = np.array([at[maker] for maker, _ in keys], dtype=np.int32)
        numbers = np.array([number.encode() for _, number in keys], dtype=np.bytes_)
        return _sorted(makers, np.concatenate([self.maker_of[stays], added]), _joined(self.numbers[stays], numbers))

    def key(self, row: int) -> Key:
        return self.makers[self.maker_of[row]], self.numbers[row].decode()

    def rows_of(self, keys: Iterable[Key]) -> list[int]:
        """The rows of those of these that are here."""
        wanted = [(maker, number.encode()) for maker, number in keys if maker in self.makers]
        found = (self._of_number(number) for _, number in wanted)
        return [row for key, rows in zip(wanted, found, strict=True) for row in rows if self._is(row, key)]

    def _of_number(self, number: bytes) -> Sequence[int]:
        begin, end = (np.searchsorted(self.numbers, number, side, sorter=self.order) for side in ("left", "right"))
        rows: list[int] = self.order[begin:end].tolist()
        return rows

    def _is(self, row: int, key: tuple[str, bytes]) -> bool:
        return (self.makers[self.maker_of[row]], self.numbers[row]) == key


def _joined(one: npt.NDArray[np.bytes_], other: npt.NDArray[np.bytes_]) -> npt.NDArray[np.bytes_]:
    if not len(one) or not len(other):
        return one if len(one) else other
    return np.concatenate([one, other])


def _sorted(makers: tuple[str, ...], maker_of: npt.NDArray[np.int32], numbers: npt.NDArray[np.bytes_]) -> Identities:
    order: Rows = np.lexsort((maker_of, numbers))
    one, other = order[:-1], order[1:]
    twice = np.flatnonzero((numbers[one] == numbers[other]) & (maker_of[one] == maker_of[other]))
    if len(twice):
        row = one[twice[0]]
        raise ValueError(f"{makers[maker_of[row]]} {numbers[row].decode()} stands twice; each part is one row.")
    for array in (maker_of, numbers):
        array.setflags(write=False)
    return Identities(makers, maker_of, numbers, order.astype(np.int32))
