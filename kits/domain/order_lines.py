"""What a line of an order comes to, and whether a supplier takes it: whole packs, and no less than its minimum."""

from __future__ import annotations

from dataclasses import dataclass

from kits.domain.currencies import DECIMALS
from kits.domain.money import TICKS, Money
from service.errors import Invalid


@dataclass(frozen=True, slots=True)
class Packing:
    """How a supplier sells goods: in packs of `pack` pieces, at least `minimum` pieces at a time."""

    pack: int = 1
    minimum: int = 0

    @property
    def least_packs(self) -> int:
        return max(1, -(-self.minimum // self.pack))


def line_cost(price: Money, price_for: int, pieces: int) -> Money:
    """What `pieces` come to at a price for `price_for` of them, rounded once, as money is paid, a half up.

    3 at 2.335 USD are 7.01. Prices and pieces are never below zero here.
    """
    step = TICKS // 10 ** DECIMALS[price.currency]
    whole = price_for * step
    return Money((2 * price.ticks * pieces + whole) // (2 * whole) * step, price.currency)


def packs_of(pieces: int, packing: Packing) -> int:
    """Packs for exactly that many pieces. Raises Invalid where they are no whole packs; nothing is raised by itself."""
    packs, loose = divmod(pieces, packing.pack)
    if loose:
        above = max(packs + 1, packing.least_packs)
        ways = [count for count in (packs, above) if count >= packing.least_packs]
        named = " or ".join(f"{count * packing.pack}" for count in ways)
        raise Invalid(f"It is sold in packs of {packing.pack}, and {pieces} are no whole packs; order {named}.",
                      code="not_whole_packs")  # fmt: skip
    return packs


def check_minimum(packs: int, packing: Packing) -> None:
    """Raises Invalid for fewer packs than the supplier sells."""
    if packs < packing.least_packs:
        least = packing.least_packs
        raise Invalid(
            f"At least {packing.minimum} are sold at a time, which is {least} packs of {packing.pack}; order {least} "
            f"packs ({least * packing.pack} pieces) or more.",
            code="below_minimum",
        )
