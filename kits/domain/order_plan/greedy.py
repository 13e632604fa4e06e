"""A plan at once: stock first, then for each demand the offer that adds least to the cost, then suppliers dropped."""

from __future__ import annotations

from dataclasses import dataclass, field

from kits.domain.order_plan.drafts import Draft, cost_of
from kits.domain.order_plan.situation import Charge, Situation
from kits.domain.order_plan.wanting import Wanting


def greedy(found: Situation, least: Wanting) -> Draft:
    """A plan that holds, leaves no more wanting than is needed, and need not be the cheapest."""
    best = _Cart(found, least).filled()
    if best is None:  # every demand has an offer that may serve it or none at all, so nothing can be in the way
        raise AssertionError("A plan without any supplier left out was not to be made.")
    dropped: frozenset[str] = frozenset()
    tried: set[str] = set()
    while True:
        used = {entry.offer.supplier for entry, count in zip(found.buyable, best.packs, strict=True) if count}
        untried = sorted(used - tried)
        if not untried:
            return best
        tried.add(untried[0])
        without = _Cart(found, least, dropped | {untried[0]}).filled()
        if without is not None and without.ticks < best.ticks:
            best, dropped = without, dropped | {untried[0]}


@dataclass(slots=True)
class _Cart:
    """What has been put together so far."""

    found: Situation
    least: Wanting
    closed: frozenset[str] = frozenset()  # suppliers that get no order
    packs: list[int] = field(default_factory=list)
    room: list[int] = field(default_factory=list)
    sent: list[dict[int, int]] = field(default_factory=list)
    charges: dict[str, Charge] = field(default_factory=dict)
    spent: dict[str, int] = field(default_factory=dict)  # ticks for goods by supplier

    def filled(self) -> Draft | None:
        """The plan, or None where a demand cannot do without a supplier that is closed."""
        found = self.found
        self.packs = [0] * len(found.buyable)
        self.room = [lot.quantity for lot in found.lots] + [0] * len(found.buyable)
        self.sent = [{} for _ in found.demands]
        self.charges = {charge.supplier: charge for charge in found.charges}
        self.spent = {charge.supplier: 0 for charge in found.charges}
        sources: list[list[int]] = [[] for _ in found.demands]
        for arc in found.arcs:
            sources[arc.demand].append(arc.source)
        bought = [[one for one in row if one >= len(found.lots) and self._open(one)] for row in sources]
        self._serve_hard_ones()
        left = self._from_stock(sources, bought)
        # What can be had from few offers goes first: what it buys may serve the others too.
        for demand in sorted(left, key=lambda one: (len(bought[one]), one)):
            if not self._buy(demand, left[demand], bought[demand]):
                return None
        self._meet_minimum_values()
        return Draft(tuple(self.packs), tuple(self.sent), cost_of(tuple(self.packs), found))

    def _open(self, source: int) -> bool:
        return self.found.offer(source).supplier not in self.closed

    def _serve_hard_ones(self) -> None:
        """Stock where the least wanting needs it; what they must buy late is bought with the rest."""
        for demand, row in self.least.sent.items():
            for source, pieces in row.items():
                if source < len(self.found.lots):
                    self._send(source, demand, pieces)

    def _from_stock(self, sources: list[list[int]], bought: list[list[int]]) -> dict[int, int]:
        """Free stock to the demands that are dearest to buy for; what each must still buy."""
        left = {}
        for demand in sorted(range(len(sources)), key=lambda one: (-self._dear(bought[one]), one)):
            wanted = self.found.demands[demand].quantity - sum(self.sent[demand].values())
            if demand not in self.least.sent:
                for source in sources[demand]:
                    pieces = min(wanted, self.room[source])
                    if source < len(self.found.lots) and pieces:
                        self._send(source, demand, pieces)
                        wanted -= pieces
            if wanted and self.found.buying[demand]:
                left[demand] = wanted
        return left

    def _dear(self, bought: list[int]) -> int:
        offers = [self.found.offer(source) for source in bought]
        return min((offer.pack_price.ticks // offer.pack for offer in offers), default=0)

    def _buy(self, demand: int, wanted: int, bought: list[int]) -> bool:
        for source in bought:
            pieces = min(wanted, self.room[source])
            if pieces:
                self._send(source, demand, pieces)
                wanted -= pieces
        if not wanted:
            return True
        if not bought:
            return False
        source, pieces = self._best_step(wanted, bought)
        self._add_packs(source, self._packs_for(source, pieces))
        self._send(source, demand, pieces)
        return self._buy(demand, wanted - pieces, bought)

    def _best_step(self, wanted: int, bought: list[int]) -> tuple[int, int]:
        """What to buy next and for how many pieces: for all at once, or whole packs now and the rest elsewhere."""
        at_once = {source: self._added_cost(source, wanted) for source in bought}
        choices = [(cost, 0, source, wanted) for source, cost in at_once.items()]
        for source in bought:
            offer = self.found.offer(source)
            full = wanted // offer.pack * offer.pack
            if 0 < full < wanted:
                rest = min(self._added_cost(one, wanted - full) for one in bought)
                choices.append((self._added_cost(source, full) + rest, 1, source, full))
        _, _, source, pieces = min(choices)
        return source, pieces

    def _packs_for(self, source: int, wanted: int) -> int:
        """Packs to add for that many pieces: the minimum at least where none are bought yet."""
        offer = self.found.offer(source)
        packs = -(-wanted // offer.pack)
        return packs if self.packs[source - len(self.found.lots)] else max(packs, offer.least_packs)

    def _added_cost(self, source: int, wanted: int) -> int:
        offer = self.found.offer(source)
        goods = offer.pack_price.ticks * self._packs_for(source, wanted)
        charge = self.charges[offer.supplier]
        return goods + (0 if self.spent[offer.supplier] else charge.ticks + max(0, charge.minimum - goods))

    def _meet_minimum_values(self) -> None:
        for charge in self.found.charges:
            spent = self.spent[charge.supplier]
            if not 0 < spent < charge.minimum:
                continue
            short = charge.minimum - spent
            source, packs = min(
                (
                    (source, max(-(-short // self.found.offer(source).pack_price.ticks), self._packs_for(source, 0)))
                    for source in self.found.offer_sources
                    if self.found.offer(source).supplier == charge.supplier
                ),
                key=lambda choice: (self.found.offer(choice[0]).pack_price.ticks * choice[1], choice[0]),
            )
            self._add_packs(source, packs)

    def _add_packs(self, source: int, packs: int) -> None:
        offer = self.found.offer(source)
        self.packs[source - len(self.found.lots)] += packs
        self.room[source] += packs * offer.pack
        self.spent[offer.supplier] += packs * offer.pack_price.ticks

    def _send(self, source: int, demand: int, pieces: int) -> None:
        self.room[source] -= pieces
        self.sent[demand][source] = self.sent[demand].get(source, 0) + pieces
