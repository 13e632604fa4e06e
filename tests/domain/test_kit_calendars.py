"""Working days, cut-off and lead time. The days of April 2026 are those of the worked example (trade practice)."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.calendars import Calendar, CalendarEnds, Delivery, LastOrder, arrival, last_order, shelf_date
from kits.holidays_of import calendar_of, public_holidays
from service.errors import Invalid

pytestmark = pytest.mark.domain

PARIS, NEW_YORK, AUCKLAND = ZoneInfo("Europe/Paris"), ZoneInfo("America/New_York"), ZoneInfo("Pacific/Auckland")
EASTER = frozenset({date(2026, 4, 3), date(2026, 4, 6)})
OPEN = Calendar("house", date(2026, 1, 1), date(2026, 12, 31))
CLOSED = Calendar("house", date(2026, 1, 1), date(2026, 12, 31), EASTER)


def test_goods_lie_on_the_shelf_the_last_working_day_before_the_service() -> None:
    """Service week of Monday 13 April: Friday the 10th. Before Tuesday 7 April it is Thursday the 2nd."""
    assert shelf_date(CLOSED, date(2026, 4, 13)) == date(2026, 4, 10)
    assert shelf_date(CLOSED, date(2026, 4, 7)) == date(2026, 4, 2)


@pytest.mark.parametrize(
    ("lead", "day"), [(4, date(2026, 4, 2)), (7, date(2026, 3, 30)), (10, date(2026, 3, 25)), (0, date(2026, 4, 10))]
)
def test_order_by_counts_only_days_both_sides_work(lead: int, day: date) -> None:
    """Scenario 33: the three order-by dates of the worked example."""
    assert last_order(date(2026, 4, 10), Delivery(lead, CLOSED, PARIS), PARIS).day == day


def test_forgetting_the_closed_days_gives_the_wrong_date_of_the_example() -> None:
    assert last_order(date(2026, 4, 10), Delivery(7, OPEN, PARIS), PARIS).day == date(2026, 4, 1)


def test_a_day_counts_only_where_both_work() -> None:
    shop = Calendar("shop", date(2026, 1, 1), date(2026, 12, 31), frozenset({date(2026, 4, 3)}))
    supplier = Calendar("supplier", date(2026, 2, 1), date(2027, 1, 31), frozenset({date(2026, 4, 6)}))
    both = shop.and_with(supplier)
    assert (both.first, both.last, both.closed) == (date(2026, 2, 1), date(2026, 12, 31), EASTER)


def test_an_order_after_the_cut_off_in_the_suppliers_zone_counts_from_the_next_working_day() -> None:
    delivery = Delivery(4, CLOSED, NEW_YORK, time(16))
    # 16:00 in New York is 22:00 in Paris; 2 April 2026 is a Thursday and the next working day is Tuesday the 7th.
    assert arrival(datetime(2026, 4, 2, 22, 0, tzinfo=PARIS), delivery) == date(2026, 4, 10)
    assert arrival(datetime(2026, 4, 2, 22, 0, 1, tzinfo=PARIS), delivery) == date(2026, 4, 13)


def test_the_last_day_to_order_is_the_branchs_own() -> None:
    """Noon on Thursday in Auckland is still Wednesday evening in New York."""
    told = last_order(date(2026, 5, 15), Delivery(1, OPEN, AUCKLAND, time(12)), NEW_YORK)
    assert told == LastOrder(date(2026, 5, 13), datetime(2026, 5, 14, 0, 0, tzinfo=UTC))


@pytest.mark.parametrize("day", [date(2026, 3, 29), date(2026, 10, 25)])
def test_a_cut_off_in_an_hour_the_clocks_leave_out_or_pass_twice_is_taken_early(day: date) -> None:
    """Clocks in Paris went over 02:30 on 29 March 2026 and pass it twice on 25 October (tz database)."""
    always = Calendar("house", date(2026, 1, 1), date(2026, 12, 31), weekdays=frozenset(range(7)))
    delivery = Delivery(2, always, PARIS, time(2, 30))
    told = last_order(day + timedelta(days=2), delivery, PARIS)
    assert told.instant is not None
    assert arrival(told.instant, delivery) == day + timedelta(days=2)


def test_days_whose_closed_days_are_not_known_are_not_reckoned_with() -> None:
    with pytest.raises(CalendarEnds) as refused:
        last_order(date(2026, 1, 5), Delivery(5, CLOSED, PARIS), PARIS)
    assert "2025-12-31" in refused.value.message
    with pytest.raises(CalendarEnds):
        Calendar("never open", date(2026, 1, 1), date(2026, 12, 31), weekdays=frozenset()).forward(date(2026, 1, 5), 1)


def test_an_instant_without_an_offset_and_a_lead_time_below_zero_are_refused() -> None:
    with pytest.raises(Invalid):
        arrival(datetime(2026, 4, 2, 12, 0), Delivery(1, OPEN, PARIS))  # noqa: DTZ001 - what is refused
    with pytest.raises(Invalid):
        Delivery(-1, OPEN, PARIS)


YEAR = st.dates(date(2026, 2, 15), date(2026, 10, 31))
CALENDARS = st.builds(
    Calendar,
    st.just("house"),
    st.just(date(2026, 1, 1)),
    st.just(date(2026, 12, 31)),
    st.frozensets(YEAR, max_size=20),
    st.sampled_from([frozenset(range(5)), frozenset(range(6)), frozenset({1, 3})]),
)


@given(YEAR, YEAR, CALENDARS, st.integers(0, 8), st.sampled_from([None, time(0), time(11, 30), time(23, 59)]))
def test_an_order_is_in_time_exactly_up_to_the_last_safe_instant(
    shelf: date, asked: date, days: Calendar, lead: int, cut_off: time | None
) -> None:
    """Arrival and last order are two sides of one rule."""
    delivery = Delivery(lead, days, NEW_YORK, cut_off)
    told = last_order(shelf, delivery, NEW_YORK)
    placed = datetime.combine(asked, time(12), NEW_YORK)
    in_time = placed.date() <= told.day if told.instant is None else placed <= told.instant
    assert (arrival(placed, delivery) <= shelf) == in_time


def test_public_holidays_are_those_of_the_country_and_of_the_part_of_it() -> None:
    """Easter Sunday 2026 is 5 April. Good Friday is a holiday in Germany and not in most of France; the Monday in both.

    Source: French labour code L3133-1 and holiday acts of the German states [from memory].
    """
    france, germany = public_holidays("FR", 2026, 2026), public_holidays("DE", 2026, 2026)
    assert date(2026, 4, 6) in france & germany
    assert date(2026, 4, 3) in germany - france
    assert date(2026, 7, 14) in france - germany
    assert date(2026, 1, 6) in public_holidays("DE", 2026, 2026, "BY") - germany


def test_a_house_adds_closed_days_of_its_own_and_may_open_on_a_holiday() -> None:
    shop = calendar_of("shop", (2026, 2027), country="FR", closed=[date(2026, 4, 3)], opened=[date(2026, 5, 8)])
    assert not shop.works_on(date(2026, 4, 3))
    assert shop.works_on(date(2026, 5, 8))
    assert not shop.works_on(date(2027, 3, 29))
    assert calendar_of("shop", (2026, 2026)).closed == frozenset()


@pytest.mark.parametrize(("country", "part"), [("XX", None), ("FR", "nowhere")])
def test_a_country_or_part_whose_holidays_are_not_known_is_refused(country: str, part: str | None) -> None:
    with pytest.raises(Invalid) as refused:
        public_holidays(country, 2026, 2026, part)
    assert refused.value.code == "unknown_holidays"
