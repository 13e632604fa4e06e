"""Fluids by volume, bought by the container: the cheapest mix that covers what is needed, and what is left over.

The rule is the trade's (common practice, no source). Volumes are whole microlitres, the resolution at which the
catalogue keeps them, so that a quart is exact; needs are summed before anything is rounded up to containers.
"""

from __future__ import annotations

from dataclasses import dataclass
from heapq import heappop, heappush

from kits.domain.money import Money
from service.errors import Invalid, Unprocessable

MICROLITRES = 1_000_000  # of one litre


@dataclass(frozen=True, slots=True)
class Container:
    """A size a fluid is sold in and its price. `code` names it, as the part number it is sold under does."""

    code: str
    microlitres: int
    price: Money


@dataclass(frozen=True, slots=True)
class Filled:
    container: Container
    count: int


@dataclass(frozen=True, slots=True)
class Mix:
    """Which containers to buy, the largest first, what they cost and what is left in the last of them."""

    containers: tuple[Filled, ...]
    cost: Money
    left_over: int  # microlitres

    @property
    def count(self) -> int:
        return sum(filled.count for filled in self.containers)


def cheapest_mix(needed: int, containers: tuple[Container, ...], currency: str) -> Mix:
    """The cheapest containers that hold at least `needed` microlitres; of equally cheap ones the least left over.

    Of those the fewest containers. Raises Invalid for a need or a size below zero, Unprocessable where no container
    is priced, MixedCurrencies where one is priced in another currency.
    """
    if needed < 0 or any(entry.microlitres <= 0 or entry.price.ticks < 0 for entry in containers):
        raise Invalid("A need, a container's size and its price are never below zero.", code="volume")
    prices = [entry.price.ticks_in(currency) for entry in containers]
    if not containers:
        raise Unprocessable("No container of this fluid has a price; record one before it is bought.", code="no_price")
    filled = (
        Filled(entry, count)
        for entry, count in zip(containers, _counts(needed, containers, prices), strict=True)
        if count
    )
    bought = tuple(sorted(filled, key=lambda one: (-one.container.microlitres, one.container.code)))
    volume = sum(one.count * one.container.microlitres for one in bought)
    return Mix(bought, Money(sum(one.count * one.container.price.ticks for one in bought), currency), volume - needed)


def _counts(needed: int, containers: tuple[Container, ...], prices: list[int]) -> tuple[int, ...]:
    """How many of each, over the volumes that can be made up, cheapest first.

    Ways are taken up in the order in which they are better, so the first that covers the need is the best. A dearer
    way to a volume that a cheaper one already passes leads to nothing.
    """
    waiting = [(0, 0, 0, (0,) * len(containers))]
    seen: set[int] = set()
    passed, level, furthest = -1, 0, -1  # the furthest volume of all cheaper ways, and of those as cheap as this
    while True:
        ticks, volume, number, counts = heappop(waiting)
        if volume >= needed:
            return counts
        if ticks > level:
            passed, level = max(passed, furthest), ticks
        furthest = max(furthest, volume)
        if volume <= passed or volume in seen:
            continue
        seen.add(volume)
        for index, (entry, price) in enumerate(zip(containers, prices, strict=True)):
            more = tuple(count + (place == index) for place, count in enumerate(counts))
            heappush(waiting, (ticks + price, volume + entry.microlitres, number + 1, more))


@dataclass(frozen=True, slots=True)
class Pooling:
    """The same fluid bought for each job by itself, and together; together it has to be decanted."""

    by_job: tuple[Mix, ...]
    pooled: Mix

    @property
    def apart(self) -> Money:
        return sum((mix.cost for mix in self.by_job[1:]), self.by_job[0].cost)

    @property
    def saved(self) -> Money:
        return self.apart - self.pooled.cost


def pooling(needs: tuple[int, ...], containers: tuple[Container, ...], currency: str) -> Pooling:
    """Both ways to buy one fluid for several jobs, so that the shop chooses. Raises as `cheapest_mix` does."""
    if not needs:
        raise Invalid("Give the need of at least one job.", code="volume")
    by_job = tuple(cheapest_mix(need, containers, currency) for need in needs)
    return Pooling(by_job, cheapest_mix(sum(needs), containers, currency))
