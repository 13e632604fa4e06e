"""A fluid that several jobs need: the containers for each job by itself, and for all together. Both are shown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from catalog.domain.parts import PartKey
from kits.domain.containers import Container, Mix, Pooling, pooling
from kits.domain.money import Money
from kits.domain.order_plan.question import Offer


class FluidBuying(StrEnum):
    """How a dealer buys a fluid for several jobs. Pooled it has to be decanted (common practice, no source)."""

    BY_JOB = "by_job"
    POOLED = "pooled"


@dataclass(frozen=True, slots=True)
class Fluid:
    """What each job needs of one fluid, in microlitres, and the containers it can be bought in."""

    part: PartKey
    jobs: tuple[tuple[str, int], ...]
    containers: tuple[Container, ...]
    currency: str

    @property
    def ways(self) -> Pooling | None:
        """Both ways to buy it; None where no container has a price."""
        if not self.containers:
            return None
        return pooling(tuple(volume for _, volume in self.jobs), self.containers, self.currency)

    def bought(self, buying: FluidBuying) -> tuple[tuple[tuple[str, ...], Mix], ...]:
        """The mixes to buy, each with the jobs it is for; none where no container has a price."""
        ways = self.ways
        if ways is None:
            return ()
        if buying is FluidBuying.POOLED:
            return ((tuple(job for job, _ in self.jobs), ways.pooled),)
        return tuple(((job,), mix) for (job, _), mix in zip(self.jobs, ways.by_job, strict=True))


def containers_offered(sizes: Iterable[tuple[int, Iterable[Offer]]], currency: str) -> tuple[Container, ...]:
    """Each size (microlitres) at its cheapest price for one container in that currency, those without one left out."""
    found = []
    for content, offers in sizes:
        prices = [Money(_each(offer), currency) for offer in offers if offer.pack_price.currency == currency]
        if prices:
            found.append(Container(str(content), content, min(prices)))
    return tuple(found)


def _each(offer: Offer) -> int:
    """Ticks for one container of a pack, a half tick up."""
    return (2 * offer.pack_price.ticks + offer.pack) // (2 * offer.pack)
