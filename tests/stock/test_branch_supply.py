"""What a branch can use and buy, loaded from rows (trade.md section 5, scenario 33; the rest is common practice)."""

from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from kits.domain.calendars import shelf_date
from kits.domain.money import money
from kits.domain.stock import order_quantity
from kits.models import Incoming, StockBatch
from kits.usecases.branch_supply import branch_supply
from kits.usecases.working_days import branch_calendar
from service.operations.models import ClosedDate, Dealer
from tests.stock.rows import calendar, example, fenmoor, item, main_branch, other_branch, part, priced

pytestmark = pytest.mark.db
SERVICE, TODAY = date(2026, 4, 13), date(2026, 3, 9)
PARIS = ZoneInfo("Europe/Paris")
# need, free, short, order, order by; None where it is not to be ordered or comes too late
TABLE = {
    ("VRD", "0021-460"): (6, 3, 3, 6, date(2026, 4, 2)),
    ("VRD", "4410-12"): (16, 12, 4, 4, date(2026, 4, 2)),
    ("VRD", "2051"): (4, 4, 0, 0, date(2026, 4, 2)),
    ("VRD", "6611"): (4, 0, 4, 4, date(2026, 3, 30)),
    ("VRD", "3307"): (4, 0, 4, 4, None),
    ("TSK", "1102"): (2, 1, 1, 1, date(2026, 3, 25)),
}


def ids(parts: Any) -> list[int]:
    return [one.pk for one in parts]


def test_the_worked_example_comes_out_of_the_rows(tallis_bridge: Dealer) -> None:
    branch = main_branch(tallis_bridge)
    supply = branch_supply(branch, ids(example(tallis_bridge)), fitted_on=SERVICE, today=TODAY)
    assert supply.calendar is not None
    assert supply.missing == ()
    shelf = shelf_date(supply.calendar, SERVICE)
    assert shelf == date(2026, 4, 10)
    offers = {offer.part: offer for offer in supply.offers}
    found = {}
    for key, (need, *_) in TABLE.items():
        stock, offer = supply.item(key), offers[key]
        short = stock.short(need, shelf=shelf, fitted_on=SERVICE)
        last = offer.last_order(shelf, PARIS)
        order = order_quantity(short, offer.pack, offer.minimum)
        found[key] = (need, stock.free(SERVICE), short, order, last.day if last else None)
    assert found == TABLE
    promise = offers["VRD", "3307"].promise
    assert promise is not None
    assert promise.latest == date(2026, 4, 22)
    assert offers["VRD", "0021-460"].pack_price == money("85.20", "USD")


def test_the_number_of_statements_does_not_grow_with_the_parts(
    tallis_bridge: Dealer, django_assert_num_queries: Any
) -> None:
    parts = example(tallis_bridge)
    for asked in (parts[:1], parts):
        branch = main_branch(tallis_bridge)
        with django_assert_num_queries(8):
            branch_supply(branch, ids(asked), fitted_on=SERVICE, today=TODAY)


def test_without_a_calendar_nobody_knows_when_it_comes_and_the_question_is_asked(tallis_bridge: Dealer) -> None:
    supplier, one = fenmoor(tallis_bridge), part("VRD", "0021-460")
    priced(supplier, one, 142_000, lead_days=4)
    supply = branch_supply(main_branch(tallis_bridge), [one.pk], fitted_on=SERVICE, today=TODAY)
    assert [offer.delivery for offer in supply.offers] == [None]
    assert supply.missing == ("On which days does Fenmoor Engine & Pump work? Record its calendar.",)


def test_a_lead_time_not_on_record_is_asked_for(tallis_bridge: Dealer) -> None:
    one = part("VRD", "0021-460")
    priced(fenmoor(tallis_bridge, calendar=calendar(tallis_bridge, "fenmoor")), one, 142_000)
    supply = branch_supply(main_branch(tallis_bridge), [one.pk], fitted_on=SERVICE, today=TODAY)
    assert supply.missing == ("How many working days does Fenmoor Engine & Pump take for VRD 0021-460?",)


