"""A plan in the bare: packs bought of each offer and who serves whom; what it costs, and whether it holds."""

from __future__ import annotations

from dataclasses import dataclass

from kits.domain.order_plan.flows import cheapest_flow
from kits.domain.order_plan.situation import Situation
from kits.domain.order_plan.wanting import Wanting


@dataclass(frozen=True, slots=True)
class Draft:
    """`packs` by offer in order; `sent` pieces by demand and source. `ticks` is what goods and order charges cost."""

    packs: tuple[int, ...]
    sent: tuple[dict[int, int], ...]
    ticks: int


def cost_of(packs: tuple[int, ...], found: Situation) -> int:
    """Ticks, nothing rounded; the charge of each supplier that gets an order is in it."""
    used = {entry.offer.supplier for entry, count in zip(found.buyable, packs, strict=True) if count}
    goods = sum(entry.offer.pack_price.ticks * count for entry, count in zip(found.buyable, packs, strict=True))
    return goods + sum(charge.ticks for charge in found.charges if charge.supplier in used)


def orderable(packs: tuple[int, ...], found: Situation) -> bool:
    """Whether suppliers take such orders: each offer its minimum or nothing, each order the least it comes to."""
    by_supplier: dict[str, int] = {}
    for entry, count in zip(found.buyable, packs, strict=True):
        if count < 0 or 0 < count < entry.offer.least_packs:
            return False
        if count:
            spent = entry.offer.pack_price.ticks * count
            by_supplier[entry.offer.supplier] = by_supplier.get(entry.offer.supplier, 0) + spent
    return all(by_supplier.get(charge.supplier, charge.minimum) >= charge.minimum for charge in found.charges)


def drafted(packs: tuple[int, ...], found: Situation, least: Wanting) -> Draft | None:
    """The draft that buys these packs, or None where they are not orderable or leave more wanting than is needed."""
    if not orderable(packs, found):
        return None
    costs: list[dict[int, int]] = [{} for _ in found.demands]
    for arc in found.arcs:
        costs[arc.demand][arc.source] = arc.days_late
    room = [lot.quantity for lot in found.lots]
    room += [entry.offer.pack * count for entry, count in zip(found.buyable, packs, strict=True)]
    sent = cheapest_flow(room, [demand.quantity for demand in found.demands], costs)
    served = sum(sum(row.values()) for row in sent)
    late = sum(pieces * costs[demand][source] for demand, row in enumerate(sent) for source, pieces in row.items())
    asked = sum(demand.quantity for demand in found.demands)
    if asked - served > least.without or late > least.piece_days:
        return None
    return Draft(packs, tuple(sent), cost_of(packs, found))
