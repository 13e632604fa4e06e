"""Small order questions, and the best answer to each by trying everything. It shares nothing with the planner."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from itertools import product

from hypothesis import strategies as st

from kits.domain.calendars import Calendar, Delivery
from kits.domain.money import Money
from kits.domain.order_plan.question import Need, Offer, OrderQuestion, Promise, Supplier
from kits.domain.stock import Batch, Incoming, StockItem

DAYS = Calendar("both", date(2026, 1, 1), date(2026, 12, 31))
MONDAY = date(2026, 3, 9)
PLACED = datetime(2026, 3, 9, 8, tzinfo=UTC)
PARTS = (("VRD", "A"), ("VRD", "B"))
Worth = tuple[int, int, int]  # pieces without, piece-days late, ticks


def _day(days: int) -> date:
    return MONDAY + timedelta(days=days)


def _need(index: int, quantity: int, day: int, serves: tuple[tuple[str, str], ...]) -> Need:
    return Need(f"L{index}", f"M{index}", PARTS[0], quantity, _day(day), _day(day + 1), serves)


def _offer(index: int, **drawn: object) -> Offer:
    lead = drawn.pop("lead")
    assert lead is None or isinstance(lead, int)
    ticks = drawn.pop("ticks")
    assert isinstance(ticks, int)
    promised = drawn.pop("promised")
    promise = Promise(_day(2), _day(4)) if promised else None
    delivery = None if lead is None else Delivery(lead, DAYS, UTC)
    fields: dict[str, object] = {**drawn, "delivery": delivery, "promise": promise}
    return Offer(f"O{index}", pack_price=Money(ticks, "USD"), **fields)  # type: ignore[arg-type]


# Drawn so that most lines can be bought for in more than one way, or there would be little to find.
SERVES = st.sampled_from([PARTS, (PARTS[0],), (PARTS[1],), PARTS, PARTS, PARTS, (PARTS[0],), ()])
NEEDS = st.lists(st.tuples(st.integers(1, 3), st.integers(1, 3), SERVES), min_size=1, max_size=3).map(
    lambda rows: tuple(_need(index, *row) for index, row in enumerate(rows))
)
OFFERS = st.lists(
    st.fixed_dictionaries(
        {
            "supplier": st.sampled_from("ST"),
            "part": st.sampled_from(PARTS),
            "ticks": st.integers(1, 9),
            "pack": st.sampled_from([1, 2, 3]),
            "minimum": st.sampled_from([0, 4, 2]),
            "lead": st.sampled_from([0, 1, 0, 1, 2, 3, None]),
            "promised": st.sampled_from([False, False, False, False, False, True]),
        }
    ),
    min_size=1,
    max_size=3,
).map(lambda rows: tuple(_offer(index, **row) for index, row in enumerate(rows)))
BATCHES = st.lists(
    st.builds(
        lambda quantity, kept, good: Batch("A", quantity + kept, kept, None, None if good is None else _day(good)),
        st.integers(0, 2), st.integers(0, 1), st.sampled_from([None, None, 1, 3]),
    ),
    max_size=1,
).map(tuple)  # fmt: skip
INCOMING = st.lists(
    st.builds(
        lambda quantity, day: Incoming(quantity, None if day is None else _day(day)),
        st.integers(1, 2), st.sampled_from([None, 1, 3, 5]),
    ),
    max_size=1,
).map(tuple)  # fmt: skip
STOCK = st.tuples(*(st.builds(StockItem, st.just(part), BATCHES, INCOMING) for part in PARTS))
AMOUNT = st.sampled_from([None, 3, 12]).map(lambda ticks: None if ticks is None else Money(ticks, "USD"))
SUPPLIERS = st.tuples(*(st.builds(Supplier, st.just(code), AMOUNT, AMOUNT) for code in "ST"))
QUESTIONS = st.builds(OrderQuestion, NEEDS, STOCK, OFFERS, st.just(PLACED), st.just(UTC), st.just("USD"), SUPPLIERS)


@dataclass(frozen=True)
class _Lot:
    part: tuple[str, str]
    pieces: int
    comes: date
    good_until: date


def best_by_trying(question: OrderQuestion) -> Worth:
    """The least (without, late, cost) of all ways to buy and all ways to hand out."""
    lots = [
        _Lot(item.part, batch.on_hand - batch.reserved, date.min, batch.expires or date.max)
        for item in question.stock
        for batch in item.batches
    ] + [
        _Lot(item.part, coming.quantity, coming.latest, date.max)
        for item in question.stock
        for coming in item.incoming
        if coming.latest is not None
    ]
    offers = [(offer, day) for offer in question.offers if (day := _arrives(offer)) is not None]
    found = []
    for packs in _every_order(question, [offer for offer, _ in offers]):
        bought = [
            _Lot(offer.part, offer.pack * count, day, date.max)
            for (offer, day), count in zip(offers, packs, strict=True)
        ]
        found.append((*_handed_out(question.needs, tuple(lots + bought)), _spent(question, offers, packs)))
    return min(found)


def _arrives(offer: Offer) -> date | None:
    """All lead days of these worlds lie in the week of the order, which no one is closed in."""
    if offer.promise is not None:
        return offer.promise.latest
    return None if offer.delivery is None else _day(offer.delivery.lead_days)


def _every_order(question: OrderQuestion, offers: list[Offer]) -> Iterator[tuple[int, ...]]:
    wanted = sum(need.quantity for need in question.needs)
    values = {entry.code: entry.minimum_value.ticks if entry.minimum_value else 0 for entry in question.suppliers}
    most = [
        max(-(-wanted // offer.pack), -(-offer.minimum // offer.pack))
        + -(-values[offer.supplier] // offer.pack_price.ticks)
        for offer in offers
    ]
    for packs in product(*(range(count + 1) for count in most)):
        rows = list(zip(offers, packs, strict=True))
        if any(0 < count * offer.pack < offer.minimum for offer, count in rows):
            continue
        for code, least in values.items():
            spent = sum(offer.pack_price.ticks * count for offer, count in rows if offer.supplier == code)
            if 0 < spent < least:
                break
        else:
            yield packs


def _spent(question: OrderQuestion, offers: list[tuple[Offer, date]], packs: tuple[int, ...]) -> int:
    rows = [(offer, count) for (offer, _), count in zip(offers, packs, strict=True) if count]
    used = {offer.supplier for offer, _ in rows}
    charges = sum(one.order_charge.ticks for one in question.suppliers if one.code in used and one.order_charge)
    return charges + sum(offer.pack_price.ticks * count for offer, count in rows)


def _handed_out(needs: tuple[Need, ...], lots: tuple[_Lot, ...]) -> tuple[int, int]:
    pieces = [need for need in needs for _ in range(need.quantity)]

    @cache
    def least(index: int, left: tuple[int, ...]) -> tuple[int, int]:
        if index == len(pieces):
            return 0, 0
        without, late = least(index + 1, left)
        found = [(without + 1, late)]
        for place, lot in enumerate(lots):
            need = pieces[index]
            if left[place] and lot.part in need.serves and need.fitted_on <= lot.good_until:
                rest = least(index + 1, (*left[:place], left[place] - 1, *left[place + 1 :]))
                found.append((rest[0], rest[1] + max(0, (lot.comes - need.shelf).days)))
        return min(found)

    return least(0, tuple(lot.pieces for lot in lots))