def test_a_branch_of_which_no_closed_date_is_known_is_asked_about(tallis_bridge: Dealer) -> None:
    branch, one = main_branch(tallis_bridge), part("VRD", "0021-460")
    ClosedDate.objects.filter(branch=branch).delete()
    assert branch_calendar(branch) is None
    supply = branch_supply(branch, [one.pk], fitted_on=SERVICE, today=TODAY)
    assert supply.calendar is None
    assert "On which days does Tallis Bridge Power Service work?" in supply.missing[0]


def test_a_branch_with_a_calendar_keeps_its_own_closed_dates_and_weekdays(tallis_bridge: Dealer) -> None:
    branch = main_branch(tallis_bridge)
    days = calendar(tallis_bridge, "shop", branch=branch, country="FR", worked_weekday_bits=0b111111)
    days.days.create(date=date(2026, 5, 1), closed=False)
    ClosedDate.objects.create(branch=branch, date=date(2026, 5, 4))
    own = branch_calendar(branch)
    assert own is not None
    worked = {day: own.works_on(date(2026, 5, day)) for day in (1, 2, 4, 8)}
    # 1 and 8 May are public holidays in France; on the 1st work is done all the same, the 2nd is a Saturday.
    assert worked == {1: True, 2: False, 4: False, 8: False}


def test_a_count_below_what_is_promised_frees_nothing_and_loses_neither(tallis_bridge: Dealer) -> None:
    branch, one = main_branch(tallis_bridge), part("VRD", "0021-460")
    held = item(branch, one, (2, 5), (10, 0))
    supply = branch_supply(branch, [one.pk], fitted_on=SERVICE, today=TODAY)
    # 12 are there and 5 are promised: three of those will be taken from the other bin.
    assert supply.item(("VRD", "0021-460")).free(SERVICE) == 7
    assert supply.overpromised == (("VRD", "0021-460"),)
    assert list(StockBatch.objects.filter(item=held).overpromised().values_list("on_hand", "reserved")) == [(2, 5)]
    StockBatch.objects.filter(item=held).update(on_hand=0)
    assert branch_supply(branch, [one.pk], fitted_on=SERVICE, today=TODAY).item(("VRD", "0021-460")).free(SERVICE) == 0


def test_containers_stand_by_their_size_and_other_branches_apart(tallis_bridge: Dealer) -> None:
    branch, quay = main_branch(tallis_bridge), other_branch(tallis_bridge)
    supplier, oil, one = fenmoor(tallis_bridge), part("OLM", "LG-40", "engine_oil"), part("VRD", "0021-460")
    for litres, ticks in ((1, 89_000), (5, 345_000), (20, 1_180_000)):
        priced(supplier, oil, ticks, content=litres * 1_000_000)
    item(branch, oil, (3, 0), content=1_000_000)
    item(quay, one, (4, 1))
    supply = branch_supply(branch, [oil.pk, one.pk], fitted_on=SERVICE, today=TODAY)
    assert [(one.content, one.stock.on_hand, len(one.offers)) for one in supply.volumes] == [
        (1_000_000, 3, 1), (5_000_000, 0, 1), (20_000_000, 0, 1)
    ]  # fmt: skip
    assert supply.offers == ()
    assert [(other.branch, other.free) for other in supply.elsewhere] == [("quay", 3)]


def test_what_comes_in_counts_by_the_far_end_of_its_promise(tallis_bridge: Dealer) -> None:
    branch, one = main_branch(tallis_bridge), part("VRD", "0021-460")
    held = item(branch, one)
    early, late = date(2026, 4, 8), date(2026, 4, 14)
    Incoming.objects.create(item=held, quantity=6, assigned=1, promised_earliest=early, promised_latest=late)
    stock = branch_supply(branch, [one.pk], fitted_on=SERVICE, today=TODAY).item(("VRD", "0021-460"))
    assert [stock.incoming_by(day) for day in (date(2026, 4, 13), late)] == [0, 5]


def test_another_dealers_shelf_and_prices_are_not_seen(tallis_bridge: Dealer, weir_lane: Dealer) -> None:
    one = part("VRD", "0021-460")
    theirs = other_branch(weir_lane)
    item(theirs, one, (9, 0))
    priced(fenmoor(weir_lane), one, 1)
    supply = branch_supply(main_branch(tallis_bridge), [one.pk], fitted_on=SERVICE, today=TODAY)
    assert (supply.stock, supply.offers, supply.elsewhere) == ((), (), ())
