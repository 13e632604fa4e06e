"""The worked example of the trade notes: Tallis Bridge, week of Monday 13 April 2026 (scenario 33).

Supplier prices of loose parts are those of the notes where they state one; the rest are invented.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from kits.domain.calendars import Calendar, Delivery, shelf_date
from kits.domain.money import MixedCurrencies, money
from kits.domain.order_plan.late import Way
from kits.domain.order_plan.planning import OrderPlan, parts_bought, plan
from kits.domain.order_plan.question import Elsewhere, Need, Offer, OrderQuestion, Promise, Supplier
from kits.domain.stock import Batch, Incoming, StockItem
from kits.solver import HighsSolver
from service.errors import Invalid

pytestmark = pytest.mark.domain

PARIS = ZoneInfo("Europe/Paris")
DAYS = Calendar(
    "shop and Fenmoor", date(2026, 1, 1), date(2026, 12, 31), frozenset({date(2026, 4, 3), date(2026, 4, 6)})
)
SERVICE = date(2026, 4, 13)
SHELF = shelf_date(DAYS, SERVICE)
FILTER, OLD_FILTER, PLUG = ("VRD", "0021-460"), ("VRD", "0021-450"), ("VRD", "4410-12")
AIR, LOCK_OFF, PCV, GAS_FILTER = ("VRD", "2051"), ("VRD", "6611"), ("VRD", "3307"), ("TSK", "1102")
REGULATOR = ("VRD", "7100-R")
RESURFACERS, TRUCKS_250, TRUCKS_500 = ("118402", "118377"), ("131001", "131002"), ("131003", "131004")


def need(machine: str, part: tuple[str, str], quantity: int, *old: tuple[str, str]) -> Need:
    return Need(f"{machine} {part[1]}", machine, part, quantity, SHELF, SERVICE, (part,), old)


def offer(part: tuple[str, str], price: str, pack: int, lead: int | None) -> Offer:
    delivery = None if lead is None else Delivery(lead, DAYS, PARIS)
    return Offer(f"F {part[1]}", "Fenmoor", part, money(price, "USD"), pack, pack, delivery)


NEEDS = (
    *(need(serial, FILTER, 1, OLD_FILTER) for serial in RESURFACERS),
    *(need(serial, FILTER, 1) for serial in (*TRUCKS_250, *TRUCKS_500)),
    *(
        need(serial, part, quantity)
        for serial in (*RESURFACERS, *TRUCKS_500)
        for part, quantity in ((PLUG, 4), (AIR, 1), (LOCK_OFF, 1), (PCV, 1))
    ),
    need("61622", GAS_FILTER, 2),
)
STOCK = tuple(
    StockItem(part, (Batch("A1", on_hand, reserved),))
    for part, on_hand, reserved in (
        (FILTER, 5, 2), (PLUG, 20, 8), (AIR, 4, 0), (LOCK_OFF, 0, 0), (PCV, 0, 0), (GAS_FILTER, 1, 0),
        (OLD_FILTER, 4, 0),
    )
)  # fmt: skip
PCV_OFFER = Offer(
    "F 3307", "Fenmoor", PCV, money("18.60", "USD"), promise=Promise(date(2026, 4, 20), date(2026, 4, 22))
)
OFFERS = (
    offer(FILTER, "85.20", 6, 4), offer(PLUG, "37.60", 4, 4), offer(AIR, "31.50", 1, 4), offer(LOCK_OFF, "55.60", 2, 7),
    offer(GAS_FILTER, "16.00", 1, 10), PCV_OFFER,
)  # fmt: skip
WEEK = OrderQuestion(NEEDS, STOCK, OFFERS, datetime(2026, 3, 9, 8, tzinfo=UTC), PARIS, "USD")


def order_days(found: OrderPlan) -> dict[tuple[str, str], date | None]:
    return {one.offer.part: one.order_by.day if one.order_by else None for one in found.purchases}


def test_the_week_is_ordered_as_in_the_worked_example() -> None:
    """Scenario 33: pieces and order-by dates; the air elements on the shelf are enough."""
    found = plan(WEEK, HighsSolver(), 10)
    assert {one.shelf for one in WEEK.needs} == {date(2026, 4, 10)}
    assert parts_bought(found) == {FILTER: 6, PLUG: 4, LOCK_OFF: 4, PCV: 4, GAS_FILTER: 1}
    assert order_days(found) == {
        FILTER: date(2026, 4, 2),
        PLUG: date(2026, 4, 2),
        LOCK_OFF: date(2026, 3, 30),
        GAS_FILTER: date(2026, 3, 25),
        PCV: None,
    }
    # One pack each of filters and plugs, two packs of lock-off filters, four valves and one gas filter.
    assert found.cost.shown == found.goods.shown == "324.40 USD"
    assert found.gap == 0
    assert parts_bought(plan(WEEK)) == parts_bought(found)


def test_the_valve_on_back_order_is_late_with_its_range_and_no_substitute_is_taken() -> None:
    """Scenario 33: PCV 3307 late, 22 April."""
    late = plan(WEEK).late
    assert {(line.part, line.arrives, line.promised_from) for line in late} == {
        (PCV, date(2026, 4, 22), date(2026, 4, 20))
    }
    assert sum(line.quantity for line in late) == 4
    assert {tuple(one.way for one in line.ways) for line in late} == {(Way.MOVE_JOB, Way.DO_THE_REST)}


def test_a_checked_substitute_and_another_branch_are_shown_and_not_taken() -> None:
    other = ("VRD", "3307-B")
    needs = tuple(replace(one, alternatives=(other,)) if one.part == PCV else one for one in NEEDS)
    asked = replace(
        WEEK, needs=needs, stock=(*STOCK, StockItem(other, (Batch("C1", 4),))), elsewhere=(Elsewhere("North", PCV, 2),)
    )
    found = plan(asked)
    assert parts_bought(found)[PCV] == 4
    assert all(serving.part != other for serving in found.servings)
    assert {tuple(one.way for one in line.ways) for line in found.late} == {
        (Way.MOVE_JOB, Way.DO_THE_REST, Way.CHECKED_SUBSTITUTE, Way.OTHER_BRANCH)
    }


def test_old_filters_serve_only_the_engines_they_are_allowed_on_and_only_once_decided() -> None:
    """Need for 0021-460 drops from 6 to 4, short 1; still one pack of 6."""
    undecided = plan(WEEK)
    assert all(one.part != OLD_FILTER for one in undecided.servings)
    needs = tuple(replace(one, serves=(*one.serves, *one.alternatives)) for one in NEEDS)
    # So that the old ones are needed at all: nothing of the new number is free.
    stock = tuple(replace(one, batches=(Batch("A1", 5, 5),)) if one.part == FILTER else one for one in STOCK)
    found = plan(replace(WEEK, needs=needs, stock=stock), HighsSolver(), 10)
    old = {one.line for one in found.servings if one.part == OLD_FILTER}
    assert old <= {f"{serial} 0021-460" for serial in RESURFACERS}
    assert parts_bought(found)[FILTER] == 6


def test_a_truck_that_was_sold_leaves_one_filter_to_spare() -> None:
    """Filter need 6 -> 5, order still 6 and one more spare."""
    sold = replace(WEEK, needs=tuple(one for one in NEEDS if one.machine != "131004"))
    before, after = (next(one for one in plan(asked).purchases if one.offer.part == FILTER) for asked in (WEEK, sold))
    assert (before.pieces, after.pieces) == (6, 6)
    assert (before.spare, after.spare) == (3, 4)


def test_asked_too_late_the_long_lead_is_late_and_the_rest_is_not() -> None:
    """On Tuesday 31 March the seven-day part, last safe on Monday the 30th, comes on Monday 13 April."""
    found = plan(replace(WEEK, placed=datetime(2026, 3, 31, 8, tzinfo=UTC)))
    assert {line.part: line.arrives for line in found.late} == {
        LOCK_OFF: date(2026, 4, 13),
        GAS_FILTER: date(2026, 4, 16),
        PCV: date(2026, 4, 22),
    }


def test_a_core_charge_is_apart_and_in_no_total_of_goods() -> None:
    """212.00 + core 60.00: 272.00 now, 60.00 back."""
    rebuilt = Offer(
        "F R",
        "Fenmoor",
        REGULATOR,
        money("212.00", "USD"),
        delivery=Delivery(4, DAYS, PARIS),
        core=money("60.00", "USD"),
    )
    found = plan(replace(WEEK, needs=(need("131003", REGULATOR, 1),), offers=(rebuilt,)))
    assert (found.goods.shown, [core.shown for core in found.cores]) == ("212.00 USD", ["60.00 USD"])
    assert (found.goods + found.cores[0]).amount == "272.00"


def test_offers_in_another_currency_are_not_weighed_and_are_named() -> None:
    euros = replace(offer(FILTER, "14.00", 1, 4), pack_price=money("14.00", "EUR"))
    found = plan(replace(WEEK, needs=(need("131001", FILTER, 4),), offers=(euros,)))
    assert found.purchases == ()
    assert [(line.quantity, line.arrives) for line in found.late] == [(1, None)]
    assert [one.way for one in found.late[0].ways] == [Way.DO_THE_REST, Way.OTHER_CURRENCY]
    with pytest.raises(MixedCurrencies):
        plan(replace(WEEK, suppliers=(Supplier("Fenmoor", money("5", "EUR")),)))


def test_a_line_that_nothing_is_settled_for_and_one_nobody_can_date_say_what_to_do() -> None:
    unsettled = replace(need("131001", FILTER, 1), serves=())
    undated = need("131002", LOCK_OFF, 1)
    unpriced = need("131003", PCV, 1)
    found = plan(replace(WEEK, needs=(unsettled, undated, unpriced), offers=(offer(LOCK_OFF, "55.60", 2, None),)))
    assert {line.part: [one.way for one in line.ways] for line in found.late} == {
        FILTER: [Way.SETTLE_LINE],
        LOCK_OFF: [Way.DO_THE_REST, Way.ASK_SUPPLIER],
        PCV: [Way.DO_THE_REST, Way.FIND_SUPPLIER],
    }


def test_incoming_in_time_is_used_before_anything_is_bought_and_unpromised_is_not() -> None:
    stock = (StockItem(LOCK_OFF, (), (Incoming(2, SHELF), Incoming(9))),)
    found = plan(replace(WEEK, needs=(need("131003", LOCK_OFF, 3),), stock=stock))
    assert parts_bought(found) == {LOCK_OFF: 2}


def test_pieces_too_old_on_the_day_or_of_unknown_age_serve_no_line() -> None:
    """Age-limited goods: one good up to the day it is fitted, one that is not, one without a code."""
    coded = date(2024, 5, 1)
    batches = (
        Batch("A1", 1, 0, coded, SERVICE), Batch("A2", 1, 0, coded, SHELF), Batch("A3", 1), Batch("A4", 1, 0, coded),
    )  # fmt: skip
    found = plan(replace(WEEK, needs=(need("131003", LOCK_OFF, 3),), stock=(StockItem(LOCK_OFF, batches, ages=True),)))
    assert parts_bought(found) == {LOCK_OFF: 2}


def test_being_in_time_comes_before_what_it_costs() -> None:
    late, dear = offer(FILTER, "5.00", 1, 30), replace(offer(FILTER, "50.00", 1, 1), id="dear")
    found = plan(replace(WEEK, needs=(need("131003", FILTER, 1),), stock=(), offers=(late, dear)), HighsSolver(), 10)
    assert [one.offer.id for one in found.purchases] == ["dear"]
    assert found.late == ()


def test_the_solver_finds_the_mix_of_packs_that_the_plan_at_once_misses() -> None:
    """Seven pieces from threes at 5.00 and twos at 4.00: 3+2+2 is 13.00."""
    threes, twos = offer(FILTER, "5.00", 3, 1), replace(offer(FILTER, "4.00", 2, 1), id="twos")
    asked = replace(WEEK, needs=(need("131003", FILTER, 7),), stock=(), offers=(threes, twos))
    at_once, solved = plan(asked), plan(asked, HighsSolver(), 10)
    assert (at_once.cost.amount, solved.cost.amount) == ("14.00", "13.00")
    assert at_once.gap > 0
    assert solved.gap == 0


def test_a_supplier_whose_order_charge_does_not_pay_is_dropped() -> None:
    cheap, dear = offer(FILTER, "5.00", 1, 1), replace(offer(FILTER, "6.00", 1, 1), id="dear", supplier="Other")
    charged = (Supplier("Fenmoor", money("2.00", "USD"), money("20.00", "USD")),)
    asked = replace(WEEK, needs=(need("131003", FILTER, 3),), stock=(), offers=(cheap, dear), suppliers=charged)
    assert [one.offer.id for one in plan(asked).purchases] == ["dear"]
    many = plan(replace(asked, needs=(need("131003", FILTER, 4),), offers=(cheap,)), HighsSolver(), 10)
    assert (many.cost.amount, many.goods.amount, many.charges.amount) == ("22.00", "20.00", "2.00")


def test_what_is_named_twice_or_has_no_price_is_refused() -> None:
    with pytest.raises(Invalid):
        replace(WEEK, needs=(NEEDS[0], NEEDS[0]))
    with pytest.raises(Invalid):
        offer(FILTER, "0", 1, 1)
    with pytest.raises(Invalid):
        need("131001", FILTER, 0)
