"""A cost that no plan can be below, at once and without a solver.

Parts that share no demand are looked at by themselves. What the stock of such a group cannot serve has to be bought:
no piece cheaper than the cheapest, and no order smaller than the smallest.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil, gcd

from kits.domain.order_plan.situation import Situation

SOLVER_TOLERANCE = 1e-6  # of a bound, or of one tick where that is more: solvers reckon in floating point


def simple_bound(found: Situation) -> int:
    """Ticks. Charges for orders are left out but for the dearest group's own, since groups may share an order."""
    groups = _groups(found)
    goods = [_goods(sources, demands, found) for sources, demands in groups]
    charges = [_least_charge(sources, found) if spent else 0 for (sources, _), spent in zip(groups, goods, strict=True)]
    return sum(goods) + max(charges, default=0)


def proven_bound(told: float, cost: int, found: Situation) -> int:
    """A solver's bound in whole ticks: less its tolerance, then up to what packs can cost, never above a known plan."""
    safe = ceil(told - SOLVER_TOLERANCE * max(1.0, abs(told)))
    prices = [entry.offer.pack_price.ticks for entry in found.buyable] + [charge.ticks for charge in found.charges]
    step = gcd(*prices) or 1
    return min(cost, max(0, -(-safe // step) * step))


def _goods(sources: set[int], demands: set[int], found: Situation) -> int:
    wanted = sum(found.demands[one].quantity for one in demands if found.buying[one])
    stocked = sum(found.lots[one].quantity for one in sources if one < len(found.lots))
    offers = [found.offer(one) for one in sources if one >= len(found.lots)]
    short = wanted - stocked
    if short <= 0 or not offers:
        return 0
    by_piece = min(Fraction(offer.pack_price.ticks, offer.pack) for offer in offers) * short
    return max(ceil(by_piece), min(offer.pack_price.ticks * offer.least_packs for offer in offers))


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
