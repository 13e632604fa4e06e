"""The order plan: at once by the greedy way with a bound, and better by a solver with the gap it proves.

Entered at `plan`. Whatever a solver says is worked out again in whole numbers before it is believed.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from catalog.domain.parts import PartKey
from kits.domain.calendars import LastOrder
from kits.domain.money import Money, line_total, totals_by_currency
from kits.domain.order_plan.bounds import proven_bound, simple_bound
from kits.domain.order_plan.drafts import Draft, drafted
from kits.domain.order_plan.greedy import greedy
from kits.domain.order_plan.late import LateLine, late_lines
from kits.domain.order_plan.programme import Solver, programme, values_of
from kits.domain.order_plan.question import Offer, OrderQuestion
from kits.domain.order_plan.servings import Serving, servings
from kits.domain.order_plan.situation import Situation, situation
from kits.domain.order_plan.wanting import wanting


@dataclass(frozen=True, slots=True)
class Purchase:
    """Whole packs of one offer. `cost` is rounded by line; `core` is refundable, apart, and in no total of goods.

    `order_by` is the last safe day for the earliest line it serves in time; None where it serves none in time or is
    on back-order.
    """

    offer: Offer
    packs: int
    cost: Money
    core: Money | None
    spare: int
    arrives: date
    order_by: LastOrder | None

    @property
    def pieces(self) -> int:
        return self.packs * self.offer.pack


@dataclass(frozen=True, slots=True)
class OrderPlan:
    """What to order, who is served by what, what is late or without and what may be done about it.

    `cost` is exact, goods and order charges, and what `bound` and `gap` are about; `goods` is the sum of the lines
    rounded by line. No plan that leaves as little wanting costs less than `bound`. Core charges are by currency.
    """

    purchases: tuple[Purchase, ...]
    servings: tuple[Serving, ...]
    late: tuple[LateLine, ...]
    cost: Money
    goods: Money
    charges: Money
    cores: tuple[Money, ...]
    bound: Money
    solved: bool  # whether a solver was asked for a better plan

    @property
    def gap(self) -> Fraction:
        """How much of the cost a better plan could save at the most, proven; 0 is the cheapest there is."""
        return Fraction(self.cost.ticks - self.bound.ticks, self.cost.ticks) if self.cost.ticks else Fraction(0)


def plan(question: OrderQuestion, solver: Solver | None = None, seconds: float = 0) -> OrderPlan:
    """The plan for the question. Without seconds to spend it is made at once; a solver then only raises the bound.

    Fewest pieces without comes first, then fewest piece-days late, then the cost. Suppliers are taken to have as many
    packs as are asked for. Never dearer than the plan at once. Raises MixedCurrencies where a supplier's charges are in
    another currency.
    """
    found = situation(question)
    least = wanting(found)
    best = greedy(found, least)
    bound = simple_bound(found)
    if solver is not None:
        layout = programme(found, least)
        if seconds > 0:
            answer = solver.solve(layout.programme, values_of(best, layout, found), seconds)
            better = drafted(answer.packs, found, least) if answer.packs is not None else None
            best = better if better is not None and better.ticks < best.ticks else best
            told = answer.bound
        else:
            told = solver.relaxed(layout.programme)
        bound = max(bound, proven_bound(told, best.ticks, found))
    return _written(best, bound, found, solved=solver is not None and seconds > 0)


def _written(best: Draft, bound: int, found: Situation, *, solved: bool) -> OrderPlan:
    served = servings(best, found)
    purchases = _purchases(best, served, found)
    currency = found.question.currency
    used = {purchase.offer.supplier for purchase in purchases}
    charges = Money(sum(charge.ticks for charge in found.charges if charge.supplier in used), currency)
    return OrderPlan(
        purchases, served, late_lines(served, found),
        cost=Money(best.ticks, currency),
        goods=sum((purchase.cost for purchase in purchases), Money(0, currency)),
        charges=charges,
        cores=totals_by_currency(purchase.core for purchase in purchases if purchase.core is not None),
        bound=Money(bound, currency),
        solved=solved,
    )  # fmt: skip


def _purchases(best: Draft, served: tuple[Serving, ...], found: Situation) -> tuple[Purchase, ...]:
    by_offer: dict[str | None, list[Serving]] = {}
    for serving in served:
        by_offer.setdefault(serving.offer, []).append(serving)
    bought = []
    for entry, packs in zip(found.buyable, best.packs, strict=True):
        offer = entry.offer
        if not packs:
            continue
        taken = by_offer.get(offer.id, [])
        shelves = [serving.shelf for serving in taken if not serving.days_late]
        pieces = packs * offer.pack
        order_by = offer.last_order(min(shelves), found.question.branch) if shelves else None
        core = line_total(offer.core, pieces) if offer.core else None
        spare = pieces - sum(serving.quantity for serving in taken)
        bought.append(Purchase(offer, packs, line_total(offer.pack_price, packs), core, spare, entry.arrives, order_by))
    return tuple(bought)


def parts_bought(found: OrderPlan) -> dict[PartKey, int]:
    """Pieces ordered of each part."""
    pieces: dict[PartKey, int] = {}
    for purchase in found.purchases:
        pieces[purchase.offer.part] = pieces.get(purchase.offer.part, 0) + purchase.pieces
    return pieces
