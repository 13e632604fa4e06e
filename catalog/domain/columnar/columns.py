"""All parts that may be asked about at the positions of one category, as columns of variants."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from catalog.domain.columnar.column import Column
from catalog.domain.columnar.identities import Identities
from catalog.domain.columnar.look_ups import LookUps, Table
from catalog.domain.columnar.open_questions import Need
from catalog.domain.columnar.packing import Rows
from catalog.domain.columnar.variants import Excerpt, Numbers, Variants
from catalog.domain.parts import Contained, MatchedSet, Part
from catalog.domain.rules import Rulebook
from catalog.domain.values import Offer, Place
from catalog.domain.weighings import Weighing, weighings


@dataclass(frozen=True, eq=False)
class Columns:
    """Immutable. `ids` and `identities` are by row; `columns` by weighing, one object where two read the same places.

    `category` is the one that positions ask for; the parts may be of any. `sets` and `contents` are by id, of the few
    parts that belong to a matched set or hold others.
    """

    category: str
    rulebook: Rulebook
    weighings: tuple[Weighing, ...]
    columns: tuple[Column, ...]
    ids: Numbers
    identities: Identities
    sets: Mapping[int, MatchedSet]
    contents: Mapping[int, tuple[Contained, ...]]

    @classmethod
    def of(cls, category: str, parts: Iterable[tuple[int, Part]], rulebook: Rulebook) -> Columns:
        """Columns of parts with their ids. Raises ValueError where an id or a maker's number comes twice."""
        found = weighings(rulebook.categories.get(category))
        places = dict.fromkeys(weighing.places for weighing in found)
        empty = {seen: Column.of(Variants.none(seen), np.empty(0, dtype=np.uint8)) for seen in places}
        columns = tuple(empty[weighing.places] for weighing in found)
        nothing = np.empty(0, dtype=np.int64)
        return cls(category, rulebook, found, columns, nothing, Identities.none(), {}, {}).with_changed(parts)

    def with_changed(self, changed: Iterable[tuple[int, Part | None]]) -> Columns:
        """With these parts in place of those of the same id; None takes one out. What is not named stays as it is.

        Rows move: those that stay keep their order, the changed ones follow.
        """
        latest = _once(changed)
        stays = ~np.isin(self.ids, _numbers(latest))
        new = {number: part for number, part in latest.items() if part is not None}
        moved = {column: _moved(column, stays, new.values()) for column in dict.fromkeys(self.columns)}
        ids = np.concatenate([self.ids[stays], _numbers(new)])
        ids.setflags(write=False)
        sets = {number: part.member_of for number, part in new.items() if part.member_of is not None}
        contents = {number: part.contains for number, part in new.items() if part.contains}
        return Columns(
            category=self.category,
            rulebook=self.rulebook,
            weighings=self.weighings,
            columns=tuple(moved[column] for column in self.columns),
            ids=ids,
            identities=self.identities.changed(stays, new.values()),
            sets={**{number: found for number, found in self.sets.items() if number not in latest}, **sets},
            contents={**{number: found for number, found in self.contents.items() if number not in latest}, **contents},
        )

    def __len__(self) -> int:
        return len(self.ids)

    def rows_of(self, ids: npt.ArrayLike) -> Rows:
        """The row of each id. Raises ValueError for an id that is not here."""
        wanted, (known, order) = np.asarray(ids, dtype=np.int64), self._by_id
        at = np.minimum(np.searchsorted(known, wanted), max(len(known) - 1, 0))
        if len(wanted) and (not len(known) or (known[at] != wanted).any()):
            raise ValueError("Some of these parts are not in the columns; catch up with the catalogue first.")
        found: Rows = order[at]
        return found

    @cached_property
    def _by_id(self) -> tuple[Numbers, Rows]:
        order = np.argsort(self.ids)
        return self.ids[order], order

    @cached_property
    def _whole_alone(self) -> frozenset[int]:
        """The rows of sets that are several of one part: whole where as many are asked for."""
        rows = self.rows_of(_numbers(self.sets)).tolist()
        pieces = ({key for key, _ in found.members} for found in self.sets.values())
        return frozenset(row for row, keys in zip(rows, pieces, strict=True) if keys <= {self.identities.key(row)})

    def special(self, need: Need) -> Rows:
        """The rows of which the columns cannot speak, in order: the reference engine judges each of them.

        They are the parts that a maker says something of here, the part that stood here, parts that are a matched set
        in number, and at a position that a kit fills all of them.
        """
        if need.kit:
            return np.arange(len(self), dtype=np.intp)
        named = self.identities.rows_of(need.named) if need.named else ()
        return np.array(sorted({*named, *self._whole_alone}), dtype=np.intp)

    def part(self, row: int) -> Part:
        """All that a verdict reads of the part of a row. Never to be shown: its sources may be those of another."""
        offers: dict[Place, tuple[Offer, ...]] = {}
        goods = Part("", "", "")
        for column in dict.fromkeys(self.columns):
            goods = column.variants.parts[column.codes[row]]
            offers.update(goods.offers)
        (maker, number), at = self.identities.key(row), int(self.ids[row])
        return Part(
            maker, number, goods.category, Excerpt(offers), supplied_as=goods.supplied_as, condition=goods.condition,
            contains=self.contents.get(at, ()), member_of=self.sets.get(at), described=goods.described,
        )  # fmt: skip

    def tables(self, need: Need, look_ups: LookUps) -> tuple[Table, ...]:
        """The tables of all weighings for a question."""
        return tuple(self.table(number, need, look_ups) for number in range(len(self.weighings)))

    def table(self, number: int, need: Need, look_ups: LookUps) -> Table:
        """The table of one weighing for a question."""
        return look_ups.table(self.weighings[number], self.columns[number].variants, need.case)


def _moved(column: Column, stays: npt.NDArray[np.bool_], new: Iterable[Part]) -> Column:
    variants, codes = column.variants.with_parts(new)
    return Column.of(variants, np.concatenate([column.codes[stays], np.array(codes, dtype=np.int64)]))


def _numbers(found: Mapping[int, object]) -> Numbers:
    return np.fromiter(found, dtype=np.int64, count=len(found))


def _once(changed: Iterable[tuple[int, Part | None]]) -> dict[int, Part | None]:
    found: dict[int, Part | None] = {}
    for number, part in changed:
        if number in found:
            raise ValueError(f"Part {number} is named twice; each part is one row.")
        found[number] = part
    return found
