"""The question made ready: like needs together, and which source may serve which of them, and how many days late."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from catalog.domain.parts import PartKey
from kits.domain.order_plan.question import Need, Offer, OrderQuestion
from kits.domain.stock import StockItem

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Demand:
    """Needs that the same sources may serve, with the same days late: whatever serves one may serve each."""

    needs: tuple[Need, ...]

    @property
    def quantity(self) -> int:
        return sum(need.quantity for need in self.needs)


@dataclass(frozen=True, slots=True)
class Lot:
    """Free pieces of one part: on the shelf, or here from the day `comes` on; to be fitted up to `good_until`."""

    part: PartKey
    quantity: int
    comes: date | None = None
    good_until: date | None = None


@dataclass(frozen=True, slots=True)
class Buyable:
    """An offer in the plan's currency with the day it arrives, and what an order to its supplier takes besides."""

    offer: Offer
    arrives: date


@dataclass(frozen=True, slots=True)
class Charge:
    """What an order to a supplier costs besides the goods, and the least its goods come to, in ticks."""

    supplier: str
    ticks: int = 0
    minimum: int = 0


@dataclass(frozen=True, slots=True)
class Arc:
    """A source that may serve a demand; sources are the lots and after them the offers, by their order."""

    source: int
    demand: int
    days_late: int


@dataclass(frozen=True, slots=True)
class Situation:
    """`buying` says of each demand whether any offer may serve it; only others can stay without."""

    question: OrderQuestion
    demands: tuple[Demand, ...]
    lots: tuple[Lot, ...]
    buyable: tuple[Buyable, ...]
    charges: tuple[Charge, ...]  # one for each supplier of something buyable, by code
    arcs: tuple[Arc, ...]
    buying: tuple[bool, ...]

    def offer(self, source: int) -> Offer:
        return self.buyable[source - len(self.lots)].offer

    @property
    def offer_sources(self) -> range:
        return range(len(self.lots), len(self.lots) + len(self.buyable))


def situation(question: OrderQuestion) -> Situation:
    """Raises MixedCurrencies where a supplier's charge is in another currency than the plan's.

    Where an offer arrives in time a demand is served in time and by nothing late. Where none does, of the offers only
    the soonest may serve it. Offers in another currency, or with no known day, are not planned with.
    """
    lots = tuple(lot for item in question.stock for lot in _lots(item))
    dated = ((offer, offer.arrives(question.placed)) for offer in question.offers if _in_currency(offer, question))
    buyable = tuple(Buyable(offer, arrives) for offer, arrives in dated if arrives is not None)
    groups = _grouped(question.needs, lots, buyable)
    return Situation(
        question,
        tuple(Demand(tuple(sorted(needs, key=lambda need: (need.shelf, need.id)))) for needs in groups.values()),
        lots, buyable, _charges(question, buyable),
        tuple(Arc(source, demand, late) for demand, served in enumerate(groups) for source, late in served),
        tuple(any(source >= len(lots) for source, _ in served) for served in groups),
    )  # fmt: skip


_Served = tuple[tuple[int, int], ...]  # the sources that may serve a need, each with the days it is late


def _grouped(needs: tuple[Need, ...], lots: tuple[Lot, ...], buyable: tuple[Buyable, ...]) -> dict[_Served, list[Need]]:
    """In an order of its own, whatever the order in which the needs are told."""
    by_part: dict[PartKey, list[int]] = {}
    for source, part in enumerate((*(lot.part for lot in lots), *(entry.offer.part for entry in buyable))):
        by_part.setdefault(part, []).append(source)
    served: dict[tuple[date, date, tuple[PartKey, ...]], _Served] = {}
    groups: dict[_Served, list[Need]] = {}
    for need in needs:
        key = need.shelf, need.fitted_on, tuple(sorted(set(need.serves)))
        if key not in served:
            sources = sorted(source for part in key[2] for source in by_part.get(part, ()))
            served[key] = _served(need, sources, lots, buyable)
        groups.setdefault(served[key], []).append(need)
    return dict(sorted(groups.items()))


def _lots(item: StockItem) -> list[Lot]:
    shelf = [
        Lot(item.part, batch.unreserved, None, batch.expires)
        for batch in sorted(item.batches, key=lambda batch: (batch.expires or date.max, batch.bin))
        # What is refused on the first of all days is refused for what it is, not for the day.
        if batch.unreserved and batch.refusal(date.min, ages=item.ages) is None
    ]
    coming = [
        Lot(item.part, entry.unassigned, entry.latest)
        for entry in item.incoming
        if entry.unassigned and entry.latest is not None
    ]
    return shelf + coming


def _in_currency(offer: Offer, question: OrderQuestion) -> bool:
    return offer.pack_price.currency == question.currency


def _charges(question: OrderQuestion, buyable: tuple[Buyable, ...]) -> tuple[Charge, ...]:
    known = {entry.code: entry for entry in question.suppliers}
    charges = []
    for code in sorted({entry.offer.supplier for entry in buyable}):
        told = known.get(code)
        amounts = (told.order_charge, told.minimum_value) if told else (None, None)
        ticks = [0 if amount is None else amount.ticks_in(question.currency) for amount in amounts]
        charges.append(Charge(code, *ticks))
    return tuple(charges)


def _served(need: Need, sources: list[int], lots: tuple[Lot, ...], buyable: tuple[Buyable, ...]) -> _Served:
    stocked, bought = [], []
    for source in sources:
        if source >= len(lots):
            bought.append((source, _late(buyable[source - len(lots)].arrives, need.shelf)))
            continue
        lot = lots[source]
        if lot.good_until is None or need.fitted_on <= lot.good_until:
            stocked.append((source, _late(lot.comes, need.shelf)))
    soonest = min((late for _, late in bought), default=None)
    if soonest == 0:
        stocked = [(source, late) for source, late in stocked if late == 0]
    return (*stocked, *((source, late) for source, late in bought if late == soonest))


def _late(comes: date | None, shelf: date) -> int:
    return max(0, (comes - shelf) // _DAY) if comes is not None else 0
