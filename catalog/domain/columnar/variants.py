"""The ways parts look to one thing weighed, each once, with a part that stands for all of them."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from catalog.domain.parts import Part, PartCondition, SuppliedAs
from catalog.domain.quantities import Interval, Quantity
from catalog.domain.values import Offer, Place

Numbers = npt.NDArray[np.int64]
Goods = tuple[str, SuppliedAs | None, PartCondition, bool, bool]
Key = tuple[Goods, tuple[tuple[Hashable, ...], ...]]
# No maker is called so: a part that stands for others is never the one that a statement or a question names.
ANYBODY = "\x00"


class Excerpt(Mapping[Place, tuple[Offer, ...]]):
    """A part's offers in the places that may be read. Reading another one is an error, never an empty place."""

    def __init__(self, offers: Mapping[Place, tuple[Offer, ...]]) -> None:
        self._offers = offers

    def __getitem__(self, place: Place) -> tuple[Offer, ...]:
        try:
            return self._offers[place]
        except KeyError:
            raise LookupError(f"{place} is read and not among the places listed: {list(self._offers)}") from None

    def get(self, place: Place, default: object = ()) -> tuple[Offer, ...]:
        return self[place]

    def __iter__(self) -> Iterator[Place]:
        return iter(self._offers)

    def __len__(self) -> int:
        return len(self._offers)


@dataclass(frozen=True, slots=True)
class Measures:
    """The variants that are one offer of one amount or range: `codes`, the ends `low` and `high` in steps, and `kinds`.

    Those of one kind differ in nothing but where their ends lie. An open end is 0, and its kind says that it is open.
    """

    codes: Numbers
    low: Numbers
    high: Numbers
    kinds: Numbers


@dataclass(frozen=True, eq=False, slots=True)
class Variants:
    """`codes` numbers what parts look like in `places`; `parts` stands for each number, `measures` are those with ends.

    `goods` numbers, by variant, what they are apart from their offers.
    Compared by identity: a code has a meaning only beside the object that gave it.
    """

    places: tuple[Place, ...]
    codes: Mapping[Key, int]
    parts: tuple[Part, ...]
    measures: Measures
    goods: Numbers

    @classmethod
    def none(cls, places: tuple[Place, ...]) -> Variants:
        return cls(places, {}, (), _measures(()), _numbered_goods(()))

    def with_parts(self, parts: Iterable[Part]) -> tuple[Variants, list[int]]:
        """The code of each part, and the variants with those that were not known; the same object if all were."""
        codes, found, numbers = self.codes, list[Part](), list[int]()
        for part in parts:
            key = self._key(part)
            code = codes.get(key)
            if code is None:
                codes = codes if found else dict(codes)
                code = len(self.parts) + len(found)
                codes[key] = code  # type: ignore[index] # a copy made here
                found.append(_standing_for(part, self.places))
            numbers.append(code)
        if not found:
            return self, numbers
        everything = (*self.parts, *found)
        return Variants(self.places, codes, everything, _measures(everything), _numbered_goods(everything)), numbers

    def _key(self, part: Part) -> Key:
        offers = part.offers
        return _goods(part), tuple(
            tuple((offer.value, offer.how) for offer in found) if (found := offers.get(place)) else ()
            for place in self.places
        )


def _goods(part: Part) -> Goods:
    return part.category, part.supplied_as, part.condition, part.described, part.member_of is not None


def _numbered_goods(parts: tuple[Part, ...]) -> Numbers:
    numbers: dict[Goods, int] = {}
    found = np.array([numbers.setdefault(_goods(part), len(numbers)) for part in parts], dtype=np.int64)
    found.setflags(write=False)
    return found


def _standing_for(part: Part, places: tuple[Place, ...]) -> Part:
    return Part(
        maker=ANYBODY,
        number=ANYBODY,
        category=part.category,
        offers=Excerpt({place: part.at(place) for place in places}),
        supplied_as=part.supplied_as,
        condition=part.condition,
        member_of=part.member_of,
        described=part.described,
    )


def _measures(parts: tuple[Part, ...]) -> Measures:
    kinds: dict[Hashable, int] = {}
    rows = []
    for code, part in enumerate(parts):
        offers = next(iter(part.offers.values())) if len(part.offers) == 1 else ()
        payload = offers[0].value.payload if len(offers) == 1 else None
        if isinstance(payload, (Quantity, Interval)):
            low, high = (payload, payload) if isinstance(payload, Quantity) else (payload.low, payload.high)
            opened = low is None, high is None
            kind = _goods(part), offers[0].how, type(payload), payload.dimension, opened
            ends = (end.amount if end else 0 for end in (low, high))
            rows.append((code, *ends, kinds.setdefault(kind, len(kinds))))
    table = np.array(rows, dtype=np.int64).reshape(-1, 4)
    table.setflags(write=False)
    return Measures(table[:, 0], table[:, 1], table[:, 2], table[:, 3])
