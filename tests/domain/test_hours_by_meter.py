"""What meters print, and the lifetime hours behind what one of them showed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.engine_hours import HoursUnreadable, MeterUnit, plain_hours, steps_read, steps_typed, tenths_read
from kits.domain.lifetimes import hours_at, lifetime
from kits.domain.meters import Counts, Meter, Reading
from tests.domain.service_cast import hours

pytestmark = pytest.mark.domain
OLD = Meter("old", removed_on=date(2026, 2, 3), removed_at=hours(7842))
NEW = Meter("new", fitted_on=date(2026, 2, 3), start=hours(3))


@pytest.mark.parametrize(
    ("unit", "typed", "steps"),
    [("hours", "1234.5", 12345), ("tenths", "12345", 12345), ("kwh", "12345", 12345), ("starts", "7", 7)],
)
def test_a_meter_is_read_in_its_own_steps(unit: str, typed: str, steps: int) -> None:
    """Tenths are printed without the dot (common practice, no source)."""
    assert steps_read(typed, MeterUnit(unit)) == steps
    assert steps_typed(steps, MeterUnit(unit)) == typed


@pytest.mark.parametrize(("unit", "typed"), [("kwh", "12.5"), ("starts", "-1"), ("miles", ""), ("tenths", "12.5")])
def test_what_such_a_meter_never_shows_is_refused(unit: str, typed: str) -> None:
    with pytest.raises(HoursUnreadable):
        steps_read(typed, MeterUnit(unit))


@given(st.integers(0, 10**9))
def test_hours_written_are_read_again(tenths: int) -> None:
    assert tenths_read(plain_hours(tenths), MeterUnit.HOURS) == tenths


def test_scenario_28_a_reading_of_the_new_meter_is_8000_lifetime_hours() -> None:
    assert hours_at((NEW, OLD), "new", hours(161)).hours == hours(8000)
    assert hours_at((NEW, OLD), "old", hours(7500)).hours == hours(7500)


@pytest.mark.parametrize(
    ("meters", "asked"),
    [
        ((replace(OLD, removed_at=None), NEW), "What did meter old show when it was taken off?"),
        ((replace(OLD, start=None), NEW), "What did meter old show when it was fitted?"),
        ((OLD, replace(NEW, start=None)), "What did meter new show when it was fitted?"),
    ],
)
def test_behind_a_broken_count_hours_are_asked_for(meters: tuple[Meter, ...], asked: str) -> None:
    found = hours_at(meters, "new", hours(161))
    assert (found.hours, [fact.question for fact in found.missing]) == (None, [asked])


def test_meters_that_count_something_else_add_nothing() -> None:
    key = Meter("key", start=0, removed_on=date(2026, 1, 1), removed_at=hours(9000), counts=Counts.KEY_ON)
    energy = Meter("energy", start=0, unit=MeterUnit.KILOWATT_HOURS)
    assert hours_at((key, energy, OLD, NEW), "new", hours(161)).hours == hours(8000)


@given(st.integers(0, 5_000), st.integers(0, 5_000), st.integers(0, 5_000))
def test_it_is_what_the_lifetime_by_readings_comes_to(ran: int, start: int, more: int) -> None:
    meters = (replace(OLD, removed_at=ran), replace(NEW, start=start))
    life = lifetime(meters, (Reading("new", date(2027, 2, 3), start + more),), as_of=date(2027, 2, 3))
    assert life.last is not None
    assert life.last.hours == hours_at(meters, "new", start + more).hours == ran + more
