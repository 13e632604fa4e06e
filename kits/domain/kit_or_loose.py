"""A boxed kit against its parts bought loose: both are shown, and the shop chooses (common practice, no source)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.domain.parts import PartKey
from kits.domain.money import Money, line_total


@dataclass(frozen=True, slots=True)
class LoosePart:
    """A part of the kit, how many it takes, what one costs loose, and how many lie free. No price is not known."""

    part: PartKey
    quantity: int
    price: Money | None
    free: int = 0
    short: bool = False  # cannot be had in time, loose or in the kit


@dataclass(frozen=True, slots=True)
class KitOrLoose:
    """`loose` is everything bought loose and `to_buy` what is not on the shelf; None where a price is not known.

    `kit_whole` says whether the kit can be shipped complete.
    """

    kit: Money
    loose: Money | None
    to_buy: Money | None
    unpriced: tuple[PartKey, ...]
    kit_whole: bool

    @property
    def loose_saves(self) -> Money | None:
        """What buying loose saves, below zero where the kit is cheaper."""
        return self.kit - self.to_buy if self.to_buy is not None else None


def kit_or_loose(kit: Money, parts: tuple[LoosePart, ...]) -> KitOrLoose:
    """Lines are rounded by line. Raises MixedCurrencies where a part is priced in another currency than the kit."""
    unpriced = tuple(entry.part for entry in parts if entry.price is None)
    loose = _sum(((entry, entry.quantity) for entry in parts), kit)
    to_buy = _sum(((entry, max(0, entry.quantity - entry.free)) for entry in parts), kit)
    return KitOrLoose(kit, loose, to_buy, unpriced, kit_whole=not any(entry.short for entry in parts))


def _sum(wanted: Iterable[tuple[LoosePart, int]], kit: Money) -> Money | None:
    found = Money(0, kit.currency)
    for entry, quantity in wanted:
        if quantity and entry.price is None:
            return None
        if entry.price is not None:
            found += line_total(entry.price, quantity)
    return found
