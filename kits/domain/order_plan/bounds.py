"""A cost that no plan can be below, at once and without a solver.

Each demand at its cheapest price by the piece, less what stock can spare it at the most. Where a group of demands
and parts that hang together is short at all, an order no smaller than the smallest is made.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, gcd

from kits.domain.order_plan.situation import Situation

SOLVER_TOLERANCE = 1e-7  # of a bound, or of one tick where that is more: solvers reckon in floating point


@dataclass(frozen=True, slots=True)
class _Prices:
    """Ticks a piece: the least it costs for each demand that can be bought for, and the most one of each lot spares."""

    cheapest: dict[int, Fraction]
    spared: dict[int, Fraction]


def simple_bound(found: Situation) -> int:
    """Ticks. Charges for orders are left out but for the dearest group's own, since groups may share an order."""
    groups, prices = _groups(found), _prices(found)
    goods = [_goods(sources, demands, found, prices) for sources, demands in groups]
    charges = [_least_charge(sources, found) if spent else 0 for (sources, _), spent in zip(groups, goods, strict=True)]
    return sum(goods) + max(charges, default=0)


def proven_bound(told: float, cost: int, found: Situation) -> int:
    """A solver's bound in whole ticks: less its tolerance, then up to what packs can cost, never above a known plan."""
    safe = ceil(told - SOLVER_TOLERANCE * max(1.0, abs(told)))
    prices = [entry.offer.pack_price.ticks for entry in found.buyable] + [charge.ticks for charge in found.charges]
    step = gcd(*prices) or 1
    return min(cost, max(0, -(-safe // step) * step))


def _goods(sources: set[int], demands: set[int], found: Situation, prices: _Prices) -> int:
    bought = [one for one in demands if found.buying[one]]
    lots = [one for one in sources if one < len(found.lots)]
    offers = [found.offer(one) for one in sources if one >= len(found.lots)]
    wanted = sum(found.demands[one].quantity for one in bought)
    if not offers or wanted <= sum(found.lots[one].quantity for one in lots):
        return 0
    by_piece = sum(prices.cheapest[one] * found.demands[one].quantity for one in bought)
    spared = sum(prices.spared.get(one, Fraction(0)) * found.lots[one].quantity for one in lots)
    return max(ceil(by_piece - spared), min(offer.pack_price.ticks * offer.least_packs for offer in offers))


def _prices(found: Situation) -> _Prices:
    cheapest: dict[int, Fraction] = {}
    for arc in found.arcs:
        if arc.source >= len(found.lots):
            offer = found.offer(arc.source)
            price = Fraction(offer.pack_price.ticks, offer.pack)
            cheapest[arc.demand] = min(price, cheapest.get(arc.demand, price))
    spared: dict[int, Fraction] = {}
    for arc in found.arcs:
        if arc.source < len(found.lots) and arc.demand in cheapest:
            spared[arc.source] = max(cheapest[arc.demand], spared.get(arc.source, Fraction(0)))
    return _Prices(cheapest, spared)


def _least_charge(sources: set[int], found: Situation) -> int:
    charges = {charge.supplier: charge.ticks for charge in found.charges}
    return min((charges[found.offer(one).supplier] for one in sources if one >= len(found.lots)), default=0)


def _groups(found: Situation) -> list[tuple[set[int], set[int]]]:
    """Sources and demands that hang together, by a walk over the arcs."""
    sources: dict[int, list[int]] = {}
    serving: dict[int, list[int]] = {}
    for arc in found.arcs:
        sources.setdefault(arc.demand, []).append(arc.source)
        serving.setdefault(arc.source, []).append(arc.demand)
    groups = []
    seen: set[int] = set()
    for first in sources:
        if first in seen:
            continue
        inside: set[int] = set()
        demands, waiting = {first}, [first]
        while waiting:
            for source in sources[waiting.pop()]:
                if source not in inside:
                    inside.add(source)
                    more = set(serving[source]) - demands
                    demands |= more
                    waiting.extend(more)
        seen |= demands
        groups.append((inside, demands))
    return groups
