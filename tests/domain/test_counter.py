"""What is said at the counter of a shelf: order of offers, days, and what is not known (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.answers import Verdict
from kits.domain.calendars import Calendar, Delivery
from kits.domain.counter.offering import Choice, Feed, OfferFirst, OfferState, Sort, age_of, in_order, offer_state
from kits.domain.counter.shelf import Counter, Offered, OnShelf, ordered_now
from kits.domain.counter.words import day_words, headline_stock, shelf_words
from kits.domain.money import money
from kits.domain.order_plan.question import Offer, Promise
from kits.domain.stock import Batch, Incoming, StockItem

pytestmark = pytest.mark.domain

PARIS = ZoneInfo("Europe/Paris")
TUESDAY = date(2026, 3, 31)
COUNTER = Counter("Tallis Bridge", datetime(2026, 3, 31, 8, 15, tzinfo=UTC), TUESDAY, PARIS)
OLD, NEW = ("VRD", "0021-450"), ("VRD", "0021-460")
CLOSED = frozenset({date(2026, 4, 3), date(2026, 4, 6)})
OPEN = Calendar("both", date(2026, 1, 1), date(2026, 12, 31), CLOSED)
FRESH = age_of([Feed("nightly", COUNTER.now - timedelta(hours=7), date(2026, 3, 30))], COUNTER)


def shelf(part: tuple[str, str] = NEW, free: int = 0, needed: int | None = 1, **more: Any) -> OnShelf:
    item = StockItem(part, (Batch("C-3", free),)) if free else StockItem(part)
    return replace(OnShelf(part, needed, item=item), **more)


def offer(supplier: str = "fenmoor", lead: int | None = 4, **more: Any) -> Offered:
    delivery = None if lead is None else Delivery(lead, OPEN, PARIS, time(16))
    made = Offer(supplier, supplier, NEW, money("85.20", "USD"), pack=6, minimum=6, delivery=delivery)
    return Offered(replace(made, **more), supplier.title())


def choice(sort: Sort, verdict: Verdict, *shelves: OnShelf) -> Choice:
    return Choice(sort, verdict, tuple((one,) for one in shelves))


def test_old_stock_that_lies_free_is_named_with_its_bin_and_when_the_current_number_comes() -> None:
    coming = StockItem(NEW, (), (Incoming(6, date(2026, 4, 2)),))
    choices = in_order(
        choice(Sort.CURRENT, Verdict.ACCEPTED, shelf(item=coming)),
        [choice(Sort.OLD_STOCK, Verdict.ACCEPTED, shelf(OLD, 4))], OfferFirst.OLD_STOCK, TUESDAY,
    )  # fmt: skip
    assert headline_stock(choices, (), FRESH, COUNTER, why_not="") == (
        "VRD 0021-450: 4 free here in bin C-3; the current number VRD 0021-460 is out of stock, 6 arrive by Thu 2 Apr."
    )


def test_what_is_not_recorded_here_is_not_said_to_be_none() -> None:
    unknown = OnShelf(NEW, 1)
    assert (unknown.free(TUESDAY), unknown.short(TUESDAY), unknown.enough(TUESDAY)) == (None, None, None)
    assert "nothing is recorded of it at Tallis Bridge" in shelf_words(unknown, COUNTER)
    assert shelf().free(TUESDAY) == 0
    assert "out of stock" in shelf_words(shelf(), COUNTER)


def test_reserved_pieces_are_not_free_and_an_unknown_need_is_not_short() -> None:
    item = StockItem(NEW, (Batch("C-3", 3, reserved=3),))
    assert OnShelf(NEW, 1, item=item).short(TUESDAY) == 1
    assert OnShelf(NEW, None, item=item).short(TUESDAY) is None
    assert "VRD 0021-460 is not free (3 on hand, 3 promised)" in shelf_words(OnShelf(NEW, 1, item=item), COUNTER)


@pytest.mark.parametrize(
    ("batch", "words"),
    [
        (Batch("B-1", 2, date_code=date(2019, 3, 1), expires=date(2026, 3, 30)), "too old"),
        (Batch("B-1", 2), "without a date code"),
        (Batch("B-1", 2, date_code=date(2026, 1, 1)), "with a date code, and until when"),
    ],
)
def test_what_is_too_old_or_of_unknown_age_is_passed_over_and_said(batch: Batch, words: str) -> None:
    ageing = OnShelf(NEW, 1, item=StockItem(NEW, (batch,), ages=True))
    assert ageing.free(TUESDAY) == 0
    assert f"2 in bin B-1 passed over: {words}" in shelf_words(ageing, COUNTER)
    assert "not free (2 on hand, 2 passed over for their age)" in shelf_words(ageing, COUNTER)


def test_the_last_day_still_counts() -> None:
    batch = Batch("B-1", 2, date_code=date(2019, 3, 1), expires=TUESDAY)
    assert OnShelf(NEW, 1, item=StockItem(NEW, (batch,), ages=True)).free(TUESDAY) == 2


def test_an_order_counts_both_sides_working_days_and_the_cut_off_of_the_supplier() -> None:
    """Four working days from Tuesday, both closed on Friday and Monday (trade.md section 5)."""
    found = ordered_now(shelf(offers=(offer(),)), COUNTER)
    assert found.arrival is not None
    assert (found.arrival.on, found.arrival.pieces) == (date(2026, 4, 8), 6)
    assert found.arrival.last is not None
    assert found.arrival.last.instant == datetime(2026, 3, 31, 14, tzinfo=UTC)
    late = ordered_now(shelf(offers=(offer(),)), replace(COUNTER, now=datetime(2026, 3, 31, 14, 1, tzinfo=UTC)))
    assert late.arrival is not None
    assert late.arrival.on == date(2026, 4, 9)


def test_the_quickest_supplier_is_named_and_what_is_missing_of_the_others_is_asked() -> None:
    silent = replace(offer("omberley", lead=None), lacks="How many working days does Omberley take?")
    found = ordered_now(shelf(offers=(offer(lead=7), silent, offer("quick", lead=1))), COUNTER)
    assert found.arrival is not None
    assert (found.arrival.by.supplier, found.arrival.on) == ("Quick", date(2026, 4, 1))
    assert found.missing == ("How many working days does Omberley take?",)


def test_without_a_lead_time_no_day_is_told_and_the_fact_is_named() -> None:
    silent = replace(offer(lead=None), lacks="How many working days does Fenmoor take?")
    found = ordered_now(shelf(offers=(silent,)), COUNTER)
    assert (found.arrival, found.missing) == (None, ("How many working days does Fenmoor take?",))
    assert "not known: How many working days" in shelf_words(shelf(offers=(silent,)), COUNTER)
    assert "Which supplier has VRD 0021-460" in ordered_now(shelf(), COUNTER).missing[0]


def test_beyond_the_known_closed_days_no_day_is_told() -> None:
    found = ordered_now(shelf(offers=(offer(lead=300),)), COUNTER)
    assert found.arrival is None
    assert "are known from 2026-01-01 to 2026-12-31" in found.missing[0]


def test_a_back_order_is_a_range_that_ordering_early_does_not_hasten() -> None:
    promise = Promise(date(2026, 4, 20), date(2026, 4, 22))
    found = ordered_now(shelf(offers=(offer(promise=promise),)), COUNTER)
    assert found.arrival is not None
    assert (found.arrival.back_order, found.arrival.on, found.arrival.last) == (promise.earliest, promise.latest, None)


def test_a_conditional_part_is_never_named_without_that_word() -> None:
    only_if = choice(Sort.CURRENT, Verdict.CONDITIONAL, shelf(free=2))
    said = headline_stock(in_order(only_if, (), OfferFirst.OLD_STOCK, TUESDAY), (), FRESH, COUNTER, why_not="")
    assert said.startswith("Only with its conditions: VRD 0021-460: 2 free here")
    instead = headline_stock((), [replace(only_if, sort=Sort.ALTERNATIVE)], FRESH, COUNTER, why_not="X is not for it")
    assert instead.startswith("X is not for it; instead only with its conditions: VRD 0021-460")
    assert headline_stock((), (), FRESH, COUNTER, why_not="X: which serial?") == (
        "X: which serial? Nothing that would do here lies free."
    )


def test_a_set_is_there_only_where_all_of_it_is() -> None:
    """All or nothing: common practice, no source."""
    rings, studs = ("OLM", "7702"), ("OLM", "7703")
    whole = choice(Sort.CURRENT, Verdict.ACCEPTED, shelf(rings, 5, 2), shelf(studs, 9, 4))
    assert (whole.free(TUESDAY), whole.enough(TUESDAY), whole.lies_free(TUESDAY)) == (2, True, True)
    torn = choice(Sort.CURRENT, Verdict.ACCEPTED, shelf(rings, 5, 2), shelf(studs, 0, 4))
    assert (torn.free(TUESDAY), torn.enough(TUESDAY), torn.lies_free(TUESDAY)) == (0, False, False)


def test_oil_lies_free_where_any_container_of_it_does() -> None:
    oil = ("OLM", "LG-40")
    sizes = (shelf(oil, 0, None, content=1_000_000), shelf(oil, 3, None, content=20_000_000))
    one = Choice(Sort.CURRENT, Verdict.ACCEPTED, (sizes,))
    assert (one.lies_free(TUESDAY), one.free(TUESDAY), one.enough(TUESDAY)) == (True, None, None)
    said = headline_stock((one,), (), FRESH, COUNTER, why_not="")
    assert said == "OLM LG-40 in containers of 20 L: 3 free here in bin C-3."


@pytest.mark.parametrize(
    ("hours", "supplied", "stale"),
    [(7, date(2026, 3, 30), False), (24, date(2026, 3, 30), False), (25, date(2026, 3, 30), True),
     (7, date(2026, 3, 29), True)],
)  # fmt: skip
def test_stock_older_than_a_day_is_marked(hours: int, supplied: date, stale: bool) -> None:
    feed = Feed("nightly", COUNTER.now - timedelta(hours=hours), supplied)
    assert age_of([feed], COUNTER).stale is stale


def test_the_feed_heard_least_lately_says_how_old_it_is() -> None:
    fresh, old = (Feed(name, COUNTER.now - timedelta(days=days), date(2026, 3, 31 - days))
                  for name, days in (("north", 0), ("south", 9)))  # fmt: skip
    found = age_of([fresh, old], COUNTER)
    assert (found.as_of, found.stale) == (old, True)
    said = headline_stock([choice(Sort.CURRENT, Verdict.ACCEPTED, shelf(free=2))], (), found, COUNTER, why_not="")
    assert said.endswith("Stock is as of Sun 22 Mar.")
    assert age_of([], COUNTER).stale is None


def test_another_year_is_named() -> None:
    assert day_words(date(2027, 1, 4), TUESDAY) == "Mon 4 Jan 2027"


VERDICTS = st.sampled_from(Verdict)
OLD_CHOICES = st.lists(st.tuples(VERDICTS, st.integers(0, 3)), max_size=4)


@given(VERDICTS, OLD_CHOICES, st.sampled_from(OfferFirst))
def test_nothing_is_offered_without_a_yes_and_nothing_worse_stands_before_the_current_number(
    verdict: Verdict, old: list[tuple[Verdict, int]], first: OfferFirst
) -> None:
    current = choice(Sort.CURRENT, verdict, shelf())
    earlier = [choice(Sort.OLD_STOCK, found, shelf(OLD, free)) for found, free in old]
    found = in_order(current, earlier, first, TUESDAY)
    assert all(offer_state(one.verdict) is not OfferState.NOT_OFFERED for one in found)
    assert (current in found) == (offer_state(verdict) is not OfferState.NOT_OFFERED)
    before = found[: found.index(current)] if current in found else ()
    assert all(one.lies_free(TUESDAY) and one.verdict in (Verdict.ACCEPTED, verdict) for one in before)
    assert not before or first is OfferFirst.OLD_STOCK
