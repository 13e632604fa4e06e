"""What no plan can serve: the fewest pieces that go without, and then the fewest piece-days that come late.

A demand for which something arrives in time is never late, whatever the others take, so only the rest are looked at.
"""

from __future__ import annotations

from dataclasses import dataclass

from kits.domain.order_plan.flows import Sent, cheapest_flow
from kits.domain.order_plan.situation import Situation


@dataclass(frozen=True, slots=True)
class Wanting:
    """The least that stays wanting in any plan, and one way to serve those demands that reaches it.

    `sent` is by demand and source; only demands that cannot be served in time by an order are in it.
    """

    without: int  # pieces
    piece_days: int
    sent: dict[int, dict[int, int]]


def wanting(found: Situation) -> Wanting:
    hard = hard_demands(found)
    if not hard:
        return Wanting(0, 0, {})
    late: dict[int, dict[int, int]] = {}
    for arc in found.arcs:
        late.setdefault(arc.demand, {})[arc.source] = arc.days_late
    costs = [late.get(demand, {}) for demand in hard]
    wanted = [found.demands[demand].quantity for demand in hard]
    room = [lot.quantity for lot in found.lots] + [sum(wanted)] * len(found.buyable)
    sent = cheapest_flow(room, wanted, costs)
    without = sum(wanted) - sum(sum(row.values()) for row in sent)
    return Wanting(without, _piece_days(sent, costs), dict(zip(hard, sent, strict=True)))


def hard_demands(found: Situation) -> list[int]:
    """The demands for which no offer arrives in time."""
    easy = {arc.demand for arc in found.arcs if arc.source >= len(found.lots) and arc.days_late == 0}
    return [demand for demand in range(len(found.demands)) if demand not in easy]


def _piece_days(sent: Sent, costs: list[dict[int, int]]) -> int:
    return sum(pieces * cost[source] for row, cost in zip(sent, costs, strict=True) for source, pieces in row.items())
