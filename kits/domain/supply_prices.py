"""A supplier's price for some pieces as the price of a pack, and the counts of a shelf that promised too much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from kits.domain.money import Money
from kits.domain.stock import Batch
from service.errors import Invalid


def pack_price(price: Money, price_for: int, pack: int) -> Money:
    """What a pack costs at a price that is for `price_for` pieces: to the ten-thousandth, a half away from zero.

    Raises Invalid for a price for no piece and a pack of none.
    """
    if price_for < 1 or pack < 1:
        raise Invalid("A price is for at least one piece, and a pack holds at least one.", code="pack")
    return Money((2 * price.ticks * pack + price_for) // (2 * price_for), price.currency)


def counted(batches: Sequence[tuple[Batch, int]], *, ages: bool) -> tuple[Batch, ...]:
    """Batches as they were counted, each with the pieces promised of it beyond what is there (0 where none are).

    Whoever was promised them will take other pieces of the same part, so those are not free: they are taken off the
    batches that keep longest. What no batch covers is promised in vain, and free stays at nothing.
    """
    missing = sum(beyond for _, beyond in batches)
    found = [batch for batch, _ in batches]
    for place in sorted(range(len(found)), key=lambda one: _keeps(found[one], ages=ages), reverse=True):
        covered = min(missing, found[place].unreserved)
        found[place] = replace(found[place], reserved=found[place].reserved + covered)
        missing -= covered
    return tuple(found)


def _keeps(batch: Batch, *, ages: bool) -> date:
    """How long pieces of it may be promised; of goods that age those without a last day never are."""
    return batch.expires or (date.min if ages else date.max)
