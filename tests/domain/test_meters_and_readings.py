"""What can be believed of a meter, and what it adds up to; common practice, no source, where none is named."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from kits.domain.engine_hours import HoursUnreadable, MeterUnit, hours_words, tenths_read
from kits.domain.lifetimes import lifetime
from kits.domain.meters import Counts, HeldFor, InstantAmbiguous, Meter, Reading, Review
from tests.domain.service_cast import hours, metered, read, sure

pytestmark = pytest.mark.domain
TODAY = date(2026, 3, 31)
JAN, FEB, MAR = date(2026, 1, 10), date(2026, 2, 10), date(2026, 3, 10)


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("1234.5", MeterUnit.HOURS, 12345),
        ("12345", MeterUnit.TENTHS, 12345),
        ("1234", MeterUnit.HOURS, 12340),
        ("1234.50", MeterUnit.HOURS, 12345),
    ],
)
def test_a_reading_is_whole_tenths_of_an_hour(text: str, unit: MeterUnit, expected: int) -> None:
    assert tenths_read(text, unit) == expected


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("1234.56", MeterUnit.HOURS),
        ("1234.5", MeterUnit.TENTHS),
        ("1234", MeterUnit.KILOWATT_HOURS),
        ("-3", MeterUnit.HOURS),
        ("1,234", MeterUnit.HOURS),
        ("NaN", MeterUnit.HOURS),
        ("", MeterUnit.HOURS),
    ],
)
def test_what_is_no_reading_of_hours_is_refused(text: str, unit: MeterUnit) -> None:
    with pytest.raises(HoursUnreadable):
        tenths_read(text, unit)


def test_hours_are_written_with_a_tenth_only_where_there_is_one() -> None:
    assert [hours_words(tenths) for tenths in (45600, 45605)] == ["4560 h", "4560.5 h"]


def test_a_lower_reading_is_held_and_moves_nothing() -> None:
    life = metered(read(JAN, 500), read(FEB, 450), read(MAR, 600), as_of=TODAY)
    assert [held.reason for held in life.held] == [HeldFor.ROLLBACK]
    assert [reading.hours for reading in life.readings] == [hours(500), hours(600)]


@pytest.mark.parametrize(("shown", "held"), [(500 + 31 * 24, 0), (500 + 31 * 24 + 0.1, 1)])
def test_more_than_the_clock_allows_is_held(shown: float, held: int) -> None:
    assert len(metered(read(JAN, 500), read(FEB, shown), as_of=TODAY).held) == held


def test_instants_bound_the_hours_closer_than_days() -> None:
    first = Reading("M1", JAN, hours(500), at=datetime(2026, 1, 10, 8, tzinfo=UTC))
    later = Reading("M1", JAN, hours(505), at=datetime(2026, 1, 10, 12, tzinfo=UTC))
    assert [held.reason for held in metered(first, later, as_of=TODAY).held] == [HeldFor.JUMP]
    assert not metered(first, replace(later, shows=hours(504)), as_of=TODAY).held


def test_a_confirmed_reading_overrules_what_stood_against_it() -> None:
    wrong = read(FEB, 900)
    right = replace(read(MAR, 600), review=Review.CONFIRMED)
    life = metered(read(JAN, 500), wrong, right, as_of=TODAY)
    assert [(held.reading, held.reason) for held in life.held] == [(wrong, HeldFor.OVERRULED)]
    assert [reading.hours for reading in life.readings] == [hours(500), hours(600)]


def test_rejected_future_and_stray_readings_are_held_for_what_they_are() -> None:
    rejected = replace(read(JAN, 500), review=Review.REJECTED)
    life = metered(rejected, read(date(2026, 4, 1), 500), read(JAN, 1, "M9"), as_of=TODAY)
    assert {held.reason for held in life.held} == {HeldFor.REJECTED, HeldFor.FUTURE, HeldFor.NO_SUCH_METER}
    assert life.last is None


def test_without_the_old_meter_s_last_reading_lifetime_is_unknown_and_it_is_asked_for() -> None:
    meters = (Meter("old", removed_on=FEB), Meter("new", fitted_on=FEB))
    life = metered(read(JAN, 500, "old"), read(MAR, 20, "new"), as_of=TODAY, meters=meters)
    assert life.readings == ()
    assert [fact.name for fact in life.missing] == ["meter removal reading"]


def test_a_reading_above_what_the_meter_showed_at_the_end_is_held() -> None:
    meters = (Meter("old", removed_on=FEB, removed_at=hours(510)), Meter("new", fitted_on=FEB))
    life = metered(read(JAN, 520, "old"), as_of=TODAY, meters=meters)
    assert [held.reason for held in life.held] == [HeldFor.BEYOND_REMOVAL]


def test_no_meter_is_a_normal_state_that_asks_for_nothing() -> None:
    life = lifetime((), (), as_of=TODAY)
    assert (life.metered, life.missing, life.readings) == (False, (), ())


def test_the_hours_of_a_key_on_meter_are_not_engine_hours() -> None:
    keyed = Meter("key", counts=Counts.KEY_ON)
    life = lifetime((keyed,), (read(JAN, 500, "key"),), as_of=TODAY)
    assert life.readings == ()
    assert [fact.name for fact in life.missing] == ["engine hour meter"]


def test_a_meter_of_starts_is_no_hour_meter() -> None:
    assert not lifetime((Meter("M1", unit=MeterUnit.STARTS),), (read(JAN, 500),), as_of=TODAY).metered


def test_days_without_any_meter_are_told() -> None:
    meters = (Meter("old", removed_on=JAN, removed_at=hours(510)), Meter("new", fitted_on=FEB))
    life = metered(read(MAR, 20, "new"), as_of=TODAY, meters=meters)
    assert life.cautions == ("No meter ran from 2026-01-10 to 2026-02-10.",)


def test_an_instant_without_an_offset_is_refused() -> None:
    with pytest.raises(InstantAmbiguous):
        Reading("M1", JAN, hours(500), at=datetime(2026, 1, 10, 8))  # noqa: DTZ001 - that is the case


def test_readings_of_one_day_are_in_the_order_of_their_instants_or_else_of_what_they_show() -> None:
    morning = Reading("M1", JAN, hours(505), at=datetime(2026, 1, 10, 8, tzinfo=UTC))
    evening = Reading("M1", JAN, hours(500), at=datetime(2026, 1, 10, 18, tzinfo=UTC))
    assert [held.reason for held in metered(morning, evening, as_of=TODAY).held] == [HeldFor.ROLLBACK]
    assert not metered(read(JAN, 505), evening, as_of=TODAY).held


def test_days_on_which_two_meters_count_the_same_hours_are_told() -> None:
    """One taken off after the next was fitted: what both ran stands twice in the sum (common practice, no source)."""
    meters = (
        Meter("M1", start=0, removed_on=date(2026, 2, 10), removed_at=hours(1200)),
        Meter("M2", fitted_on=date(2026, 2, 1), start=0),
    )
    life = lifetime(meters, (read(date(2026, 3, 1), 50, "M2"),), as_of=date(2026, 3, 1))
    assert sure(life.last).hours == hours(1250)
    assert life.twice == ("Meters M1 and M2 both ran from 2026-02-01 to 2026-02-10; what they ran then counts twice.",)
    on_one_day = (replace(meters[0], removed_on=date(2026, 2, 1)), meters[1])
    assert lifetime(on_one_day, (), as_of=date(2026, 3, 1)).twice == ()
